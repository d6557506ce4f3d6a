"""How much of the song was played? Own rules, no source."""

from collections.abc import Iterable
from dataclasses import replace

from evaluator.chart import read_chart
from evaluator.judge.extent import extent_of
from evaluator.judge.verdict import BarVerdict, FormFinding
from tests.report.builders import finding, right_bar

SONG = read_chart("""title: Row
tempo: 90
[Intro] optional
| C | F |
[A]
| C | F | G | C |
[B]
| F | C | G | C | x2-3
""")
"""Bars from 1: the intro 1 and 2, A 3 to 6, B 7 to 10, again to 14 and, if one likes, to 18."""


def extent(numbers: Iterable[int], *form: FormFinding, lost: Iterable[int] = ()):
    index = {SONG.bars[bar].number: bar for bar in SONG.written}
    unheard = set(lost)
    bars: list[BarVerdict] = []
    for played, number in enumerate(numbers, start=1):
        bar = right_bar(SONG, index[number], played)
        bars.append(replace(bar, judged=number not in unheard))
    found = extent_of(SONG, bars, form)
    assert found is not None
    return found


def test_the_whole_song_is_all_of_it_whatever_may_be_left_out() -> None:
    assert extent(range(1, 19)).share == 1.0
    assert extent(range(3, 15)).share == 1.0


def test_a_take_that_stops_early_lacks_the_shortest_way_to_an_end() -> None:
    found = extent(range(1, 7))
    assert (found.first, found.last, found.unreached, found.bars) == (1, 6, 8, 14)
    assert found.share == 6 / 14


def test_a_take_that_begins_late_lacks_what_comes_before() -> None:
    found = extent(range(7, 15))
    assert (found.unreached, found.bars) == (4, 12)


def test_bars_left_out_on_the_way_were_to_be_played_as_well() -> None:
    found = extent([3, 4, 6, *range(7, 15)], finding("missing", [5], SONG))
    assert (found.unreached, found.played, found.bars) == (0, 11, 12)


def test_bars_that_could_not_be_followed_were_played_and_not_heard() -> None:
    found = extent(range(3, 15), lost=[4, 5, 6])
    assert (found.share, found.heard) == (1.0, 9 / 12)


def test_nothing_played_has_no_extent() -> None:
    assert extent_of(SONG, [], ()) is None
