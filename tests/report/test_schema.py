"""Is the report's schema as the values have it, with every field that is written and no other?"""

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from evaluator import grade
from evaluator.chart import read_chart
from evaluator.judge.verdict import StrikeFault
from evaluator.report.json import to_json, unread_to_json
from evaluator.report.model import Report
from tests.cli.commands import CHART, take
from tests.judge.otherwise import played_as
from tests.playing import Added, Early, Late, Missed, Slip, WrongBass, WrongChord, play, to_midi
from tests.report.builders import judgement, off_beat, report, right_bar, song
from tests.report.schema import LISTS, MARKS, as_the_values_have_it, fields, schema

ROOT = Path(__file__).resolve().parents[2]


def test_lists_and_parts_are_those_of_the_values() -> None:
    """Else: `python -m tests.report.schema`."""
    assert schema() == as_the_values_have_it()


def test_every_list_of_words_and_every_mark_is_looked_after() -> None:
    listed = {way for way, field in fields(schema()) if "enum" in field}
    assert listed == set(LISTS)
    assert set(MARKS) <= {way for way, _ in fields(schema())}


def written(value: Any, way: str = "") -> Iterator[str]:
    """The way of every field of a document."""
    if isinstance(value, dict):
        for name, inner in value.items():
            here = f"{way}.{name}" if way else name
            yield here
            yield from written(inner, here)
    elif isinstance(value, list):
        for inner in value:
            yield f"{way}[]"
            yield from written(inner, f"{way}[]")


@pytest.fixture(scope="module")
def every_field() -> set[str]:
    """What is written of takes in which everything occurs."""
    graph = read_chart(CHART)
    passage = graph.written[:4] * 2
    slower = read_chart(CHART.replace("[Chorus]", "[Chorus] tempo 66"))
    quarters = played_as(graph, {"right": "quarters"})
    faults = (WrongBass(2, "A"), WrongChord(3, "G"), Slip(4, 1.0), Missed(5, 3.0, "right"))
    off = (Added(6, 1.0, "right"), Early(7, 2.0, "left", -150.0), Late(9, 2.0, "left", 150.0))
    takes = [
        grade(CHART, take(*faults, *off, without=(16,))[:-60], rubric="first-steps"),
        grade(CHART, to_midi(play(graph, passage, faults=(WrongChord(3, "G"),))), bars="1-4"),
        grade(CHART, to_midi(play(slower, slower.written))),
        grade(CHART, to_midi(play(quarters, quarters.written))),
        grade(
            (ROOT / "charts" / "kettle_lane.txt").read_text(encoding="utf-8"),
            (ROOT / "recordings" / "kettle_lane-student.mid").read_bytes(),
        ),
    ]
    takes.append(_with_a_slip_of_the_bass_and_a_strike_added())
    found = {way for one in takes for way in written(json.loads(to_json(one)))}
    return found | {f"#unread.{way}" for way in written(json.loads(unread_to_json("a", "b")))}


def _with_a_slip_of_the_bass_and_a_strike_added() -> Report:
    graph = song()
    bar = off_beat(right_bar(graph, 0, 1), 0.7, StrikeFault("added", 1.0, "right", 0.0))
    (span, *others) = bar.bass.spans
    bass = replace(bar.bass, spans=(replace(span, slips=("C#",), mute=("E3",)), *others))
    (span, *others) = bar.chord.spans
    chord = replace(bar.chord, spans=(replace(span, mute=("E4",)), *others))
    return report(judgement(graph, spoiled={1: replace(bar, bass=bass, chord=chord)}), graph)


def described() -> set[str]:
    return {way for way, _ in fields(schema()) if "#" not in way or way.startswith("#unread.")}


def test_every_field_that_is_written_is_described(every_field: set[str]) -> None:
    assert every_field - described() == set()


def test_every_field_that_is_described_is_written(every_field: set[str]) -> None:
    assert described() - every_field == set()
