"""Where in the song may a strike stand? Read off the charts by hand.

A chart with a pattern lies on the line twice: its first half is what the pattern says.
"""

from dataclasses import replace

import numpy as np
import pytest

from evaluator.chart import BarGraph
from evaluator.follow.grid import APART, Grid, lay_out
from evaluator.follow.positions import (
    AS_WRITTEN,
    BEAT,
    BETWEEN,
    CHANGE,
    DOWNBEAT,
    EXPECTS_BOTH,
    EXPECTS_LEFT,
    EXPECTS_NOTHING,
    EXPECTS_RIGHT,
    FREELY,
    HALF_BEAT,
    THIRD_BEAT,
)
from tests.follow.songs import FOUR, HEAD, LINES, OR_LINE, order, song

PLAIN = "title: No Pattern\ntempo: 60\n[Verse]\n| C | F / G / |\n"
TRIPLETS = HEAD.replace("x . x . |", "x . . . . . . . x . . . |").replace(
    ". x . x |", ". . . . x . . . . . . . |"
)


def in_pattern(grid: Grid) -> int:
    """How many positions the song has as its pattern is written."""
    count = int((grid.manner[grid.bar] == AS_WRITTEN).sum())
    assert (grid.manner[grid.bar[:count]] == AS_WRITTEN).all()
    return count


def beats(grid: Grid, bar: int) -> list[float]:
    return [float(beat) for beat in grid.beat[grid.bar == bar]]


def kinds(grid: Grid, bar: int) -> dict[float, int]:
    return dict(zip(beats(grid, bar), grid.kind[grid.bar == bar].tolist(), strict=True))


def test_a_bar_has_four_places_a_beat() -> None:
    assert beats(lay_out(song(FOUR)), 0) == [quarter / 4 for quarter in range(16)]


def test_triplets_stand_where_the_pattern_has_them() -> None:
    grid = lay_out(song(TRIPLETS + "[Verse]\n| C | F |\n"))
    assert 4 / 3 in [pytest.approx(beat) for beat in beats(grid, 0)]
    assert not any(beat == pytest.approx(4 / 3) for beat in beats(lay_out(song(FOUR)), 0))


def test_a_pattern_says_what_a_place_expects() -> None:
    found = kinds(lay_out(song(FOUR)), 0)
    assert found[0.0] == found[2.0] == EXPECTS_LEFT
    assert found[1.0] == found[3.0] == EXPECTS_RIGHT
    assert found[0.5] == EXPECTS_NOTHING
    both = HEAD.replace("right | . x", "right | x x") + "[Verse]\n| C |\n"
    assert kinds(lay_out(song(both)), 0)[0.0] == EXPECTS_BOTH


def test_without_a_pattern_the_metre_says_it() -> None:
    found = kinds(lay_out(song(PLAIN)), 1)
    assert [found[beat] for beat in (0.0, 2.0, 1.0, 0.5, 0.25)] == [
        DOWNBEAT,
        CHANGE,
        BEAT,
        HALF_BEAT,
        BETWEEN,
    ]


def test_the_written_order_is_one_line_of_time() -> None:
    graph = song(LINES)
    grid = lay_out(graph)
    assert grid.bar_x[:24].tolist() == pytest.approx([2.4 * place for place in range(24)])
    assert (np.diff(grid.x) > 0).all()
    assert grid.x[grid.first].tolist() == pytest.approx(grid.bar_x.tolist())


def test_an_or_line_stands_apart_in_one_piece() -> None:
    graph = song(OR_LINE)
    grid = lay_out(graph)
    main, other = grid.bar_x[order(graph, 5, 6, 7, 8)], grid.bar_x[order(graph, -5, -6, -7, -8)]
    assert other[0] > main[-1] + APART / 2
    assert np.diff(other).tolist() == pytest.approx([2.4] * 3)


def test_expected_strikes_are_counted_along_the_line() -> None:
    grid = lay_out(song(FOUR))
    line = [at for at in range(in_pattern(grid)) if grid.kind[at] != EXPECTS_NOTHING]
    assert grid.wanted_before[line].tolist() == list(range(16))
    assert grid.wanted_through[line].tolist() == list(range(1, 17))


def test_the_next_natural_places_are_the_patterns() -> None:
    grid = lay_out(song(FOUR))
    assert grid.beat[grid.ahead[0]].tolist() == [1, 2, 3, 0]
    assert grid.bar[grid.ahead[0]].tolist() == [0, 0, 0, 1]


def test_a_bar_is_entered_where_it_first_wants_a_strike() -> None:
    late = HEAD.replace("left  | x . x . |", "left  | . . x . |")
    grid = lay_out(song(late + "[Verse]\n| C | F |\n"))
    assert grid.beat[grid.first].tolist() == [0, 0, 0, 0]
    assert grid.beat[grid.entry].tolist() == [1, 1, 0, 0]  # and in no pattern at the bar line


def test_every_sign_of_the_chart_has_its_own_span() -> None:
    grid = lay_out(song(PLAIN))
    per_bar = [len(set(grid.span[grid.bar == bar].tolist())) for bar in (0, 1)]
    assert per_bar == [1, 2]


def test_alike_chords_share_a_harmony() -> None:
    graph: BarGraph = song(HEAD + "[Verse]\n| C | F | C | F |\n")
    grid = lay_out(graph)
    written = grid.harmony[: in_pattern(grid)]
    assert len(set(written.tolist())) <= 4  # C and F, each with and without the bass due
    assert len(grid.harmonies) - len(set(written.tolist())) == 2  # C and F, played freely
    assert grid.harmony[grid.first[0]] == grid.harmony[grid.first[2]]
    assert grid.harmony[grid.first[0]] != grid.harmony[grid.first[1]]


def test_bars_that_sound_alike_share_a_sound_and_others_do_not() -> None:
    graph = song(HEAD + "[Verse]\n| C | F | C | C (C6) | 2/4: C | C/E | Cm |\n")
    found = lay_out(graph).sound
    assert found[0] == found[2]
    assert len({found[bar] for bar in (0, 1, 3, 4, 5, 6)}) == 6


def test_another_pattern_is_another_sound() -> None:
    text = HEAD + "pattern held\n  left | x . . . |\n\n[Verse]\n| C |\n[Coda] pattern held\n| C |\n"
    assert len(set(lay_out(song(text)).sound)) == 2


# -- in the pattern, and in a rhythm of one's own ------------------------------------------


def test_a_chart_with_a_pattern_lies_on_the_line_in_either_manner() -> None:
    graph = song(LINES)
    grid = lay_out(graph)
    assert grid.manner.tolist() == [AS_WRITTEN] * 24 + [FREELY] * 24
    assert grid.of.tolist() == [*range(24), *range(24)]
    assert [grid.chart_bar(laid) for laid in (5, 29)] == [graph.bars[5]] * 2
    assert grid.bar_x[24] > grid.bar_x[23] + APART / 2
    assert np.diff(grid.bar_x[24:]).tolist() == pytest.approx([2.4] * 23)
    assert (np.diff(grid.wanted_through) >= 0).all()


def test_a_chart_without_a_pattern_lies_there_once() -> None:
    grid = lay_out(song(PLAIN))
    assert grid.manner.tolist() == [FREELY, FREELY]
    assert grid.of.tolist() == [0, 1]


def test_a_chart_written_out_in_notes_lies_there_once() -> None:
    """Whoever plays other notes than those written does not play the song."""
    lines = "[A]\n        | C          |\n  right | E5 D5 G4 A4 |\n  left  | C3 - - -    |\n"
    assert lay_out(song(HEAD + lines)).manner.tolist() == [AS_WRITTEN]
    assert lay_out(song(HEAD + lines + "[B]\n| C |\n")).manner.tolist() == [
        AS_WRITTEN,
        AS_WRITTEN,
        FREELY,
        FREELY,
    ]


def test_notes_written_out_are_wanted_in_either_manner() -> None:
    lines = "[A]\n        | C          |\n  right | E5 D5 G4 A4 |\n  left  | C3 - - -    |\n"
    grid = lay_out(song(HEAD + lines + "[B]\n| C |\n"))
    wanted = {0.0: EXPECTS_BOTH, 1.0: EXPECTS_RIGHT, 2.0: EXPECTS_RIGHT, 3.0: EXPECTS_RIGHT}
    for laid in (0, 2):
        found = kinds(grid, laid)
        assert {beat: found[beat] for beat in wanted} == wanted


def test_about_a_written_ornament_its_keys_may_be_struck() -> None:
    """E5 with the notes beside it, an augmented second left out: from half a beat before it for as
    long as it lasts."""
    lines = "[A]\n        | C          |\n  right | G4 E5 - A4 |\n  left  | C3 - - -    |\n"
    graph = song(HEAD + lines)
    bar = graph.bars[0]
    adorned = tuple(
        replace(one, around=frozenset({74, 76, 77, 79})) if 76 in one.pitches else one
        for one in bar.strikes
    )
    grid = lay_out(replace(graph, bars=(replace(bar, strikes=adorned),)))
    around = [grid.harmonies[harmony].around for harmony in grid.harmony.tolist()]
    on = {beat: keys for beat, keys in zip(grid.beat.tolist(), around, strict=True) if keys}
    assert set(on.values()) == {frozenset({2, 4, 5})}
    assert (min(on), max(on)) == (0.5, 2.75)


def test_in_a_rhythm_of_ones_own_the_metre_says_what_a_place_expects() -> None:
    grid = lay_out(song(HEAD + "[Verse]\n| C | F / G / |\n"))
    found = kinds(grid, 3)
    assert [found[beat] for beat in (0.0, 2.0, 1.0, 0.5, 1 / 3, 0.25)] == [
        DOWNBEAT,
        CHANGE,
        BEAT,
        HALF_BEAT,
        THIRD_BEAT,
        BETWEEN,
    ]
    assert 1 / 3 not in beats(grid, 1)  # the pattern has no triplets


def test_bars_follow_one_another_in_their_own_manner() -> None:
    graph = song(OR_LINE)
    grid, count = lay_out(graph), len(graph.bars)
    (fourth,) = order(graph, 4)
    ways = list(graph.successors[fourth])
    assert grid.following(fourth) == ways
    assert grid.following(fourth + count) == [bar + count for bar in ways]
    for bar in (ways[0], ways[0] + count):
        assert grid.may_follow(fourth, bar)
        assert grid.may_follow(fourth + count, bar)
    assert not grid.may_follow(fourth, fourth + count)


def test_a_bar_is_the_same_bar_in_either_manner() -> None:
    """How sure one is of a bar does not hang on how it is played."""
    grid = lay_out(song(HEAD + "[Verse]\n| C | F | C |\n"))
    assert grid.sound[:3].tolist() == grid.sound[3:].tolist()
    assert grid.sound[0] == grid.sound[2] != grid.sound[1]


def test_in_a_swung_chart_a_rhythm_of_ones_own_may_be_straight() -> None:
    grid = lay_out(song(FOUR.replace("tempo:", "feel: swing 2:1\ntempo:")))
    freely = kinds(grid, len(grid.graph.bars))
    assert freely[0.5] == THIRD_BEAT
    (swung,) = [kind for beat, kind in freely.items() if beat == pytest.approx(2 / 3)]
    assert swung == HALF_BEAT
    assert 0.5 not in kinds(grid, 0)
