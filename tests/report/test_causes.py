"""The three things to put right are three different things. Wordings are our own."""

from dataclasses import replace

from evaluator.judge.verdict import FormFinding, StrikeFault
from tests.judge.songs import HEAD
from tests.judge.songs import song as chart
from tests.judge.truth_path import judged as judged_take
from tests.playing import Lacking, WrongBass, WrongChord, play
from tests.report.builders import (
    finding,
    judgement,
    off_beat,
    report,
    right_bar,
    root_for_bass,
    song,
)


def put_right_first(*faults: WrongChord | WrongBass | Lacking) -> tuple[str, ...]:
    graph = chart(
        HEAD.replace("bass: A = C#\n", "") + "[Verse]\n| D | G | Bm7 | E7 |\n| D | G | E | D |\n"
    )
    return report(judged_take(graph, play(graph, faults=faults)), graph).fix_first


def test_one_tone_of_the_key_taken_for_another_is_one_thing() -> None:
    assert put_right_first(WrongChord(4, "Em7"), WrongChord(7, "Em")) == (
        "G was played instead of G# in E7 and E (Verse, bars 4 and 7).",
    )


def test_minor_for_major_in_several_chords_is_one_thing() -> None:
    faults = (WrongChord(1, "Dm"), WrongChord(2, "Gm"), WrongChord(5, "Dm"))
    assert put_right_first(*faults) == (
        "D and G were played as minor chords (Verse, bars 1, 2 and 5).",
    )


def test_the_fifth_in_the_bass_of_several_chords_is_one_thing() -> None:
    assert put_right_first(WrongBass(1, "A"), WrongBass(2, "D"), WrongBass(5, "A")) == (
        "The fifth was played where the chart has another bass note: A under D and D under G "
        "(Verse, bars 1, 2 and 5).",
    )


def test_the_fifth_under_one_chord_is_a_bass_note() -> None:
    assert put_right_first(WrongBass(1, "A"), WrongBass(5, "A")) == (
        "In the bass, A was played instead of D (Verse, bars 1 and 5).",
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


def test_lines_in_the_wrong_order_are_one_mistake() -> None:
    graph = song()
    gone = replace(finding("missing", range(5, 9), graph, detail="line"), at=20.0)
    late = replace(finding("extra", range(5, 9), graph, detail="line"), at=30.0)
    said = (
        'Verse 1: the line "Down by the kettle where the lane ..." was played later than the chart'
        " has it (bars 5 to 8).",
    )
    assert form(gone, late) == said
    told = report(judgement(graph, form=[gone, late]), graph)
    assert told.fix_first == said
    assert "all 32 bars right, a line of Verse 1 out of order." in told.headline


def test_short_tails_are_one_thing() -> None:
    graph = song()
    tails = [finding("missing", range(18, 21), graph), finding("missing", [32], graph)]
    assert report(judgement(graph, form=tails), graph).fix_first == (
        "Two tails are cut short: Chorus by three bars and Chorus 2 by one bar.",
    )


def test_the_last_bars_of_lines_played_twice_are_one_thing() -> None:
    graph = song()
    twice = [finding("extra", [number], graph) for number in (4, 8, 12)]
    assert report(judgement(graph, form=twice), graph).fix_first == (
        "Three bars were played once too often, each of them the last of its line"
        " (Intro, bar 4; Verse 1, bars 8 and 12).",
    )


def test_bars_left_out_anywhere_are_no_ends_of_lines() -> None:
    graph = song()
    gone = [finding("missing", [number], graph) for number in (2, 6, 10)]
    assert report(judgement(graph, form=gone), graph).fix_first == (
        "Three bars are left out (Intro, bar 2; Verse 1, bars 6 and 10).",
    )


HALVES = HEAD.replace("bass: A = C#\n", "") + "[Verse]\n| D / G / | Bm7 / E7 / | A | D |\n"


def test_a_change_within_the_bar_that_is_not_made_is_one_thing() -> None:
    graph = chart(HALVES)
    faults = (WrongChord(1, "D", 2.0), WrongChord(2, "Bm7", 2.0))
    assert report(judged_take(graph, play(graph, faults=faults)), graph).fix_first == (
        "The bar's first chord was kept where it changes to G and E7 (Verse, bars 1 and 2).",
    )


def test_a_hand_that_stops_for_some_bars_is_one_thing() -> None:
    graph = chart(HALVES + "| G | A | Bm7 | D |\n| D | G | A | D |\n")
    whole = play(graph)
    bars = whole.truth.bars
    begin, end = bars[4].start - 0.2, bars[7].end - 0.2
    left = tuple(n for n in whole.notes if n.hand == "left" or not begin <= n.onset < end)
    (told,) = report(judged_take(graph, replace(whole, notes=left)), graph).fix_first
    assert told == "The right hand does not play (Verse, bars 5 to 8)."


def test_two_chords_that_are_played_for_each_other_are_one_thing() -> None:
    graph = chart(HEAD + "[Verse]\n| D | G | D | G |\n| A | D | G | D |\n")
    faults = [WrongChord(bar, "G") for bar in (1, 3)] + [WrongChord(bar, "D") for bar in (2, 7)]
    (told,) = report(judged_take(graph, play(graph, faults=faults)), graph).fix_first
    assert told == "D and G were exchanged (Verse, bars 1 to 3 and 7)."


def test_a_chord_that_is_played_for_another_once_is_no_exchange() -> None:
    graph = chart(HEAD + "[Verse]\n| D | G | D | G |\n| A | D | G | D |\n")
    faults = [WrongChord(1, "G"), WrongChord(2, "D")]
    assert len(report(judged_take(graph, play(graph, faults=faults)), graph).fix_first) == 2


def test_a_chord_with_a_wrong_tone_is_not_exchanged_with_itself() -> None:
    graph = chart(HEAD.replace("bass: A = C#\n", "") + "[Verse]\n| Bm7 | G | Bm7/A | G |\n")
    faults = [WrongChord(1, "Bm7b5"), WrongChord(3, "Bm7b5")]
    told = report(judged_take(graph, play(graph, faults=faults)), graph).fix_first
    assert told == ("F was played instead of F# in Bm7 and Bm7/A (Verse, bars 1 and 3).",)
