"""The three things to put right are three different things. Wordings are our own."""

from dataclasses import replace

from evaluator.judge.verdict import FormFinding, StrikeFault
from tests.judge.songs import HEAD
from tests.judge.songs import song as chart
from tests.judge.truth_path import judged as judged_take
from tests.playing import Lacking, WrongChord, play
from tests.report.builders import (
    finding,
    judgement,
    off_beat,
    report,
    right_bar,
    root_for_bass,
    song,
)


def put_right_first(*faults: WrongChord | Lacking) -> tuple[str, ...]:
    graph = chart(
        HEAD.replace("bass: A = C#\n", "") + "[Verse]\n| D | G | Bm7 | E7 |\n| D | G | E | D |\n"
    )
    return report(judged_take(graph, play(graph, faults=faults)), graph).fix_first


def test_one_tone_of_the_key_taken_for_another_is_one_thing() -> None:
    assert put_right_first(WrongChord(4, "Em7"), WrongChord(7, "Em")) == (
        "G was played instead of G# in E7 and E (Verse, bars 4 and 7).",
    )


def test_a_third_left_out_of_several_chords_is_one_thing() -> None:
    assert put_right_first(Lacking(1, "F#"), Lacking(2, "B"), Lacking(5, "F#")) == (
        "The third was left out of D and G (Verse, bars 1, 2 and 5).",
    )


def test_plain_roots_under_several_chords_are_one_thing() -> None:
    graph = song()
    spoiled = {
        6: root_for_bass(right_bar(graph, 5, 6), "C#", "A"),
        8: root_for_bass(right_bar(graph, 7, 8), "B", "G"),
    }
    (told,) = report(judgement(graph, spoiled=spoiled), graph).fix_first
    assert told.startswith(
        "The root was played where the chart has another bass note: C# under A and B under G"
    )


def test_a_hand_that_is_late_in_several_places_is_one_thing() -> None:
    graph = song()
    late = [StrikeFault("late", beat, "right", 140.0) for beat in (1.0, 3.0)]
    spoiled = {n: off_beat(right_bar(graph, n - 1, n), 0.6, *late) for n in (2, 3, 4)}
    assert len(report(judgement(graph, spoiled=spoiled), graph).fix_first) == 1


def form(*findings: FormFinding) -> tuple[str, ...]:
    told = report(judgement(song(), form=list(findings)), song())
    return tuple(one.say for one in told.form_told)


def test_one_verse_in_place_of_another_is_one_mistake() -> None:
    graph = song()
    verse = range(21, 25)
    again = replace(finding("extra", range(5, 13), graph, detail="section"), at=50.0)
    gone = replace(finding("missing", verse, graph, detail="section"), at=60.0)
    assert form(again, gone) == ("Verse 1 was played in place of Verse 2 (bars 21 to 24).",)
    told = report(judgement(graph, form=[again, gone]), graph)
    assert "Verse 1 in place of Verse 2" in told.headline
    assert told.fix_first == form(again, gone)


def test_whole_sections_left_out_are_named_together() -> None:
    graph = song()
    gone = finding("missing", range(13, 25), graph, detail="sections")
    assert form(gone) == ("Chorus and Verse 2 left out (bars 13 to 24).",)
