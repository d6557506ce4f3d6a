"""A score that was written from a chart gives that chart back, whoever saved it since.

`miscellaneous-field` is MusicXML's place for what the format does not have itself (MusicXML
4.0, W3C); music21 stands for the other programs.
"""

import re
from contextlib import suppress
from functools import cache
from pathlib import Path

import pytest
from music21 import converter
from music21.musicxml.m21ToXml import GeneralObjectExporter

from evaluator.chart import read_chart
from evaluator.chart.parse import parse_chart
from evaluator.grading import grade_fully, prepare
from evaluator.notation import ScoreError, export_chart, import_score
from tests.notation.sheets import as_others_save_it
from tests.playing import WrongChord, play, to_midi

CHARTS = sorted(Path("charts").glob("*.txt"))
CHANGED = "was changed since it was written from a chart"
ODD = """title: Odd Kettle
tempo: 96
feel: swing 2:1
bass:  A = C#    # a rule

pattern stroll
  left  | x . . . |
  right | . x x 5 |

[Verse]
| D | A (Asus4) | x2-4
  low & high <words>
or | Em7 |
[Bridge] optional
        | D                          |
  right | {E5}D5~tr,F#5 A5~hold - .  |
[Verse] tail x3
"""
SMALL = "title: Small Kettle\ntempo: 96\n\n[A]\n| C |\n  right | {D5}C#5 E5 |\n"


@pytest.fixture(scope="module", params=[*CHARTS, None], ids=[*(p.stem for p in CHARTS), "odd"])
def text(request: pytest.FixtureRequest) -> str:
    return request.param.read_text(encoding="utf-8") if request.param else ODD


@pytest.fixture(scope="module")
def xml(text: str) -> bytes:
    return export_chart(parse_chart(text))


def saved_by_music21(xml: bytes) -> bytes:
    parsed = converter.parse(xml, format="musicxml", forceSource=True)
    saved: bytes = GeneralObjectExporter(parsed).parse()
    return saved


def test_a_chart_comes_back_as_it_was(text, xml):
    chart = import_score(xml, name="x")
    assert (chart.text, chart.remarks) == (text, ())


def test_also_when_another_program_saved_the_score(text, xml):
    assert import_score(saved_by_music21(xml), name="x").text == text


def test_a_take_gets_the_same_bars_by_both(text, xml):
    song, again = prepare(text), prepare(import_score(xml, name="x").text)
    take = to_midi(play(song.graph, faults=[WrongChord(2, "Ebm")]))
    one, other = grade_fully(song, take).judgement, grade_fully(again, take).judgement
    assert one.bars == other.bars
    assert one.marks == other.marks


@cache
def kettle_lane() -> bytes:
    return export_chart(parse_chart(Path("charts/kettle_lane.txt").read_text(encoding="utf-8")))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"<octave>4</octave>", b"<octave>5</octave>"),
        (b"<root-step>D", b"<root-step>E"),
        (b'times="4"', b'times="3"'),
        (b"<per-minute>96", b"<per-minute>80"),
    ],
)
def test_an_edited_score_is_read_by_its_notation(old, new):
    xml = kettle_lane()
    assert old in xml
    chart = import_score(xml.replace(old, new, 1), name="x")
    assert any(CHANGED in remark for remark in chart.remarks)
    assert "pattern" not in chart.text.splitlines()[5:]
    read_chart(chart.text)


def test_what_others_drop_is_read_by_its_notation():
    chart = import_score(as_others_save_it(export_chart(parse_chart(ODD))), name="x")
    assert not any(CHANGED in remark for remark in chart.remarks)
    assert "right |" in chart.text


def test_layout_and_spelling_of_lengths_are_no_change(text, xml):
    plain = re.sub(rb' new-system="yes"| default-x="[^"]*"', b"", xml)
    assert import_score(plain, name="x").text == text


@pytest.mark.parametrize("number", [b"x", b"nan", b"1e999", b"-", b"0"])
@pytest.mark.parametrize("tag", [b"duration", b"alter", b"divisions"])
def test_numbers_that_are_none_are_refused_or_read_by_the_notation(tag, number):
    xml = export_chart(parse_chart(SMALL))
    broken = re.sub(rb"<%b>[^<]*" % tag, b"<%b>%b" % (tag, number), xml)
    with suppress(ScoreError):
        import_score(broken, name="x")


def test_a_chart_that_cannot_be_read_is_not_believed():
    broken = export_chart(parse_chart(ODD)).replace(b"title:", b"tilte:", 1)
    assert b"tilte:" in broken
    assert "right |" in import_score(broken, name="x").text
