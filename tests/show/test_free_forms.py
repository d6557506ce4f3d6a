"""What a chart leaves free is said where it is checked and shown. Our own rules, no source."""

from pathlib import Path

from evaluator.chart import compile_chart, parse_chart
from evaluator.cli.main import main
from evaluator.show.chart_lines import stand_chart

FREE = """\
title: Tin Bird
tempo: 90
[A]
| C | D |
or | E |
[Vamp] optional
| C | F | x4+
[B]
| G | x2-3
[C]
| G |
"""


def test_check_says_what_may_be_left_out_and_which_endings_are_open(tmp_path: Path, capsys) -> None:
    (tmp_path / "song.txt").write_text(FREE, encoding="utf-8")
    assert main(["chart", "check", str(tmp_path / "song.txt")]) == 0
    assert capsys.readouterr().out.splitlines()[-5:-1] == [
        "  A: one to two bars (bars 1 and 2)",
        "  Vamp: eight bars or more (bars 3 to 10); may be left out",
        "  B: two to three bars (bars 11 to 13)",
        "  C: one bar (bar 14)",
    ]


def test_so_does_the_chart_on_the_stand() -> None:
    chart = parse_chart(FREE)
    stand = stand_chart(chart, compile_chart(chart))
    assert [section.numbers for section in stand.sections] == [
        "bars 1 and 2, one to two bars",
        "bars 3 to 10, eight bars or more",
        "bars 11 to 13, two to three bars",
        "bar 14",
    ]
    assert stand.sections[1].options == ("may be left out",)
