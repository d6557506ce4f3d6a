"""Is a song with a pattern followed when its chords are played in another rhythm?

A chart's pattern is one way to accompany a song; players take whole notes while they learn,
break the chords, or strike all the eighths: common practice, no source. The truth is a
player's who has another pattern before him, with the same bars over it.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from evaluator.chart import BarGraph
from evaluator.follow import Path, follow
from evaluator.follow.follower import BESIDE, Follower
from evaluator.follow.grid import AS_WRITTEN, FREELY, lay_out
from evaluator.follow.trace import best_chain, visits
from evaluator.take.strike import Strike
from tests.follow.songs import BEAT, HEAD, LINES, TAIL, heard, numbers, order, song, turns
from tests.playing import Note, Performance, play

WALK = HEAD[HEAD.index("pattern") :]
"""The pattern of the charts."""
WHOLE = list(range(1, 25))


def rhythm(left: str, right: str) -> str:
    """A pattern."""
    return f"pattern other\n  left  | {left} |\n  right | {right} |\n\n"


RHYTHMS = {
    "whole notes": rhythm("x . . .", "x . . ."),
    "half notes": rhythm("x . x .", "x . x ."),
    "quarters": rhythm("x x x x", "x x x x"),
    "eighths": rhythm("x . . . . . . .", "x x x x x x x x"),
    "off-beats": rhythm("x . . . x . . .", ". x . x . x . x"),
    "triplets": rhythm("x . . . . . x . . . . .", "x x x x x x x x x x x x"),
    "broken right": rhythm("x . . . . . . .", "1 3 5 3 1 3 5 3"),
    "broken left": rhythm("1 5 3 5 1 5 3 5", "x . . . . . . ."),
    "rolling left": rhythm("1 5 8 5", ". . . ."),
}


def in_rhythm(other: str, text: str = LINES) -> BarGraph:
    """The song of a chart with another pattern."""
    assert WALK in text
    return song(text.replace(WALK, other))


def assert_bar_for_bar(graph: BarGraph, path: Path, take: Performance, near: float = 0.1) -> None:
    """The whole song, straight on, every bar line where it was played."""
    assert numbers(graph, path) == list(range(1, len(take.truth.bars) + 1))
    assert [bar.entry for bar in path.bars] == ["start", *["onward"] * (len(path.bars) - 1)]
    found = [bar.start for bar in path.bars]
    assert found == pytest.approx([bar.start for bar in take.truth.bars], abs=near)


@pytest.mark.parametrize("tempo", [0.7, 1.0, 1.4])
@pytest.mark.parametrize("other", RHYTHMS.values(), ids=RHYTHMS)
def test_any_rhythm_is_placed_bar_for_bar(other: str, tempo: float) -> None:
    graph = song(LINES)
    take = play(in_rhythm(other), tempo=tempo, jitter_ms=12, spread_ms=8, seed=5)
    path = follow(graph, heard(take))
    assert_bar_for_bar(graph, path, take)
    assert path.complete
    assert path.before == path.after == ()


BUSY = LINES.replace(WALK, RHYTHMS["eighths"])


@pytest.mark.parametrize("name", ["whole notes", "half notes", "quarters", "broken left"])
def test_a_chart_of_eighths_is_followed_in_longer_notes(name: str) -> None:
    graph = song(BUSY)
    take = play(in_rhythm(RHYTHMS[name]), jitter_ms=12, spread_ms=8, seed=6)
    assert_bar_for_bar(graph, follow(graph, heard(take)), take)


@pytest.mark.parametrize("name", ["whole notes", "eighths", "broken right"])
def test_bars_lost_in_another_rhythm_are_found(name: str) -> None:
    graph, other = song(LINES), in_rhythm(RHYTHMS[name])
    played = [*range(1, 11), *range(12, 25)]
    take = play(other, order(other, *played), jitter_ms=12, spread_ms=8, seed=7)
    path = follow(graph, heard(take))
    assert numbers(graph, path) == played
    assert turns(graph, path) == [("jump", 12)]


# -- from the one manner to the other ------------------------------------------------------


def in_turn(*parts: tuple[str, range]) -> tuple[Performance, list[float]]:
    """A take of some bars in each rhythm, one after the other without a break, and where its
    bars begin."""
    notes: list[Note] = []
    starts: list[float] = []
    end = 1.0
    for other, bars in parts:
        graph = in_rhythm(other)
        part = play(graph, order(graph, *bars), start=0.0, seed=8).later(end)
        notes.extend(part.notes)
        starts += [bar.start for bar in part.truth.bars]
        end = part.truth.bars[-1].end
    return Performance(tuple(notes), (), part.truth), starts


def manners(graph: BarGraph, strikes: tuple[Strike, ...]) -> list[int]:
    """The manner in which each bar was thought to be played."""
    follower = Follower(lay_out(graph))
    for strike in strikes:
        follower.push(strike)
    chain, _ = best_chain(follower)
    return [int(follower.grid.manner[visit.bar]) for visit in visits(chain, follower)]


@pytest.mark.parametrize("name", ["whole notes", "eighths", "broken right"])
def test_the_pattern_is_left_at_a_bar_line_and_taken_up_again(name: str) -> None:
    graph = song(LINES)
    take, starts = in_turn(
        (WALK, range(1, 9)), (RHYTHMS[name], range(9, 17)), (WALK, range(17, 25))
    )
    strikes = heard(take)
    path = follow(graph, strikes)
    assert numbers(graph, path) == WHOLE
    assert turns(graph, path) == []
    assert [bar.start for bar in path.bars] == pytest.approx(starts, abs=0.05)
    assert manners(graph, strikes) == [AS_WRITTEN] * 8 + [FREELY] * 8 + [AS_WRITTEN] * 8


def test_who_plays_the_pattern_is_not_thought_to_play_freely() -> None:
    graph = song(LINES)
    take = play(graph, jitter_ms=20, spread_ms=8, seed=9)
    assert set(manners(graph, heard(take))) == {AS_WRITTEN}


def test_who_takes_whole_notes_throughout_plays_freely_throughout() -> None:
    graph = song(LINES)
    take = play(in_rhythm(RHYTHMS["whole notes"]), jitter_ms=12, seed=9)
    assert set(manners(graph, heard(take))) == {FREELY}


def test_bars_in_another_manner_keep_their_numbers_in_the_chart() -> None:
    graph = song(TAIL)
    path = follow(graph, heard(play(in_rhythm(RHYTHMS["half notes"], TAIL), seed=2)))
    assert {bar.bar for bar in path.bars} == set(range(len(graph.bars)))


# -- pieces of a strike --------------------------------------------------------------------

TOGETHER = rhythm("x . x .", "x x x x")


def hands_apart(take: Performance, seconds: float) -> Performance:
    """The same take with the right hand so much behind the left."""
    notes = [
        replace(note, onset=note.onset + seconds, offset=note.offset + seconds)
        if note.hand == "right"
        else note
        for note in take.notes
    ]
    notes.sort(key=lambda note: (note.onset, note.pitch))
    return Performance(tuple(notes), (), take.truth)


@pytest.mark.parametrize("text", [LINES.replace(WALK, TOGETHER), LINES], ids=["pattern", "freely"])
@pytest.mark.parametrize("tempo", [0.7, 1.0])
def test_hands_120_ms_apart_strike_the_same_beat(text: str, tempo: float) -> None:
    graph, together = song(text), in_rhythm(TOGETHER)
    take = hands_apart(play(together, tempo=tempo), 0.12)
    strikes = heard(take)
    path = follow(graph, strikes)
    assert_bar_for_bar(graph, path, take, near=0.13)
    assert max(bar.pause for bar in path.bars) == 0.0
    beats = [[one.beat for one in bar.strikes] for bar in path.bars]
    assert beats == [[0.0, 0.0, 1.0, 2.0, 2.0, 3.0]] * 24


def test_a_piece_of_a_strike_moves_no_beat() -> None:
    """Whatever is believed of the tempo holds until a strike of its own."""
    together = in_rhythm(TOGETHER)
    follower = Follower(lay_out(together))
    for strike in heard(hands_apart(play(together), 0.12)):
        follower.push(strike)
    found = 0
    for before, step in pairwise(follower.steps):
        for cell in np.flatnonzero(step.kind == BESIDE):
            back = step.back[cell]
            assert step.position[cell] == before.position[back]
            assert step.ratio[cell] == before.ratio[back]
            assert step.beat_time[cell] == before.beat_time[back]
            found += 1
    assert found


def test_a_strike_long_after_another_is_no_piece_of_it() -> None:
    graph = song(LINES)
    follower = Follower(lay_out(graph))
    for strike in heard(play(graph)):
        follower.push(strike)
    assert not any((step.kind == BESIDE).any() for step in follower.steps)


# -- another tempo with a section ----------------------------------------------------------


@pytest.mark.parametrize("change", [0.6, 0.75, 1.3, 1.6])
def test_a_section_at_another_tempo_is_followed(change: float) -> None:
    graph = song(LINES)
    before = play(graph, order(graph, *range(1, 9)), jitter_ms=8, seed=1)
    middle = play(graph, order(graph, *range(9, 17)), tempo=change, start=0.0, jitter_ms=8, seed=2)
    after = play(graph, order(graph, *range(17, 25)), start=0.0, jitter_ms=8, seed=3)
    middle = middle.later(before.truth.bars[-1].end)
    after = after.later(middle.truth.bars[-1].end)
    parts = (before, middle, after)
    notes = tuple(note for part in parts for note in part.notes)
    path = follow(graph, heard(Performance(notes, (), before.truth)))
    assert numbers(graph, path) == WHOLE
    assert turns(graph, path) == []
    true = [bar.start for part in parts for bar in part.truth.bars]
    # A bar line at which the tempo changes belongs to two tempi.
    kept = [at for at in range(24) if at not in (8, 16)]
    found = [path.bars[at].start for at in kept]
    assert found == pytest.approx([true[at] for at in kept], abs=0.15)


# -- what is not the song ------------------------------------------------------------------

PLAIN = "title: Plain\ntempo: 100\n\n[Verse]\n" + LINES.partition("[Verse]\n")[2]


def single_notes(seed: int, seconds: float) -> list[Note]:
    """A tune of no song: single notes of the key, one or two a beat."""
    dice = np.random.default_rng(seed)
    notes, time, at = [], 0.5, 7
    while time < seconds:
        at = int(np.clip(at + dice.integers(-2, 3), 0, 13))
        key = 60 + 12 * (at // 7) + (0, 2, 4, 5, 7, 9, 11)[at % 7]
        notes.append(Note(time, time + 0.2, key, 60, "right"))
        time += BEAT * float(dice.choice([0.5, 0.5, 1.0])) + float(dice.normal(0, 0.03))
    return notes


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("text", [LINES, PLAIN], ids=["pattern", "no pattern"])
def test_twelve_seconds_of_single_notes_before_the_song_are_none_of_it(
    text: str, seed: int
) -> None:
    graph = song(text)
    tune = single_notes(seed, 12.0)
    take = play(song(LINES), jitter_ms=10, spread_ms=8, seed=seed).later(14.0)
    path = follow(graph, heard(Performance((*tune, *take.notes), (), take.truth)))
    assert_bar_for_bar(graph, path, take)
    assert path.before == tuple(range(len(tune)))
