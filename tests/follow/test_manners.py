"""Is a song with a pattern followed when its chords are played in another rhythm?

A chart's pattern is one way to accompany a song; players take whole notes while they learn,
break the chords, or strike all the eighths: common practice, no source. The truth is a
player's who has another pattern before him, with the same bars over it.
"""

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from evaluator.chart import BarGraph
from evaluator.follow import Path, follow
from evaluator.follow.follower import BESIDE, Follower
from evaluator.follow.grid import lay_out
from evaluator.follow.likeness import CERTAIN
from evaluator.follow.positions import AS_WRITTEN, FREELY
from evaluator.follow.trace import best_chain
from evaluator.follow.visits import visits
from evaluator.take.strike import Strike
from tests.bench.kinds import MIXED, play_kind
from tests.follow.rhythms import (
    RHYTHMS,
    TOGETHER,
    WALK,
    aimless_notes,
    hands_apart,
    in_rhythm,
    second_section,
    single_notes,
)
from tests.follow.songs import LINES, PLAIN, TAIL, heard, numbers, order, song, turns
from tests.playing import Note, Performance, play

WHOLE = list(range(1, 25))


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


@pytest.mark.parametrize("tempo", [0.8, 1.0])
def test_a_swung_song_played_straight_is_placed_bar_for_bar(tempo: float) -> None:
    graph = song(SHUFFLE)
    take = play(graph, tempo=tempo, swing=1.0, jitter_ms=12, spread_ms=8, seed=5)
    assert_bar_for_bar(graph, follow(graph, heard(take)), take)


SHUFFLE = LINES.replace("tempo:", "feel: swing 2:1\ntempo:").replace(
    WALK, "pattern climb\n  left  | x . 5 . x . 5 . |\n  right | . x . . . x . x |\n"
)


@pytest.mark.parametrize("tempo", [0.7, 1.0, 1.4])
@pytest.mark.parametrize("other", RHYTHMS.values(), ids=RHYTHMS)
def test_any_rhythm_is_placed_bar_for_bar_in_a_chart_without_patterns(
    other: str, tempo: float
) -> None:
    """A metre says less than a pattern: triplets are no half beats at another tempo."""
    graph = song(LINES.replace(WALK, ""))
    take = play(in_rhythm(other), tempo=tempo, jitter_ms=12, spread_ms=8, seed=5)
    assert_bar_for_bar(graph, follow(graph, heard(take)), take)


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


def test_a_take_without_the_pattern_is_followed_as_if_there_were_none() -> None:
    """Also where many of its chords are not the chart's."""
    other = LINES.replace("| Dm | A |", "| G | E |").replace("| C | Gm | D |", "| Am | Bb | F |")
    graph, plain = song(other), song(other.replace(WALK, ""))
    strikes = heard(play(in_rhythm(RHYTHMS["quarters"]), jitter_ms=12, spread_ms=8, seed=5))
    path = follow(graph, strikes)
    assert path.misfit > CERTAIN
    assert path.bars == follow(plain, strikes).bars


# -- from the one manner to the other ------------------------------------------------------


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
    take, starts = second_section(RHYTHMS[name])
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


@pytest.mark.parametrize("own", [True, False], ids=["pattern", "freely"])
@pytest.mark.parametrize("tempo", [0.7, 1.0])
@pytest.mark.parametrize(
    ("name", "beats"),
    [("whole notes", [0]), ("half notes", [0, 2]), ("quarters", [0, 1, 2, 3])],
)
def test_hands_120_ms_apart_strike_the_same_beat(
    name: str, beats: list[float], tempo: float, own: bool
) -> None:
    """At 130 a minute it would be a sixteenth, and might be meant so."""
    other = RHYTHMS[name]
    graph = song(LINES.replace(WALK, other) if own else LINES)
    take = hands_apart(play(in_rhythm(other), tempo=tempo), 0.12)
    path = follow(graph, heard(take))
    assert_bar_for_bar(graph, path, take, near=0.13)
    assert max(bar.pause for bar in path.bars) == 0.0
    found = [[one.beat for one in bar.strikes] for bar in path.bars]
    assert found == [[beat for beat in beats for _ in ("left", "right")]] * 24


@pytest.mark.parametrize("own", [True, False])
@pytest.mark.parametrize("tempo", [0.7, 1.0, 1.3])
def test_a_right_hand_120_ms_behind_moves_no_bar_line(tempo: float, own: bool) -> None:
    """Where it strikes alone on the second and the fourth beat, it may be late or syncopated;
    the left hand's strikes stand on the beat in any case."""
    graph = song(LINES.replace(WALK, TOGETHER) if own else LINES)
    take = hands_apart(play(in_rhythm(TOGETHER), tempo=tempo), 0.12)
    assert_bar_for_bar(graph, follow(graph, heard(take)), take, near=0.13)


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
    take, true = second_section(tempo=change)
    path = follow(graph, heard(take))
    assert numbers(graph, path) == WHOLE
    assert turns(graph, path) == []
    # A bar line at which the tempo changes belongs to two tempi.
    kept = [at for at in range(24) if at not in (8, 16)]
    found = [path.bars[at].start for at in kept]
    assert found == pytest.approx([true[at] for at in kept], abs=0.15)


@pytest.mark.parametrize("seed", [3, 5, 6])
def test_a_tempo_that_bends_with_the_phrase_is_followed(seed: int) -> None:
    """Faster and slower within eight bars, with two strikes a second or fewer."""
    take = play_kind("breathing with the phrase", seed)
    path = follow(take.graph, heard(take.performance))
    assert [bar.bar for bar in path.bars] == [bar.index for bar in take.truth.bars]
    assert [bar.start for bar in path.bars] == pytest.approx(
        [bar.start for bar in take.truth.bars], abs=0.2
    )


def test_slow_whole_notes_stay_on_their_bar_lines_though_every_other_bar_is_longer() -> None:
    """What is near its place depends on how long one waited for it: a tenth of four seconds."""
    graph = song(PLAIN)
    take = play(in_rhythm(RHYTHMS["whole notes"]), tempo=0.6)
    edges = [*(bar.start for bar in take.truth.bars), take.truth.bars[-1].end]
    longer = [(1.1 if at % 2 else 1.0) * step for at, step in enumerate(np.diff(edges))]
    true = edges[0] + np.append(0.0, np.cumsum(longer))
    moved = [replace(one, time=float(np.interp(one.time, edges, true))) for one in heard(take)]
    path = follow(graph, moved)
    assert numbers(graph, path) == WHOLE
    assert [bar.start for bar in path.bars] == pytest.approx(list(true[:-1]), abs=0.1)


# -- what is not the song ------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("notes", [single_notes, aimless_notes], ids=["a tune", "aimless"])
@pytest.mark.parametrize("text", [LINES, PLAIN], ids=["pattern", "no pattern"])
def test_twelve_seconds_of_single_notes_before_the_song_are_none_of_it(
    text: str, notes: Callable[[int, float], list[Note]], seed: int
) -> None:
    graph = song(text)
    before = notes(seed, 12.0)
    take = play(song(LINES), jitter_ms=10, spread_ms=8, seed=seed).later(14.0)
    path = follow(graph, heard(Performance((*before, *take.notes), (), take.truth)))
    assert_bar_for_bar(graph, path, take)
    assert path.before == tuple(range(len(before)))


def test_a_way_that_jumps_again_and_again_in_the_pattern_is_sought_without_it() -> None:
    """Rolled chords in quarters fit the first half of each bar of a pattern in eighths as well, at
    half the tempo, and every bar cut short."""
    take = play_kind("rolled, right hand", 6, faults=MIXED)
    path = follow(take.graph, heard(take.performance))
    starts = np.array([bar.start for bar in path.bars])
    truth = np.array([bar.start for bar in take.truth.bars])
    placed = np.min(np.abs(truth[:, None] - starts), axis=1) < 0.15
    assert np.mean(placed) > 0.97
