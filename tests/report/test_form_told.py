"""What is said about the form. The wordings are our own; what they count is the chart's."""

from collections import Counter
from dataclasses import replace

from evaluator.chart.graph import BarGraph
from evaluator.judge.verdict import FormFinding
from evaluator.report.form_told import brief, cost, say
from tests.report.builders import SONG, Line, finding, song


def said(found: FormFinding, graph: BarGraph, without: tuple[int, ...] = ()) -> str:
    """The sentence when every main bar but `without` was played once."""
    played = [index for index in graph.written if graph.bars[index].number not in without]
    return say(found, graph, Counter(played))


def test_a_short_tail_is_counted_against_the_chart() -> None:
    graph = song()
    assert said(finding("missing", [32], graph), graph, (32,)) == (
        "Chorus 2, the tail: three bars of D where the chart has four (bar 32)."
    )


def test_a_tail_of_bars_that_sound_alike_is_certain_only_in_its_count() -> None:
    graph = song()
    assert said(finding("missing", [32], graph, run=(28, 32)), graph, (32,)) == (
        "Chorus 2, the tail: three bars of D where the chart has four (bars 29 to 32)."
        " These bars sound alike, so only the count is certain."
    )


def test_a_tail_whose_empty_bar_lies_before_it_is_counted_as_well() -> None:
    """Bar 28 is a D as the tail's are: the follower may have put the gap there."""
    graph = song()
    found = finding("missing", [32], graph, run=(28, 32))
    assert "the tail: three bars of D where the chart has four" in said(found, graph, (28,))


def test_a_range_whose_empty_bar_lies_before_it_is_counted_by_its_own_bars() -> None:
    """`x2-4` after a D: the follower may have put the gap into that D."""
    graph = song([("Chorus", (Line("G | D"), Line("D", times=4, tail=True)))])
    found = finding("missing", [4], graph, run=(2, 4))
    assert said(found, graph, (2, 5, 6)).startswith(
        "Chorus, the tail: one bar of D where the chart has at least two (bars 3 and 4)."
    )


def test_a_long_tail_is_counted_against_the_chart() -> None:
    graph = song()
    assert said(finding("extra", [20], graph), graph) == (
        "Chorus, the tail: five bars of D where the chart has four (bar 20)."
    )


def test_a_colour_in_the_tail_is_not_part_of_its_name() -> None:
    lines = (Line("D (Dsus4)", times=4, tail=True),)
    graph = song([("Chorus", lines)])
    assert "three bars of D where" in said(finding("missing", [4], graph), graph, (4,))


def test_a_tail_of_different_bars_names_no_chord() -> None:
    graph = song([("Chorus", (Line("D | A", times=2, tail=True),))])
    assert said(finding("missing", [3, 4], graph), graph, (3, 4)) == (
        "Chorus, the tail: two bars where the chart has four (bars 3 and 4)."
    )


def test_below_a_range_the_least_number_is_told() -> None:
    """`x2-4`: one bar was played, the second is missing, the third and fourth may be."""
    graph = song()
    assert said(finding("missing", [18], graph), graph, (18, 19, 20)) == (
        "Chorus, the tail: one bar of D where the chart has at least two (bar 18)."
    )


def test_a_whole_tail_missing_is_told_by_its_bars() -> None:
    graph = song()
    numbers = (29, 30, 31, 32)
    assert said(finding("missing", numbers, graph), graph, numbers) == (
        "Chorus 2: the tail is missing (bars 29 to 32)."
    )


def test_a_run_inside_a_verse_is_counted() -> None:
    graph = song([("Verse", (Line("D | D | D | D"),))])
    assert said(finding("missing", [4], graph, run=(1, 4)), graph, (4,)) == (
        "Verse: three bars of D where the chart has four (bars 1 to 4)."
        " These bars sound alike, so only the count is certain."
    )


def test_bars_lost_in_one_of_several_ways_are_not_said_to_sound_alike() -> None:
    """Am7 D7 Am7 D7: two bars are lost, the first two or the last two or those between."""
    graph = song([("Refrain", (Line("Am7 | D7 | Am7 | D7"),))])
    assert said(finding("missing", [1, 2], graph, run=(1, 4)), graph, (1, 2)) == (
        "Refrain: two of bars 1 to 4 are missing."
        " Which of them cannot be told by ear, so only the count is certain."
    )


def test_a_missing_bar_is_told_with_its_words() -> None:
    graph = song()
    assert said(finding("missing", [7], graph), graph, (7,)) == (
        'Verse 1: bar 7 is missing ("Down by the kettle where the lane ...").'
    )


def test_a_missing_line_is_told_by_its_words() -> None:
    graph = song()
    numbers = (9, 10, 11, 12)
    assert said(finding("missing", numbers, graph, detail="line"), graph, numbers) == (
        'Verse 1: the line "somebody\'s humming what the rain ..." is missing (bars 9 to 12).'
    )


def test_a_missing_section_is_told_by_its_name() -> None:
    graph = song()
    found = finding("missing", range(21, 25), graph, detail="section")
    assert said(found, graph, (21, 22, 23, 24)) == "Verse 2 left out (bars 21 to 24)."


def test_a_line_played_again_is_told() -> None:
    graph = song()
    assert said(finding("extra", range(13, 17), graph, detail="line"), graph) == (
        'Chorus: the line "Kettle Lane, Kettle Lane, boil me a ..." was played once'
        " too often (bars 13 to 16)."
    )


def test_a_restart_says_where_it_went_on() -> None:
    graph = song()
    found = finding("restart", [9], graph, count=2, halt=2.31, detail="line")
    assert said(found, graph) == (
        'Verse 1, bar 9 ("somebody\'s humming what the rain ..."): stopped and restarted here after'
        " 2.3 seconds, repeating two bars."
    )


def test_a_halt_says_that_the_place_was_kept() -> None:
    graph = song()
    assert said(finding("break", [18], graph, halt=1.84), graph) == (
        "Chorus, bar 18: a halt of 1.8 seconds, without losing the place."
    )


def test_choices_are_said_and_cost_nothing() -> None:
    graph = song([*SONG[:2], ("Solo", (Line("Bm7 | G"),)), *SONG[2:]])
    line = finding("choice", range(9, 13), graph, detail="or line")
    solo = finding("choice", [13, 14], graph, detail="left out")
    tail = finding("choice", [22], graph, detail="times")
    assert said(line, graph) == (
        'Verse 1, bars 9 to 12: the "or" line was played, as the chart allows.'
    )
    assert said(solo, graph) == "Solo: bars 13 and 14 left out, as the chart allows."
    assert said(tail, graph, (22,)) == "Chorus, the tail: three bars, as the chart allows."
    assert [cost(choice) for choice in (line, solo, tail)] == [0.0, 0.0, 0.0]


def test_more_bars_lost_cost_more() -> None:
    graph = song()
    one = finding("missing", [7], graph)
    assert cost(replace(one, count=3)) > cost(one) > cost(finding("break", [7], graph)) > 0


def test_the_headline_names_a_tail() -> None:
    graph = song()
    assert brief(finding("missing", [32], graph)) == "one bar missing from the tail of Chorus 2"
    assert brief(finding("extra", [6, 7], graph)) == "two bars too many in Verse 1"
