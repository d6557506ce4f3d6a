"""What of one take does its class need to know? Our own rules, no source."""

import pickle
from dataclasses import replace

from evaluator.judge.verdict import StrikeFault
from evaluator.report.class_take import class_take, unread_take
from tests.report.builders import (
    PERFECT,
    finding,
    incomplete_chord,
    judgement,
    lost,
    off_beat,
    report,
    root_for_bass,
    wrong_chord,
)
from tests.report.class_builders import SONG, bar, foreign, take


def kinds(one) -> list[tuple[int, str, str]]:
    return [(SONG.bars[stumble.bar].number, stumble.kind, stumble.case) for stumble in one.stumbles]


def test_a_right_take_has_no_stumbles_and_was_heard_throughout() -> None:
    one = take("Anna")
    assert one.stumbles == ()
    assert len(one.heard) == SONG.count
    assert (one.status, one.passed, one.complete) == ("graded", True, True)


def test_every_fault_that_costs_is_a_stumble_in_its_bar() -> None:
    missed = StrikeFault("missed", 2.0, "left")
    one = take(
        "Anna",
        {
            5: wrong_chord(bar(5), "G"),
            6: root_for_bass(bar(6), "C#", "A"),
            7: incomplete_chord(bar(7), "D"),
            8: off_beat(bar(8), 0.7, missed),
        },
    )
    assert kinds(one) == [
        (5, "chord", "chord wrong"),
        (6, "bass", "bass root"),
        (7, "incomplete", "chord incomplete"),
        (8, "rhythm", "missed"),
    ]


def test_a_missing_bar_was_come_by_and_stumbled_on() -> None:
    order = [index for index in SONG.written if SONG.bars[index].number != 19]
    one = take("Anna", form=[finding("missing", [19], SONG)], order=order)
    assert kinds(one) == [(19, "missing", "missing")]
    assert len(one.heard) == SONG.count
    assert (one.missing, one.extra) == (1, 0)


def test_a_restart_is_a_stumble_where_it_went_on() -> None:
    one = take("Anna", form=[finding("restart", [9, 10], SONG, halt=2.0)])
    assert kinds(one) == [(9, "restart", "restart")]
    assert one.restarts == 1


def test_a_choice_is_no_stumble() -> None:
    assert take("Anna", form=[finding("choice", [9], SONG, detail="times")]).stumbles == ()


def test_what_could_not_be_followed_counts_neither_way() -> None:
    one = take("Anna", {5: lost(bar(5))})
    assert one.stumbles == ()
    assert bar(5).bar not in one.heard


def test_a_bar_that_came_twice_counts_as_the_last_time() -> None:
    order = [*SONG.written[:5], *SONG.written[4:]]
    assert take("Anna", {5: wrong_chord(bar(5), "G")}, order=order).stumbles == ()
    assert take("Anna", {6: wrong_chord(bar(5), "G")}, order=order).stumbles != ()


def test_another_song_has_neither_marks_nor_stumbles() -> None:
    one = foreign("Leo")
    assert (one.status, one.marks, one.passed, one.stumbles) == ("another song", None, False, ())
    assert one.headline.startswith("This does not sound like Kettle Lane")


def test_an_early_stop_is_noted() -> None:
    stops = "The take stops in Chorus 2, bar 32: 32 of 32 bars were played."
    assert take("Anna", complete=False).notes == (stops,)


def test_a_take_that_was_hardly_followed_is_no_lesson() -> None:
    few = {number: lost(bar(number)) for number in range(1, 9)}
    many = {number: lost(bar(number)) for number in range(1, 10)}
    assert take("Anna", few).sure
    assert not take("Anna", many).sure
    assert "hardly be followed" in take("Anna", many).notes[-1]


def test_a_take_that_goes_astray_or_has_other_chords_is_no_lesson() -> None:
    jumps = [finding("missing", [number], SONG) for number in (5, 9, 13, 17)]
    assert take("Anna", form=jumps[:3]).sure
    assert not take("Anna", form=[*jumps, finding("extra", [25], SONG)]).sure
    other = replace(PERFECT, parts={**PERFECT.parts, "chord": 40.0})
    judged = replace(judgement(SONG), marks=other)
    assert not class_take(SONG, judged, report(judged, SONG), student="Anna", file="a.mid").sure


def test_takes_go_between_processes() -> None:
    for one in (
        take("Anna", {5: wrong_chord(bar(5), "G")}),
        unread_take(student="Ben", file="x", problem="y"),
    ):
        assert pickle.loads(pickle.dumps(one)) == one
