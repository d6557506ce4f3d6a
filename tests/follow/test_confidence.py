"""How sure can one be of a bar? Sure where only one place fits, less where several do."""

import pytest

from evaluator.follow import follow
from tests.follow.songs import LINES, TAIL, followed, heard, order, song
from tests.playing import Note, Performance, WrongChord, play


def test_a_clean_take_is_followed_surely_from_beginning_to_end() -> None:
    path = followed(song(LINES))
    assert min(bar.confidence for bar in path.bars[:-1]) > 0.9
    assert path.bars[-1].confidence > 0.5


def test_every_confidence_is_a_share() -> None:
    path = followed(song(LINES), None, WrongChord(5, "F#"), jitter_ms=35, spread_ms=25, seed=9)
    assert all(0.0 <= bar.confidence <= 1.0 for bar in path.bars)


def test_which_bar_of_a_run_it_is_costs_no_confidence() -> None:
    graph = song(TAIL)
    path = followed(graph)
    tail = [bar.confidence for bar in path.bars if graph.bars[bar.bar].tail]
    assert len(tail) == 4
    assert min(tail) > 0.9


def test_notes_that_fit_nothing_make_less_sure() -> None:
    graph = song(LINES)
    take = play(graph)
    middle = take.truth.bars[10].start, take.truth.bars[13].start
    clean = follow(graph, heard(take))
    muddled = tuple(
        note if not middle[0] <= note.onset < middle[1] else _aimless(note, number)
        for number, note in enumerate(take.notes)
    )
    path = follow(graph, heard(Performance(muddled, (), take.truth)))
    here = [bar.confidence for bar in path.bars if middle[0] - 0.3 < bar.start < middle[1] - 0.3]
    there = [bar.confidence for bar in clean.bars[10:13]]
    assert min(here) < min(there)


def _aimless(note: Note, number: int) -> Note:
    """A note of its own at a moment of its own."""
    astray = 0.37 * (number * 7 % 5) / 5
    key = 55 + number * 11 % 23
    return Note(note.onset + astray, note.offset + astray, key, note.velocity, note.hand)


@pytest.mark.parametrize("bars", [range(1, 3), range(1, 9)])
def test_a_few_bars_are_enough_to_ask(bars: range) -> None:
    graph = song(LINES)
    path = follow(graph, heard(play(graph, order(graph, *bars))))
    assert len(path.bars) == len(bars)
