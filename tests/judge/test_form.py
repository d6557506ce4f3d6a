"""Were all the bars there, none missing and none too many? Common practice, no source."""

import pytest

from evaluator.judge.verdict import FormFinding
from tests.judge.songs import HEAD, SONG, VERSE, order, song, take
from tests.playing import Pause, Restart

# Bars 1-8 verse, 9-12 chorus, 13-16 its tail, 17-20 bridge, 21-24 chorus 2, 25-27 its tail.
ALL = tuple(range(1, 28))
WITHOUT_BRIDGE = (*range(1, 17), *range(21, 28))


def findings(*numbers: int, text: str = SONG, faults=(), **manner) -> tuple[FormFinding, ...]:
    graph = song(text)
    return take(*faults, graph=graph, bars=order(graph, *numbers), **manner).form


def test_a_whole_take_has_nothing_to_say_of_its_form() -> None:
    assert findings(*ALL) == ()


def test_a_tail_of_three_bars_where_four_are_written() -> None:
    (found,) = findings(*(number for number in ALL if number != 14))
    assert (found.kind, found.count, found.tail) == ("missing", 1, True)
    assert found.section == "Chorus 1"
    assert found.run == (12, 16)
    assert found.bars == (16,)


def test_a_tail_of_five_bars_where_four_are_written() -> None:
    (found,) = findings(*range(1, 17), 16, *range(17, 28))
    assert (found.kind, found.count, found.tail, found.run) == ("extra", 1, True, (12, 16))


def test_the_last_tail_cut_short_is_said_unless_its_chord_rings_on() -> None:
    (found,) = findings(*ALL[:-1])
    assert (found.kind, found.count, found.tail, found.section) == ("missing", 1, True, "Chorus 2")


def test_a_bar_that_sounds_like_no_neighbour_is_named_alone() -> None:
    (found,) = findings(*(number for number in ALL if number != 3))
    assert (found.kind, found.bars, found.count, found.run) == ("missing", (3,), 1, None)
    assert found.detail == "bars"


def test_a_bar_played_twice_is_one_too_many() -> None:
    (found,) = findings(1, 2, 3, 3, *range(4, 28))
    assert (found.kind, found.bars, found.run) == ("extra", (3,), None)


def test_a_missing_line_is_called_a_line() -> None:
    (found,) = findings(1, 2, 3, 4, *range(9, 28))
    assert (found.kind, found.bars, found.detail) == ("missing", (5, 6, 7, 8), "line")


def test_a_section_that_may_not_be_left_out_is_missing() -> None:
    (found,) = findings(*range(1, 9), *range(17, 28))
    assert (found.kind, found.count, found.detail) == ("missing", 8, "section")


def test_a_line_played_again_is_so_many_bars_extra() -> None:
    (found,) = findings(1, 2, 3, 4, 1, 2, 3, 4, *range(5, 28))
    assert (found.kind, found.count, found.detail) == ("extra", 4, "line")


def test_a_restart_within_a_section_that_came_twice_does_not_part_it() -> None:
    found = findings(*range(1, 9), 1, 2, 3, 3, *range(4, 28), faults=[Restart(11, 2.0, 2.0)])
    kinds = [(one.kind, one.bars) for one in found]
    assert kinds == [("extra", tuple(range(1, 9))), ("restart", (3, 3))]


def test_one_bar_missing_and_one_doubled_nearby_are_two_findings() -> None:
    found = findings(1, 2, 4, 5, 6, 6, *range(7, 28))
    assert [(one.kind, one.bars) for one in found] == [("missing", (3,)), ("extra", (6,))]


def test_bars_skipped_while_they_come_again_are_not_missing() -> None:
    found = findings(1, 2, 3, 4, 2, 4, *range(5, 28))
    assert [(one.kind, one.count) for one in found] == [("extra", 2)]


def test_an_optional_section_may_be_left_out() -> None:
    (found,) = findings(*WITHOUT_BRIDGE)
    assert (found.kind, found.detail, found.section) == ("choice", "left out", "Bridge")
    assert (found.bars, found.count) == ((17, 18, 19, 20), 0)


def test_a_line_within_its_range_is_a_choice_and_outside_it_a_mistake() -> None:
    text = HEAD + "[A]\n| D | A |\n| Bm7 | x2-4\n[B]\n| G | A |\n"
    assert findings(1, 2, 3, 4, 5, 6, 7, 8, text=text) == ()
    (three,) = findings(1, 2, 3, 4, 5, 7, 8, text=text)
    assert (three.kind, three.detail, three.bars) == ("choice", "times", (6,))
    (one,) = findings(1, 2, 3, 7, 8, text=text)
    assert (one.kind, one.count) == ("missing", 1)
    (five,) = findings(1, 2, 3, 4, 5, 6, 6, 7, 8, text=text)
    assert (five.kind, five.count) == ("extra", 1)


def test_an_open_range_may_go_on_and_on() -> None:
    text = HEAD + "[A]\n| D | A |\n| Bm7 | x2+\n[B]\n| G | A |\n"
    (found,) = findings(1, 2, 3, 4, 4, 4, 5, 6, text=text)
    assert (found.kind, found.detail, found.bars) == ("choice", "times", (4, 4))


@pytest.mark.parametrize(
    ("line", "played", "again"),
    [("| D | x2+", (3, 4, 4, 4), (4, 4)), ("| D | A | x1+", (3, 4, 3, 4, 3, 4), (3, 4, 3, 4))],
)
def test_an_open_range_at_the_end_of_the_song_may_go_on_and_on(
    line: str, played: tuple[int, ...], again: tuple[int, ...]
) -> None:
    """There no bar follows but the line itself."""
    text = HEAD + f"[A]\n| D | A |\n{line}\n"
    (found,) = findings(1, 2, *played, text=text)
    assert (found.kind, found.detail, found.bars) == ("choice", "times", again)
    assert findings(1, 2, 3, 4, text=text) == ()


def test_an_or_line_is_a_choice_and_named() -> None:
    graph = song(HEAD + "[A]\n| D | A | G | A |\nor | D | Em7 |\n[B]\n| G | A |\n")
    other = [bar.index for bar in graph.bars if bar.alternative]
    (found,) = take(graph=graph, bars=[*other, *order(graph, 5, 6)]).form
    assert (found.kind, found.detail) == ("choice", "or line")


def test_a_take_that_stops_early_or_begins_later_is_partial() -> None:
    assert findings(1, 2, 3, 4, 5) == ()
    assert findings(*range(9, 28)) == ()


def test_a_restart_is_one_finding_and_what_it_repeats_is_not_extra() -> None:
    (found,) = findings(1, 2, 3, 3, *range(4, 28), faults=[Restart(3, 2.0, 2.0)])
    assert (found.kind, found.bars[0], found.count, found.detail) == ("restart", 3, 1, "bar")
    assert abs(found.halt - 2.0) < 0.1
    (found,) = findings(1, 2, 3, 1, *range(2, 28), faults=[Restart(3, 2.0, 1.0)])
    assert (found.kind, found.bars[0], found.count, found.detail) == ("restart", 1, 3, "line")


@pytest.mark.parametrize("after", [(3,), (3, 4), (3, 4, 5, 6), tuple(range(3, 28))])
def test_bars_that_were_skipped_and_gone_back_for_are_not_missing(after: tuple[int, ...]) -> None:
    """Wherever the player stops afterwards."""
    (found,) = findings(1, 2, 3, 4, 7, 8, *after, faults=[Restart(6, 2.0, 1.0)])
    assert (found.kind, found.bars[0]) == ("restart", 3)


def test_bars_that_were_skipped_and_gone_back_for_in_part_are_missing_in_part() -> None:
    found = findings(1, 2, 3, 4, 7, 8, *range(6, 28), faults=[Restart(6, 2.0, 1.0)])
    assert [(one.kind, one.bars[0]) for one in found] == [("missing", 5), ("restart", 6)]


def test_bars_that_were_skipped_again_after_going_back_are_missing_once() -> None:
    found = findings(1, 2, 3, 4, 7, 8, 3, 4, *range(7, 28), faults=[Restart(6, 2.0, 1.0)])
    assert [(one.kind, one.bars) for one in found] == [("restart", (3, 8)), ("missing", (5, 6))]
    found = findings(1, 2, 4, 5, 1, 2, *range(7, 28), faults=[Restart(4, 2.0, 1.0)])
    assert [one.bars for one in found if one.kind == "missing"] == [(3,), (6,)]


def test_the_bars_about_a_restart_are_judged_as_far_as_they_were_played() -> None:
    graph = song()
    bars = order(graph, 1, 2, 3, 3, *range(4, 28))
    verdict = take(Restart(3, 2.0, 2.0), graph=graph, bars=bars)
    assert [fault for bar in verdict.bars for fault in bar.rhythm.faults] == []
    assert verdict.bars[2].rhythm.hits == 2


def test_a_first_chord_that_is_held_is_no_halt() -> None:
    """Common practice, no source: a song may open with a fermata; no tempo was heard before it."""
    assert findings(*ALL, faults=[Pause(1, 1.0, 1.5)]) == ()
    (found,) = findings(*ALL, faults=[Pause(1, 2.0, 1.5)])
    assert (found.kind, found.bars) == ("break", (1,))


def test_a_halt_is_a_break_and_a_hesitation_is_not() -> None:
    (found,) = findings(*ALL, faults=[Pause(3, 2.0, 1.5)])
    assert (found.kind, found.bars, found.count) == ("break", (3,), 0)
    assert abs(found.halt - 1.5) < 0.1
    assert findings(*ALL, faults=[Pause(3, 2.0, 0.4)]) == ()


def test_in_slow_music_a_break_is_longer() -> None:
    slow = SONG.replace("tempo: 96", "tempo: 50")
    assert findings(*ALL, text=slow, faults=[Pause(3, 2.0, 1.0)]) == ()


def test_a_bar_of_two_beats_is_a_bar() -> None:
    (found,) = findings(*(number for number in ALL if number != 11))
    assert (found.kind, found.bars, found.run) == ("missing", (11,), None)


def test_in_a_line_that_comes_twice_only_the_run_is_certain() -> None:
    text = HEAD + "[A]\n| D | A | Bm7 | G | x2\n[B]\n| Em7 | A |\n"
    (found,) = findings(1, 2, 3, 4, 9, 10, text=text)
    assert (found.count, found.detail, found.run) == (4, "line", (1, 8))
    assert found.bars == (5, 6, 7, 8)


def test_the_verse_alone_has_no_tail() -> None:
    (found,) = findings(1, 2, 3, 5, 6, 7, 8, text=HEAD + VERSE)
    assert not found.tail


def test_a_song_that_has_ended_may_be_played_once_more() -> None:
    (found,) = findings(*ALL, *ALL)
    assert (found.kind, found.detail, found.bars[0]) == ("choice", "through", 1)


def test_it_may_be_begun_once_more_after_a_rest_and_broken_off() -> None:
    (found,) = findings(*ALL, *range(1, 7), faults=(Pause(28, 0.0, 6.0),))
    assert (found.kind, found.detail) == ("choice", "through")


def test_what_is_missing_the_second_time_is_missing_all_the_same() -> None:
    again, lost = findings(*ALL, *(number for number in ALL if number != 3))
    assert again.detail == "through"
    assert (lost.kind, lost.bars) == ("missing", (3,))
