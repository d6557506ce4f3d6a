"""The pictures of time, and the same in words and numbers."""

import re

from evaluator.show.pages.strips import BOTTOM, LINE, ROOM, bar_times, strips
from tests.playing import Early, Late, Missed
from tests.show.pages.takes import BARE, graded

POINT = re.compile(r"M([\d.]+) ([\d.]+)")


def points(path: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in POINT.findall(path)]


def test_bars_stand_by_fours_and_begin_anew_with_each_section() -> None:
    shown = strips(graded(without=(9, 10, 11, 12)))
    assert [[bar.number for bar in strip.bars] for strip in shown] == [
        [1, 2, 3, 4],
        [5, 6, 7, 8],
        [13, 14, 15, 16],
        [17, 18, 19, 20],
    ]
    assert all(strip.width == strip.filled == ROOM for strip in shown)


def test_late_lies_below_the_line_and_early_above_each_on_its_stem() -> None:
    faults = (Late(3, 2.0, "left", 140), Early(4, 1.0, "right", 140))
    first = strips(graded(*faults))[0]
    dots = dict(first.dots)
    ((_, late),), ((_, early),) = points(dots["left off"]), points(dots["right off"])
    assert early < LINE - 20 < LINE + 20 < late <= BOTTOM
    assert len(points(first.stems)) == 2


def test_strikes_stand_in_the_order_of_the_beats() -> None:
    right = points(dict(strips(graded())[0].dots)["right"])
    places = [x for x, _ in right]
    assert places == sorted(places)
    assert len(places) == 12  # three a bar
    assert 0 < places[0] < places[-1] < ROOM


def test_each_picture_says_in_words_what_it_shows() -> None:
    shown = strips(graded(Missed(1, 2.5, "right"), Late(3, 2.0, "left", 140)))
    assert shown[0].say == "Verse, bars 1 to 4: 18 strikes in time, 1 late, 1 missed"
    assert len(points(shown[0].missed)) == 1


def test_a_chart_without_patterns_has_no_picture() -> None:
    assert strips(graded(chart=BARE)) == ()


def test_the_numbers_are_those_of_the_verdicts() -> None:
    rows = bar_times(graded(Missed(1, 2.5, "right"), tempo=0.8))
    assert rows[0].counts == {"hits": 4, "early": 0, "late": 0, "missed": 1, "added": 0}
    assert [row.number for row in rows] == list(range(1, 21))
    assert all(row.bpm is not None and abs(row.bpm - 76.8) < 2 for row in rows)


def test_a_strip_in_which_every_strike_came_in_time_is_left_out_in_print() -> None:
    shown = strips(graded(Missed(1, 2.5, "right"), Late(6, 2.0, "left", 140)))
    assert [one.even for one in shown[:3]] == [False, False, True]
