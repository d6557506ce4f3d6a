"""The report file, held to its published schema (JSON Schema 2020-12, by jsonschema)."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from evaluator.judge.verdict import StrikeFault
from evaluator.report import json as report_json
from evaluator.report.json import json_list, to_json, unread_to_json
from tests.report.builders import (
    finding,
    judgement,
    marks,
    off_beat,
    report,
    right_bar,
    song,
    student_take,
)

SCHEMA_FILE = Path(report_json.__file__).with_name("report-1.schema.json")


def schema() -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads(SCHEMA_FILE.read_text(encoding="utf-8"))
    return loaded


def written(*, complete: bool = True) -> dict[str, Any]:
    graph, judged = student_take()
    document: dict[str, Any] = json.loads(to_json(report(judged, graph, complete=complete)))
    return document


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(schema())


def test_a_report_is_what_the_schema_says() -> None:
    jsonschema.validate(written(), schema())


def test_a_report_without_anything_judged_is_too() -> None:
    graph = song()
    empty = report(judgement(graph, [], matches=False), graph, complete=False)
    document = json.loads(to_json(empty))
    jsonschema.validate(document, schema())
    assert document["scores"] == dict.fromkeys(
        ("overall", "chord", "bass", "rhythm", "form", "touch")
    )
    assert document["bars"] == []


def test_every_kind_of_finding_is_too() -> None:
    graph = song()
    form = [
        finding("extra", [6], graph, detail="bars"),
        finding("restart", [9], graph, count=1, halt=2.0, detail="bar"),
        finding("break", [10], graph, halt=1.5),
        finding("choice", [9, 10, 11, 12], graph, detail="or line"),
    ]
    jsonschema.validate(json.loads(to_json(report(judgement(graph, form=form), graph))), schema())


@pytest.mark.parametrize(
    ("where", "value"),
    [
        (("schema",), "evaluator.report/2"),
        (("bars", 0, "played"), 0),
        (("bars", 0, "chord", "word"), "fine"),
        (("bars", 5, "bass", "spans", 0, "beat"), 0),
        (("scores", "overall"), 101),
        (("form", 0, "kind"), "lost"),
        (("form", 0, "bars"), []),
    ],
)
def test_the_schema_refuses_what_is_wrong(where: tuple[Any, ...], value: object) -> None:
    document = written()
    inner: Any = document
    for key in where[:-1]:
        inner = inner[key]
    inner[where[-1]] = value
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(document, schema())


def test_fields_may_be_added() -> None:
    document = written() | {"room": "3B"}
    document["bars"][0]["touch"] = {"balance": 0.4}
    jsonschema.validate(document, schema())


def test_every_field_that_is_written_is_described() -> None:
    def undescribed(value: Any, part: dict[str, Any], name: str) -> list[str]:
        if "$ref" in part:
            part = schema()["$defs"][part["$ref"].rpartition("/")[2]]
        # What a list holds is described with the list.
        missing = [] if part.get("description") or name.endswith("[]") else [name]
        if isinstance(value, dict):
            for key, inner in value.items():
                missing += undescribed(
                    inner, part.get("properties", {}).get(key, {}), f"{name}.{key}"
                )
        elif isinstance(value, list):
            for inner in value:
                missing += undescribed(inner, part["items"], f"{name}[]")
        return missing

    assert undescribed(written(), schema(), "report") == []


def test_a_file_without_a_take_is_listed_as_what_it_is() -> None:
    document = json.loads(unread_to_json("a.mid", "a.mid is empty."))
    unread = schema()["$defs"]["unread"]
    jsonschema.validate(document, unread)
    assert (document["take"]["file"], document["problem"]) == ("a.mid", "a.mid is empty.")
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(document, schema())  # no reader takes it for a report


def test_the_fields_of_version_1_have_their_order() -> None:
    document = written()
    order = ["schema", "chart", "take", "scores", "tempo", "bars", "form", "practise"]
    assert [key for key in document if key in order] == order
    first = ["played", "bar", "section", "cue", "start", "end", "bpm", "confidence"]
    assert [key for key in document["bars"][0] if key in first] == first


def test_beats_count_from_one_and_whole_ones_have_no_point() -> None:
    rhythm = written()["bars"][14]["rhythm"]
    assert rhythm["missed"] == [{"beat": 3, "hand": "right"}, {"beat": 4.5, "hand": "right"}]
    assert rhythm["added"] == rhythm["early"] == rhythm["late"] == []
    assert '"beat": 3,' in to_json(report(student_take()[1], student_take()[0]))


def test_early_and_late_strikes_say_by_how_much() -> None:
    graph = song()
    faults = (StrikeFault("early", 0.0, "left", -55.04), StrikeFault("late", 2.0, "right", 70.0))
    judged = judgement(graph, spoiled={1: off_beat(right_bar(graph, 0, 1), 0.7, *faults)})
    rhythm = json.loads(to_json(report(judged, graph)))["bars"][0]["rhythm"]
    assert rhythm["early"] == [{"beat": 1, "hand": "left", "ms": -55.0}]
    assert rhythm["late"] == [{"beat": 3, "hand": "right", "ms": 70.0}]


def test_what_is_not_judged_is_null() -> None:
    bar = written()["bars"][23]
    assert (bar["judged"], bar["chord"]["score"], bar["rhythm"]["score"]) == (False, None, None)
    graph, judged = student_take()
    no_pattern = replace(judged, marks=marks(91.0, 97.0, 89.0, None, 94.0))
    assert json.loads(to_json(report(no_pattern, graph)))["scores"]["rhythm"] is None


def test_the_same_report_gives_the_same_bytes_in_plain_ascii() -> None:
    graph, judged = student_take()
    first = to_json(replace(report(judged, graph), headline="Très bien ♭ \u202e"))
    assert first == to_json(replace(report(judged, graph), headline="Très bien ♭ \u202e"))
    assert first.isascii()
    assert first.endswith("}\n")


def test_several_reports_are_a_list() -> None:
    graph, judged = student_take()
    documents = json.loads("".join(json_list([to_json(report(judged, graph))] * 2)))
    assert len(documents) == 2
    jsonschema.validate(documents[1], schema())
    assert "".join(json_list([])) == "[]\n"
