"""The sentence at the top, and what must be known to read the marks."""

from dataclasses import replace

from evaluator.judge.verdict import Drift, Judgement, ShortBar, StrikeFault
from tests.report.builders import (
    finding,
    incomplete_chord,
    judgement,
    marks,
    off_beat,
    report,
    right_bar,
    song,
    student_take,
    wrong_chord,
)

NEARLY = marks(96.0, 98.0, 98.0, 97.0, 90.0)


def test_a_faultless_take_is_praised() -> None:
    graph = song()
    told = report(judgement(graph), graph)
    assert told.headline == "Well played: all 32 bars right, none missing and none too many."
    assert told.remarks == ()


def test_one_bar_short_is_nearly_there() -> None:
    graph = song()
    order = [index for index in graph.written if graph.bars[index].number != 32]
    judged = judgement(graph, order, form=[finding("missing", [32], graph)], marks=NEARLY)
    assert report(judged, graph).headline == (
        "Nearly there: 31 of 32 bars right, one bar missing from the tail of Chorus 2."
    )


def test_the_pattern_is_told_apart_from_the_notes() -> None:
    graph, judged = student_take()
    assert report(judged, graph).headline == (
        "Well on the way: 26 of 31 bars with the right chords and bass, the pattern off in"
        " one bar, one bar missing from the tail of Chorus 2."
    )


def test_many_things_about_the_form_are_counted() -> None:
    graph = song()
    form = [
        finding("extra", [6], graph),
        finding("extra", [20], graph),
        finding("break", [9], graph, halt=2.0),
    ]
    assert report(judgement(graph, form=form, marks=NEARLY), graph).headline == (
        "Nearly there: all 32 bars right, the bar count off in two places, one halt along the way."
    )


def test_a_poor_take_is_met_kindly_and_exactly() -> None:
    graph = song()
    spoiled = {n: wrong_chord(right_bar(graph, n - 1, n), "F") for n in range(1, 5)}
    judged = judgement(graph, range(8), spoiled=spoiled, marks=marks(40.0, 50.0, 100.0, None, 50.0))
    assert report(judged, graph).headline == "A start: 4 of 8 bars right."


def test_a_bar_taken_again_counts_as_played_the_last_time() -> None:
    graph = song()
    order = [0, 1, 1, 2, 3]
    judged = judgement(graph, order, spoiled={2: wrong_chord(right_bar(graph, 1, 2), "A")})
    assert "all four bars right" in report(judged, graph).headline


def test_a_take_that_stops_is_judged_as_far_as_it_goes() -> None:
    graph = song()
    judged = judgement(graph, range(8))
    told = report(judged, graph, complete=False)
    assert told.headline == (
        "The take stops in Verse 1, bar 8, and only what was played is judged: all eight bars "
        "right."
    )
    assert told.remarks == ()
    assert told.form == ()


def test_a_short_tail_at_the_very_end_is_no_early_stop() -> None:
    graph = song()
    form = [finding("missing", [32], graph, run=(29, 32))]
    judged = judgement(graph, graph.written[:-1], form=form, marks=NEARLY)
    told = report(judged, graph, complete=False)
    assert told.headline.startswith("Nearly there: 31 of 32 bars right, one bar missing")
    assert told.take.complete


def test_a_take_that_begins_later_is_said_to() -> None:
    graph = song()
    judged = judgement(graph, graph.written[12:])
    assert report(judged, graph).headline == (
        "The take begins in Chorus, bar 13, and only what was played is judged: all 20 bars right."
    )


def test_a_take_that_begins_later_and_stops_early_is_said_to_in_one_breath() -> None:
    graph = song()
    judged = judgement(graph, graph.written[12:16])
    assert report(judged, graph, complete=False).headline.startswith(
        "The take begins in Chorus, bar 13 and stops in Chorus, bar 16, and only what"
    )


def test_a_song_played_twice_through_is_said_to_be() -> None:
    graph = song()
    again = finding("choice", range(1, 33), graph, detail="through")
    judged = judgement(graph, (*graph.written, *graph.written), form=[again])
    told = report(judged, graph)
    assert told.headline.startswith("Well played: all 32 bars right")
    assert told.remarks == ("The song was played twice through, and all of it is judged.",)


def test_a_song_begun_again_after_its_end_does_not_stop_early() -> None:
    graph = song()
    again = finding("choice", range(1, 33), graph, detail="through")
    judged = judgement(graph, (*graph.written, *graph.written[:3]), form=[again])
    told = report(judged, graph, complete=False)
    assert told.headline.startswith("Well played: all 32 bars right")
    assert told.take.complete
    (remark,) = told.remarks
    assert remark.startswith("After its end the song was begun again, up to Intro, bar 3;")


def test_an_optional_beginning_left_out_is_no_late_beginning() -> None:
    graph = song()
    left_out = finding("choice", range(1, 5), graph, detail="left out")
    judged = judgement(graph, graph.written[4:], form=[left_out])
    assert report(judged, graph).remarks == ()


def test_a_transposed_take_is_said_to_be_one() -> None:
    graph = song()
    up, down = (
        report(judgement(graph), graph, transposed=semitones).remarks[0] for semitones in (2, -1)
    )
    assert up.startswith("The take sounds two semitones higher than the chart (the piano's")
    assert down.startswith("The take sounds one semitone lower than the chart")


def test_another_song_is_not_marked() -> None:
    graph = song()
    judged = judgement(
        graph,
        range(8),
        spoiled={2: wrong_chord(right_bar(graph, 1, 2), "F")},
        form=[finding("missing", [9], graph)],
        matches=False,
    )
    told = report(judged, graph)
    assert told.headline == (
        "This does not sound like Kettle Lane: too little of it fits the chart,"
        " so nothing is marked."
    )
    assert (told.bars, told.form, told.fix_first, told.practise) == ((), (), (), ())


def test_a_take_without_a_note_is_not_marked() -> None:
    graph = song()
    told = report(judgement(graph, [], matches=False), graph, complete=False)
    assert told.headline.startswith("This does not sound like Kettle Lane")
    assert told.remarks == ()


def test_repairs_are_told_and_long_lists_cut() -> None:
    graph = song()
    says = tuple(f"Fault {n} was mended." for n in range(1, 6))
    told = report(judgement(graph), graph, repairs=says)
    assert told.remarks == (
        "The recording had to be repaired. Fault 1 was mended. Fault 2 was mended."
        " Fault 3 was mended. And two other repairs.",
    )
    assert told.take.repairs == says


def test_places_that_could_not_be_followed_are_named() -> None:
    graph, judged = student_take()
    assert report(judged, graph).remarks == (
        "Verse 2, bar 24: could not be followed, so nothing there is judged or held against"
        " anyone.",
    )


def test_strikes_left_out_alone_leave_the_notes_right() -> None:
    graph = song()
    missed = StrikeFault("missed", 0.0, "left")
    spoiled = {2: off_beat(right_bar(graph, 1, 2), 0.8, missed)}
    judged = judgement(graph, spoiled=spoiled, marks=NEARLY)
    assert report(judged, graph).headline == (
        "Nearly there: all 32 bars with the right chords and bass, the pattern off in one bar."
    )


def test_a_tempo_that_drifts_is_told_with_both_ends() -> None:
    graph = song()
    judged = judgement(graph)
    tempo = replace(judged.tempo, drift=Drift(90.0, 66.0))
    assert report(replace(judged, tempo=tempo), graph).remarks == (
        "The tempo slows from beginning to end: 90 beats a minute at first, 66 at last.",
    )


def short(*bars: tuple[int, int]) -> Judgement:
    """Bars of the chart that lost so many beats, by number."""
    judged = judgement(song())
    index = {song().bars[at].number: at for at in song().written}
    lost = tuple(ShortBar(index[number], beats) for number, beats in bars)
    return replace(judged, tempo=replace(judged.tempo, short=lost))


def test_bars_that_lost_a_beat_are_told() -> None:
    graph = song()
    assert report(short((7, 1)), graph).remarks == ("Verse 1, bar 7 is a beat short.",)
    assert report(short((4, 1), (8, 1), (12, 1)), graph).remarks == (
        "Intro, bar 4; Verse 1, bars 8 and 12 are a beat short, each of them the last of its line.",
    )
    assert report(short((7, 2)), graph).remarks == ("Verse 1, bar 7 is two beats short.",)


def test_bars_that_go_slowly_are_told() -> None:
    graph, judged = song(), judgement(song())

    def told(*bars: int) -> tuple[str, ...]:
        slow = tuple(graph.written[number - 1] for number in bars)
        return report(replace(judged, tempo=replace(judged.tempo, slow=slow)), graph).remarks

    assert told(7) == ("Verse 1, bar 7 is much slower than the bars around it.",)
    assert told(7, 8) == ("Verse 1, bars 7 and 8 are much slower than the bars around them.",)


def test_few_bars_with_a_note_missing_are_counted_in_words() -> None:
    graph = song()
    lacking = incomplete_chord(right_bar(graph, 6, 7), "Bm")
    told = report(judgement(graph, spoiled={7: lacking}), graph)
    assert "31 of 32 bars right, a note of the chord missing in one more." in told.headline


def test_beats_that_are_counted_otherwise_are_told() -> None:
    judged = judgement(song())
    tempo = replace(judged.tempo, counted=3)
    assert report(replace(judged, tempo=tempo), song()).remarks == (
        "Three beats are played in every bar; the chart has four.",
    )
