"""What can be read in a chart and is probably not what was meant. Common practice, no source."""

import pytest

from evaluator.chart import parse_chart
from evaluator.chart.remarks import remarks
from tests.chart.songs import EVERY_BEAT, HEADER

REMARKS = [
    ("[V]\n| D |\n  C  Am  F  G\n  ^", "read as words", ": | C | Am | F | G |"),
    ("[V]\n| D |\nC - Am / F, N.C. x2\n^", "read as words", ": | C | Am / | F | N.C. | x2"),
    ("[V]\n| D |\nE7 (E7#9) A\n^", "read as words", ": | E7 (E7#9) | A |"),
    ("[V]\n| D |\n[Solo optional]\n^\n| D |", "`optional` stands in the name", "[Solo] optional"),
    ("[Solo (Optional)]\n^\n| D |\n[B]\n| D |", "`Optional` stands in the name", "[Solo] Optional"),
    ("[Verse tempo 80 quiet]\n^\n| D |", "`tempo 80`", "[Verse quiet] tempo 80"),
    ("[Verse meter 3/4]\n^\n| D |", "`meter 3/4`", "[Verse] meter 3/4"),
    ("[Verse key D major]\n^\n| D |", "`key D major`", "[Verse] key D major"),
    ("[Verse pattern plain]\n^\n| D |", "`pattern plain`", "[Verse] pattern plain"),
    ("[Verse pattern free]\n^\n| D |", "`pattern free`", "[Verse] pattern free"),
    ("[Verse tail x3]\n^\n| D | x2", "`tail x3`", "[Verse] tail x3"),
    ("[Verse end held]\n^\n| D |", "`end held`", "[Verse] end held"),
    ("[Verse 2 - optional]\n^\n| D |", "`optional`", "[Verse 2] optional"),
    ("[Verse, tempo: 80]\n^\n| D |", "`tempo 80`", "[Verse] tempo 80"),
    ("[Chorus, x2]\n^\n| D |", "`x2` stands in the name", "write [Chorus] once more"),
    ("[Chorus x2]\n^\n| D |", "`x2` stands in the name", "write [Chorus] once more"),
    ("[Chorus (3x)]\n^\n| D |", "`3x` stands in the name", "[Chorus] tail x3"),
    ("[V] meter 12/8 tempo 60\n^\n| D |", "in 12/8 the tempo counts eighths", "as much: 180"),
    ("pattern p\n^\n  left | x . |\n[V]\n| D |", "no row `right`", "right | . . |"),
    ("pattern p\n^\n  right | x x . |\n[V] meter 3/4\n| D |", "no row `left`", "left | . . . |"),
]
NOTHING = [
    "[V]\n| D |\n  A",
    "[V]\n| D |\n  Do Do Do",
    "[V]\n| D |\n  A Day",
    "[V]\n| D |\n  - -",
    "[V]\n| C |\n  left | C3 |",
    "[Key change]\n| D |",
    "[End]\n| D |",
    "[Verse in a slow tempo]\n| D |",
    "[Verse pattern other]\n| D |",
    "[Optional]\n| D |",
    "[V] meter 6/8\n| D |",
    "[V] meter 6/8 tempo 120\n| D |",
    "[V] meter 3/8 tempo 60\n| D |",
    "[Chorus 2]\n| D |",
    "[V]\n| D |\n[Solo] optional\n| D |",
    "pattern p\n  left | x . |\n  right | . . |\n[V]\n| D |",
]


def found(body):
    header = HEADER + ("" if body.startswith("pattern p") else EVERY_BEAT)
    if body.startswith("pattern p\n  right"):
        header += "meter: 3/4\n"
    return header.count("\n"), remarks(parse_chart(header + body, file="lane.txt"))


@pytest.mark.parametrize(("marked", "message", "suggestion"), REMARKS)
def test_what_is_probably_not_meant_is_told_at_its_place(marked, message, suggestion):
    rows = marked.split("\n")
    caret = next(place for place, row in enumerate(rows) if row.strip() == "^")
    above, (remark,) = found("\n".join(rows[:caret] + rows[caret + 1 :]))
    assert (remark.line, remark.column) == (above + caret, rows[caret].index("^") + 1)
    assert message in remark.message
    assert suggestion in remark.suggestion


@pytest.mark.parametrize("body", NOTHING)
def test_what_is_meant_is_passed_over(body):
    assert found(body)[1] == ()


def test_a_section_that_comes_again_is_told_once():
    _, (remark,) = found("[Chorus x2]\n| D |\n[chorus X2]\n")
    assert remark.source == "[Chorus x2]"


def test_remarks_stand_in_the_order_of_the_text():
    body = "pattern p\n  left | x |\n[V]\n| D |\nC Am\n[A optional]\n| D |\n| D |\nE7\n"
    lines = [remark.line for remark in found(body)[1]]
    assert len(lines) == 4
    assert lines == sorted(lines)


def test_a_tempo_that_counts_dotted_quarters_is_told_at_its_line():
    text = "title: Lilt\nmeter: 6/8\nTempo: 60\n\n[V]\n| D |\n[W]\n| D |\n"
    (remark,) = remarks(parse_chart(text, file="lilt.txt"))
    assert (remark.line, remark.source) == (3, "Tempo: 60")
    assert remark.suggestion.endswith("180")
