"""Where in the song may a strike stand? Read off the charts by hand."""

import numpy as np
import pytest

from evaluator.chart import BarGraph
from evaluator.follow.grid import (
    APART,
    BEAT,
    BETWEEN,
    CHANGE,
    DOWNBEAT,
    EXPECTS_BOTH,
    EXPECTS_LEFT,
    EXPECTS_NOTHING,
    EXPECTS_RIGHT,
    HALF_BEAT,
    Grid,
    lay_out,
)
from tests.follow.songs import FOUR, HEAD, LINES, OR_LINE, order, song

PLAIN = "title: No Pattern\ntempo: 60\n[Verse]\n| C | F / G / |\n"
TRIPLETS = HEAD.replace("x . x . |", "x . . . . . . . x . . . |").replace(
    ". x . x |", ". . . . x . . . . . . . |"
)


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
    assert grid.bar_x.tolist() == pytest.approx([2.4 * place for place in range(24)])
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
    line = [at for at in range(len(grid.x)) if grid.kind[at] != EXPECTS_NOTHING]
    assert grid.wanted_before[line].tolist() == list(range(16))
    assert grid.wanted_through[line].tolist() == list(range(1, 17))


def test_the_next_natural_places_are_the_patterns() -> None:
    grid = lay_out(song(FOUR))
    assert grid.beat[grid.ahead[0]].tolist() == [1, 2, 3, 0]
    assert grid.bar[grid.ahead[0]].tolist() == [0, 0, 0, 1]


def test_a_bar_is_entered_where_it_first_wants_a_strike() -> None:
    late = HEAD.replace("left  | x . x . |", "left  | . . x . |")
    grid = lay_out(song(late + "[Verse]\n| C | F |\n"))
    assert grid.beat[grid.first].tolist() == [0, 0]
    assert grid.beat[grid.entry].tolist() == [1, 1]


def test_every_sign_of_the_chart_has_its_own_span() -> None:
    grid = lay_out(song(PLAIN))
    per_bar = [len(set(grid.span[grid.bar == bar].tolist())) for bar in (0, 1)]
    assert per_bar == [1, 2]


def test_alike_chords_share_a_harmony() -> None:
    graph: BarGraph = song(HEAD + "[Verse]\n| C | F | C | F |\n")
    grid = lay_out(graph)
    assert len(grid.harmonies) <= 4  # C and F, each with and without the bass due
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
