"""The song on the page, and what became of its bars."""

from evaluator.report.layout import lay_out
from evaluator.report.model import LayoutSection
from tests.report.builders import SONG, Line, finding, judgement, song


def states(sections: tuple[LayoutSection, ...]) -> dict[int, str]:
    return {bar.number: bar.state for s in sections for line in s.lines for bar in line.bars}


def test_sections_and_lines_stand_as_in_the_chart() -> None:
    graph = song()
    sections = lay_out(graph, judgement(graph))
    assert [section.label for section in sections] == [label for label, _ in SONG]
    verse = sections[1]
    assert [[bar.text for bar in line.bars] for line in verse.lines] == [
        ["D", "A", "Bm7", "G"],
        ["D", "A", "G / Em7 /", "A"],
    ]
    assert verse.lines[1].cue == "somebody's humming what the rain let in"


def test_the_copies_of_a_counted_line_follow_on() -> None:
    graph = song()
    tail = lay_out(graph, judgement(graph))[2].lines[1]
    assert [bar.number for bar in tail.bars] == [17, 18, 19, 20]


def test_every_bar_of_the_chart_is_there_once() -> None:
    graph = song()
    sections = lay_out(graph, judgement(graph, range(3)))
    numbers = [bar.number for s in sections for line in s.lines for bar in line.bars]
    assert numbers == list(range(1, graph.count + 1))


def test_the_or_line_that_was_played_is_shown_instead() -> None:
    graph = song()
    order = [*range(8), *range(12, 16), *range(16, len(graph.bars))]
    line = lay_out(graph, judgement(graph, order))[1].lines[1]
    assert line.alternative
    assert [bar.text for bar in line.bars] == ["D", "A", "Em7", "A"]
    assert [bar.number for bar in line.bars] == [9, 10, 11, 12]


def test_missing_left_out_and_not_reached_are_three_things() -> None:
    graph = song()
    order = [index for index in graph.written if graph.bars[index].number not in (6, 19, 20)][:19]
    judged = judgement(graph, order, form=[finding("missing", [6], graph)])
    found = states(lay_out(graph, judged))
    assert found[6] == "missing"
    assert found[19] == found[20] == "left out"
    assert found[22] == "played"
    assert found[23] == "not reached"


def test_a_section_left_out_whole_is_said_to_be() -> None:
    graph = song([*SONG[:1], ("Solo", (Line("Bm7 | G"),)), *SONG[1:]])
    order = [index for index in graph.written if graph.bars[index].section != "Solo"]
    sections = lay_out(graph, judgement(graph, order))
    assert [section.label for section in sections if section.left_out] == ["Solo"]


def test_a_bar_knows_when_it_was_played_and_what_of_the_form_touches_it() -> None:
    graph = song()
    form = [
        finding("restart", [2, 3], graph, count=2),
        finding("break", [5], graph, halt=1.0),
        finding("choice", [7], graph, detail="times"),
    ]
    judged = judgement(graph, [0, 1, 2, 1, *graph.written[2:]], form=form)
    bars = {b.number: b for s in lay_out(graph, judged) for line in s.lines for b in line.bars}
    assert bars[2].played == (2, 4)
    assert bars[2].form == ("restart",)
    assert (bars[3].form, bars[5].form, bars[7].form) == ((), ("break",), ())


def test_in_a_run_that_sounds_alike_the_bar_without_a_playing_is_the_empty_one() -> None:
    graph = song()
    order = [index for index in graph.written if graph.bars[index].number != 28]
    judged = judgement(graph, order, form=[finding("missing", [32], graph, run=(28, 32))])
    found = states(lay_out(graph, judged))
    assert [number for number, state in found.items() if state == "missing"] == [28]
