"""Is a take one of a song? Asked of its chords and basses alone: another rhythm, another tempo,
faults and breaks are no reason to doubt it, another song's chords are.

Kappa and its bound are Cohen's, and Landis and Koch's; the rest is common practice, no source.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest

from evaluator.chart import BarGraph, read_chart
from evaluator.follow import follow
from evaluator.follow.path import Path
from evaluator.grading import grade_fully, prepare
from evaluator.judge import judge
from evaluator.judge.agreement import UNDOUBTED, borne_out, by_chance, is_song
from evaluator.judge.verdict import BarVerdict
from evaluator.take.strike import strikes
from tests.bench.strangers import OWN, STRANGERS
from tests.follow.rhythms import RHYTHMS, aimless_notes, in_rhythm, single_notes
from tests.follow.songs import FOUR, HEAD, LINES, order, song
from tests.judge.truth_path import take_of, truth_path
from tests.playing import (
    BarsMissing,
    Missed,
    Note,
    Pause,
    Performance,
    Restart,
    WrongBass,
    WrongChord,
    play,
)

OTHER = HEAD + "[Verse]\n" + "| F#m | B7 | C#m | G#7 |\n| E | A | D#m | F# |\n" * 3
APART = HEAD + "[Verse]\n" + "| C | F# | C | F# |\n" * 4
"""Two chords without a tone in common."""
ONE = HEAD + "[Verse]\n" + "| Am | Am | Am | Am |\n" * 4


def is_known(graph: BarGraph, performance: Performance) -> bool:
    recorded = take_of(performance)
    struck = strikes(recorded)
    return judge(graph, recorded, struck, follow(graph, struck)).matches


def along(graph: BarGraph, performance: Performance) -> tuple[Path, tuple[BarVerdict, ...]]:
    """The way that was truly played, and the verdicts on it."""
    recorded = take_of(performance)
    struck = strikes(recorded)
    path = truth_path(graph, performance, struck)
    return path, judge(graph, recorded, struck, path).bars


@pytest.mark.parametrize("tempo", [0.6, 1.0, 1.6])
def test_a_take_is_one_of_its_song_at_any_tempo(tempo: float) -> None:
    assert is_known(song(LINES), play(song(LINES), tempo=tempo, jitter_ms=20, seed=1))


@pytest.mark.parametrize("other", RHYTHMS.values(), ids=RHYTHMS)
def test_in_another_rhythm_it_is_the_song_as_well(other: str) -> None:
    assert is_known(song(LINES), play(in_rhythm(other), jitter_ms=15, seed=2))


def test_breaks_and_bars_lost_are_no_reason_to_doubt_it() -> None:
    graph = song(LINES)
    faults = (Restart(11, 2.0, 2.0), Pause(3, 1.0, 3.0))
    broken = play(graph, order(graph, *range(1, 12), *range(9, 25)), faults=faults)
    assert is_known(graph, broken)
    assert is_known(graph, play(graph, order(graph, *range(1, 9), *range(17, 25))))


def test_a_third_of_the_bars_wrong_in_both_hands_make_no_other_song() -> None:
    faults = [
        fault for bar in range(2, 25, 3) for fault in (WrongChord(bar, "Ab"), WrongBass(bar, "Ab"))
    ]
    assert is_known(song(LINES), play(song(LINES), faults=faults))


@pytest.mark.parametrize("rhythm", [None, "whole notes", "eighths"])
def test_another_song_in_the_same_rhythm_is_not_it(rhythm: str | None) -> None:
    other = song(OTHER) if rhythm is None else in_rhythm(RHYTHMS[rhythm], OTHER)
    assert not is_known(song(LINES), play(other, jitter_ms=15, seed=3))


def test_its_chords_in_another_order_are_not_it() -> None:
    mixed = [5, 14, 22, 3, 11, 19, 8, 1, 24, 16, 6, 13, 2, 21, 10, 17, 4, 23, 12, 7, 20, 9, 15, 18]
    graph = song(LINES)
    assert not is_known(graph, play(graph, order(graph, *mixed), jitter_ms=15, seed=4))


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("of", [single_notes, aimless_notes])
def test_single_notes_are_not_it(of: Callable[[int, float], list[Note]], seed: int) -> None:
    assert not is_known(song(LINES), _of_notes(of(seed, 40.0)))


def _of_notes(notes: Sequence[Note]) -> Performance:
    return Performance(tuple(notes), (), play(song(FOUR)).truth)


@pytest.mark.parametrize(
    ("name", "seed"),
    [
        ("another song in its key", 6),
        ("another song in its key", 16),
        ("another song in another key", 102),
        ("its bars in any order", 9),
    ],
)
def test_a_song_that_shares_half_its_changes_is_refused(name: str, seed: int) -> None:
    take = STRANGERS[name](seed)
    assert not grade_fully(prepare(take.chart_text), take.midi_bytes).judgement.matches


def test_three_chords_in_ten_may_be_wrong_of_a_song_whose_chords_are_alike() -> None:
    take = OWN["three chords in ten wrong"](11)
    assert grade_fully(prepare(take.chart_text), take.midi_bytes).judgement.matches


# -- what is reckoned ----------------------------------------------------------------------


def test_as_much_is_borne_out_as_was_right_of_what_was_played() -> None:
    graph = song(APART)
    _, bars = along(graph, play(graph, faults=[WrongChord(3, "Bb"), WrongBass(4, "D")]))
    assert borne_out(bars) == pytest.approx(30 / 32)
    lap = [Missed(bar, beat, "left") for bar in range(1, 17) for beat in (0.0, 2.0)]
    _, bars = along(graph, play(graph, faults=[WrongChord(3, "Bb"), *lap]))
    assert borne_out(bars) == pytest.approx(15 / 16)
    assert borne_out(()) == 0.0


@pytest.mark.parametrize(("text", "share"), [(APART, 0.5), (ONE, 1.0)])
def test_chance_bears_out_as_much_as_the_signs_are_alike(text: str, share: float) -> None:
    graph = read_chart(text)
    for up in (0, 3):
        performance = play(graph).transposed(up)
        path, _ = along(graph, performance)
        assert path.transposed == up
        assert by_chance(graph, strikes(take_of(performance)), path) == pytest.approx(share)
    assert by_chance(graph, (), replace(path, bars=())) == 0.0


@pytest.mark.parametrize(("wrong", "known"), [(4, True), (5, False)])
def test_what_is_right_beyond_chance_tells(wrong: int, known: bool) -> None:
    """Where half of it is right by chance, seven of ten must be: that is a kappa of 0.4."""
    graph = song(APART)
    faults = [
        fault
        for bar in range(1, 2 * wrong, 2)
        for fault in (WrongChord(bar, "F#"), WrongBass(bar, "F#"))
    ]
    performance = play(graph, faults=faults)
    path, bars = along(graph, performance)
    struck = strikes(take_of(performance))
    assert is_song(graph, struck, replace(path, misfit=UNDOUBTED + 0.01), bars) is known
    assert is_song(graph, struck, replace(path, misfit=UNDOUBTED), bars)


def test_jumps_take_back_what_they_found() -> None:
    graph = song(LINES)
    performance = play(graph)
    struck = strikes(take_of(performance))
    path, bars = along(graph, performance)

    def jumping(count: int) -> Path:
        leapt = [replace(bar, entry="jump") for bar in path.bars[1 : count + 1]]
        return replace(path, bars=(path.bars[0], *leapt, *path.bars[count + 1 :]))

    assert is_song(graph, struck, jumping(7), bars)
    assert not is_song(graph, struck, jumping(8), bars)


def test_one_jump_does_not_make_a_few_bars_another_song() -> None:
    graph = song(FOUR)
    faults = [BarsMissing(2, (2,))]
    performance = play(graph, order(graph, 1, 3, 4), faults=faults)
    struck = strikes(take_of(performance))
    path, bars = along(graph, performance)
    path = replace(path, misfit=1.0)
    assert [bar.entry for bar in path.bars] == ["start", "jump", "onward"]
    assert is_song(graph, struck, path, bars)
