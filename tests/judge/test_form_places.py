"""Where a finding of the form is said to be, and what is none. Common practice, no source."""

from dataclasses import replace

import pytest

from evaluator.follow.path import Path
from evaluator.judge.form import judge_form
from evaluator.judge.verdict import FormFinding
from evaluator.take.strike import strikes
from tests.judge.songs import HEAD, SONG, order, song, take
from tests.judge.truth_path import take_of, truth_path
from tests.playing import Fault, Pause, Performance, Restart, play

# Bars 1-8 verse, 9-12 chorus, 13-16 its tail, 17-20 bridge, 21-24 chorus 2, 25-27 its tail.
# A beat lasts 0.625 s, a bar of four 2.5 s; bars 11 and 23 have two beats.
ALL = tuple(range(1, 28))
WITHOUT_BRIDGE = (*range(1, 17), *range(21, 28))


def played(
    *numbers: int, text: str = SONG, faults: tuple[Fault, ...] = ()
) -> tuple[Performance, Path]:
    graph = song(text)
    performance = play(graph, order(graph, *numbers), faults=faults)
    return performance, truth_path(graph, performance, strikes(take_of(performance)))


def found(
    *numbers: int, text: str = SONG, faults: tuple[Fault, ...] = ()
) -> tuple[FormFinding, ...]:
    graph = song(text)
    return take(*faults, graph=graph, bars=order(graph, *numbers)).form


def test_nothing_played_is_nothing_found() -> None:
    _, path = played(*ALL)
    assert judge_form(song(), replace(path, bars=())) == ()


def test_bars_are_missing_where_the_next_one_begins_and_extra_where_they_begin() -> None:
    performance, _ = played(*(number for number in ALL if number != 3))
    (missing,) = found(*(number for number in ALL if number != 3))
    assert missing.at == pytest.approx(performance.truth.bars[2].start)
    assert missing.section == "Verse"
    performance, _ = played(1, 2, 3, 3, *range(4, 28))
    (extra,) = found(1, 2, 3, 3, *range(4, 28))
    assert extra.at == pytest.approx(performance.truth.bars[3].start)


def test_a_last_tail_cut_short_is_missing_where_the_playing_ends() -> None:
    performance, _ = played(*ALL[:-1])
    (missing,) = found(*ALL[:-1])
    assert missing.at == pytest.approx(performance.truth.bars[-1].end, abs=0.01)
    assert missing.bars == (27,)


@pytest.mark.parametrize(("held", "kinds"), [(0.6, []), (0.4, ["missing"])])
def test_a_last_chord_held_for_half_of_what_is_left_stands_for_it(
    held: float, kinds: list[str]
) -> None:
    _, path = played(*ALL[:-1])
    end = path.bars[-1].end + held * 2.5
    assert [one.kind for one in judge_form(song(), path, last_end=end)] == kinds


def test_a_slow_player_must_hold_the_last_chord_for_longer() -> None:
    graph = song()
    slow = play(graph, order(graph, *ALL[:-1]), tempo=0.5)
    path = truth_path(graph, slow, strikes(take_of(slow)))
    for held, count in ((0.6 * 2.5, 1), (0.6 * 5.0, 0)):
        assert len(judge_form(graph, path, last_end=path.bars[-1].end + held)) == count


def test_a_take_that_ends_within_a_line_of_the_tail_is_partial() -> None:
    two = HEAD + "[A]\n| D | A |\n| Bm7 | G | x2\n"
    assert found(1, 2, 3, 4, 5, text=two) == ()
    (missing,) = found(1, 2, 3, 4, text=two)
    assert (missing.kind, missing.count, missing.detail) == ("missing", 2, "line")


def test_a_take_that_ends_before_the_tail_is_partial() -> None:
    assert found(*range(1, 25)) == ()


def test_a_take_that_ends_in_a_tail_within_the_song_is_partial() -> None:
    # The last tail of the song alone is known to be cut short.
    assert found(*range(1, 15)) == ()


def test_an_optional_ending_may_be_left_out() -> None:
    text = HEAD + "[A]\n| D | A | Bm7 | G |\n[Coda] optional\n| D | A |\n"
    assert found(1, 2, 3, 4, 5, 6, text=text) == ()
    (choice,) = found(1, 2, 3, 4, text=text)
    assert (choice.kind, choice.detail, choice.section) == ("choice", "left out", "Coda")
    assert choice.bars == (5, 6)
    performance, _ = played(1, 2, 3, 4, text=text)
    assert choice.at == pytest.approx(performance.truth.bars[-1].end, abs=0.01)


def test_an_optional_beginning_may_be_left_out_and_another_start_is_partial() -> None:
    text = HEAD + "[Intro] optional\n| D | A |\n[A]\n| Bm7 | G | D | A |\n"
    assert found(1, 2, 3, 4, 5, 6, text=text) == ()
    (choice,) = found(3, 4, 5, 6, text=text)
    assert (choice.kind, choice.detail, choice.section) == ("choice", "left out", "Intro")
    assert (choice.bars, choice.count) == ((1, 2), 0)
    assert choice.at == pytest.approx(1.0)
    assert found(4, 5, 6, text=text) == ()


def test_what_was_chosen_is_told_where_it_was_chosen() -> None:
    performance, _ = played(*WITHOUT_BRIDGE)
    (choice,) = found(*WITHOUT_BRIDGE)
    assert choice.at == pytest.approx(performance.truth.bars[16].start)
    assert not choice.tail


def test_an_ending_with_another_line_than_the_first_is_whole() -> None:
    graph = song(HEAD + "[A]\n| D | A | G | A |\nor | D | Em7 |\n")
    other = [bar.index for bar in graph.bars if bar.alternative]
    (choice,) = take(graph=graph, bars=other).form
    assert (choice.kind, choice.detail) == ("choice", "or line")
    assert choice.bars == (1, 2)


def test_an_optional_section_left_out_by_mistake_of_more_is_missing_with_the_rest() -> None:
    missing = [one for one in found(*range(1, 17), *range(22, 28)) if one.kind == "missing"]
    assert [(one.bars, one.count) for one in missing] == [((21,), 1)]


def test_a_line_that_came_thrice_is_found_twice() -> None:
    numbers = (1, 2, 3, 4, 1, 2, 3, 4, 1, 2, 3, 4, *range(5, 28))
    extras = found(*numbers)
    assert [(one.kind, one.count, one.detail) for one in extras] == [("extra", 4, "line")] * 2
    assert extras[0].at < extras[1].at


def test_bars_after_a_jump_back_that_are_left_for_a_restart_are_extra_so_far() -> None:
    # Back to bar 1, on to bar 2, there broken off and taken up again at bar 5.
    numbers = (1, 2, 3, 4, 1, 2, *range(5, 28))
    kinds = [one.kind for one in found(*numbers, faults=(Restart(6, 2.0, 2.0),))]
    assert kinds == ["extra", "restart"]
    extra = found(*numbers, faults=(Restart(6, 2.0, 2.0),))[0]
    assert extra.count == 2


@pytest.mark.parametrize(
    ("numbers", "broken", "count", "detail"),
    [
        ((1, 2, 3, 3, *range(4, 28)), 3, 1, "bar"),
        ((1, 2, 3, 2, *range(3, 28)), 3, 2, "bar"),
        ((1, 2, 3, 1, *range(2, 28)), 3, 3, "line"),
        ((1, 2, 3, *range(4, 28)), 3, 0, "bar"),
        ((1, 2, 3, *range(5, 28)), 3, 1, "line"),
        ((1, 2, 3, *range(6, 28)), 3, 2, "bar"),
        ((1, 1, *range(2, 28)), 1, 1, "bar"),
    ],
)
def test_a_restart_counts_the_bars_that_it_repeats_or_skips(
    numbers: tuple[int, ...], broken: int, count: int, detail: str
) -> None:
    performance, _ = played(*numbers, faults=(Restart(broken, 2.0, 2.0),))
    (restart,) = found(*numbers, faults=(Restart(broken, 2.0, 2.0),))
    onto, before = numbers[broken], numbers[broken - 1]
    assert (restart.kind, restart.bars) == ("restart", (onto, before))
    assert (restart.count, restart.detail) == (count, detail)
    assert restart.section == "Verse"
    assert restart.at == pytest.approx(performance.truth.bars[broken].start)
    assert restart.halt == pytest.approx(2.0, abs=0.1)


def test_a_restart_over_an_optional_section_counts_only_what_must_be_played() -> None:
    numbers = (*range(1, 17), *range(22, 28))
    (restart,) = found(*numbers, faults=(Restart(16, 2.0, 2.0),))
    assert (restart.kind, restart.count, restart.bars) == ("restart", 1, (22, 16))


@pytest.mark.parametrize("beat", [0.0, 2.0, 2.5])
def test_a_halt_is_where_the_playing_stopped_and_as_long(beat: float) -> None:
    (halt,) = found(*ALL, faults=(Pause(3, beat, 1.5),))
    assert (halt.kind, halt.bars, halt.section, halt.tail) == ("break", (3,), "Verse", False)
    assert halt.halt == pytest.approx(1.5)
    # It begins where the next strike was due: a second, two bars and so many beats in.
    assert halt.at == pytest.approx(1.0 + 2 * 2.5 + beat * 0.625, abs=0.02)


def test_nobody_halts_before_the_second_strike() -> None:
    _, path = played(*ALL)
    first = path.bars[0]
    for beat, kinds in ((0.0, []), (1.0, []), (2.0, ["break"])):
        bars = (replace(first, pause=3.0, pause_beat=beat), *path.bars[1:])
        assert [one.kind for one in judge_form(song(), replace(path, bars=bars))] == kinds


def test_a_halt_is_a_break_from_seven_tenths_of_a_second_and_a_beat_on() -> None:
    # At 96 a beat is 0.625 s, so the seconds decide; at 60 the beat does.
    for text, seconds, count in (
        (SONG, 0.68, 0),
        (SONG, 0.75, 1),
        (SONG.replace("tempo: 96", "tempo: 60"), 0.95, 0),
        (SONG.replace("tempo: 96", "tempo: 60"), 1.05, 1),
    ):
        halts = found(*ALL, text=text, faults=(Pause(3, 2.0, seconds),))
        assert len(halts) == count, (text[40:60], seconds)


def test_patience_makes_a_break_a_hesitation() -> None:
    _, path = played(*ALL, faults=(Pause(3, 2.0, 1.5),))
    assert len(judge_form(song(), path)) == 1
    assert judge_form(song(), path, patience=3.0) == ()


def test_findings_stand_in_the_order_of_the_take() -> None:
    numbers = (1, 2, 4, 5, 6, 6, *range(7, 17), *range(21, 28))
    kinds = [one.kind for one in found(*numbers, faults=(Pause(9, 2.0, 1.5),))]
    assert kinds == ["missing", "extra", "break", "choice"]


def test_an_open_range_played_on_and_on_is_one_choice_with_the_bars_it_took() -> None:
    text = HEAD + "[A]\n| D | A |\n| Bm7 | x2+\n[B]\n| G | A |\n| Em7 | x2+\n[C]\n| D |\n"
    choices = found(1, 2, 3, 4, 4, 4, 5, 6, 7, 8, 8, 9, text=text)
    assert [(one.kind, one.detail) for one in choices] == [("choice", "times")] * 2
    assert [one.bars for one in choices] == [(4, 4), (8,)]
    assert [one.section for one in choices] == ["A", "B"]


def test_a_restart_where_no_legal_way_leads_counts_the_bars_between() -> None:
    # Out of the `or` line, whose way on leads past the bar that it is taken up with.
    graph = song(HEAD + "[A]\n| D | A | G | A |\nor | D | Em7 |\n[B]\n| G | A |\n")
    other = [bar.index for bar in graph.bars if bar.alternative]
    bars = [other[0], *order(graph, 4, 5, 6)]
    (restart,) = take(Restart(1, 2.0, 2.0), graph=graph, bars=bars).form[-1:]
    assert (restart.kind, restart.count) == ("restart", 2)


def test_a_line_lost_before_an_or_line_is_missing_from_where_it_was_left() -> None:
    graph = song(HEAD + "[A]\n| D | A |\n| G | Bm7 |\n| Em7 | D |\nor | A | G |\n")
    other = [bar.index for bar in graph.bars if bar.alternative]
    (missing,) = (
        one
        for one in take(graph=graph, bars=[*order(graph, 1, 2), *other]).form
        if one.kind == "missing"
    )
    assert (missing.bars, missing.detail) == ((3, 4), "line")


def test_a_jump_into_an_or_line_loses_the_bars_before_its_place() -> None:
    graph = song(HEAD + "[A]\n| D | A |\n| G | Bm7 | Em7 |\nor | G | Em7 | D |\n[B]\n| A |\n")
    other = [bar.index for bar in graph.bars if bar.alternative]
    bars = [*order(graph, 1, 2, 3), other[2], *order(graph, 6)]
    (missing,) = (one for one in take(graph=graph, bars=bars).form if one.kind == "missing")
    assert (missing.bars, missing.count) == ((4,), 1)


def test_bars_that_came_again_count_once_however_they_were_broken_off() -> None:
    # Back to bar 1, on to bar 2, there broken off and taken up at bar 1 once more.
    numbers = (1, 2, 3, 4, 1, 2, 1, 2, 3, 4, *range(5, 28))
    told = found(*numbers, faults=(Restart(6, 2.0, 2.0),))
    assert [(one.kind, one.count) for one in told] == [("extra", 4), ("restart", 2)]


def test_a_section_that_came_twice_but_for_a_bar_is_extra_and_the_bar_missing() -> None:
    numbers = (*range(1, 9), 1, 2, 4, 5, 6, 7, *range(8, 28))
    told = found(*numbers)
    assert [(one.kind, one.bars) for one in told] == [
        ("extra", tuple(range(1, 9))),
        ("missing", (3,)),
    ]
    assert told[0].detail == "section"


def test_a_bar_doubled_in_a_section_that_came_twice_is_extra_of_its_own() -> None:
    numbers = (*range(1, 9), 1, 2, 3, 3, *range(4, 28))
    told = found(*numbers)
    assert [(one.kind, one.bars) for one in told] == [
        ("extra", tuple(range(1, 9))),
        ("extra", (3,)),
    ]


def test_a_passage_within_one_that_came_again_may_be_left_for_the_rest_of_it() -> None:
    # Back to bar 1, at bar 4 back to bar 3, from there on to bar 6: bar 5 is lost.
    numbers = (*range(1, 9), 1, 2, 3, 4, 3, 6, 7, *range(8, 28))
    told = [(one.kind, one.bars) for one in found(*numbers)]
    assert told == [("extra", tuple(range(1, 9))), ("extra", (3,)), ("missing", (5,))]


def test_a_passage_of_which_too_little_came_again_is_only_that() -> None:
    told = found(*range(1, 9), 1, 5, *range(9, 28))
    assert [(one.kind, one.bars) for one in told] == [("extra", (1, 5))]


def test_bars_skipped_while_a_restart_makes_them_come_again_are_not_missing() -> None:
    numbers = (1, 2, 3, 4, 1, 3, 4, *range(5, 28))
    assert [one.kind for one in found(*numbers, faults=(Restart(4, 2.0, 2.0),))] == ["restart"]
