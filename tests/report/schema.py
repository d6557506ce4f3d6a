"""Which words and parts of the report's schema follow from the values?

Wherever the schema lists the words that a field may hold, or the parts of the mark, the list is
made here from the types and tables of the program. `python -m tests.report.schema` writes the
file anew; what each field means is written in the file itself.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final, get_args

from evaluator.chart.graph import Hand
from evaluator.judge.verdict import FormKind, Manner, TouchAspect, Word
from evaluator.parts import AS_RECKONED, PARTS, WHOLE
from evaluator.report import json as report_json
from evaluator.report.json import SCHEMA, UNREAD
from evaluator.report.model import BarFaultKind, LoopKind

FILE: Final = Path(report_json.__file__).with_name("report-1.schema.json")
Described = dict[str, Any]

LISTS: Final[dict[str, tuple[object, ...]]] = {
    "take.hand": (*get_args(Hand), None),
    "rubric.terms[].part": AS_RECKONED,
    "touch.counted[]": get_args(TouchAspect),
    "touch.aspects[].aspect": get_args(TouchAspect),
    "touch.aspects[].hand": (*get_args(Hand), None),
    "bars[].faults[].kind": get_args(BarFaultKind),
    "form[].kind": get_args(FormKind),
    "practise[].kind": get_args(LoopKind),
    "#hand": get_args(Hand),
    "#word": get_args(Word),
    "#manner": get_args(Manner),
}
"""Every list of words in the schema."""
MARKS: Final = ("scores", "passes[].scores")
"""Every place where the parts of the mark stand one by one."""
SINCE_THEN: Final = ("touch",)
"""Parts that came later in version 1: a reader does not rely on them."""


def schema() -> Described:
    """The file as it stands."""
    read: Described = json.loads(FILE.read_text(encoding="utf-8"))
    return read


def fields(described: Described) -> Iterator[tuple[str, Described]]:
    """Every field with its way: `bars[].chord.word`; what is shared by several as `#word`."""
    yield from _below("", described)
    for name, shared in described["$defs"].items():
        yield f"#{name}", shared
        yield from _below(f"#{name}", shared)


def _below(way: str, described: Described) -> Iterator[tuple[str, Described]]:
    for name, inner in described.get("properties", {}).items():
        here = f"{way}.{name}" if way else name
        yield here, inner
        yield from _below(here, inner)
    if "items" in described:
        yield f"{way}[]", described["items"]
        yield from _below(f"{way}[]", described["items"])


def as_the_values_have_it() -> Described:
    """The schema with its lists and parts made anew."""
    made = schema()
    for way, field in fields(made):
        if way in LISTS:
            field["enum"] = list(LISTS[way])
        if way in MARKS:
            field["required"] = [WHOLE, *(part for part in PARTS if part not in SINCE_THEN)]
            field["properties"] = {
                WHOLE: _mark("All together."),
                **{part: _mark(f"{row.asks.capitalize()}.") for part, row in PARTS.items()},
            }
    made["properties"]["schema"]["const"] = SCHEMA
    made["$defs"]["unread"]["properties"]["schema"]["const"] = UNREAD
    return made


def _mark(description: str) -> Described:
    return {
        "description": description,
        "type": ["number", "null"],
        "minimum": 0,
        "maximum": 100,
    }


if __name__ == "__main__":
    FILE.write_text(json.dumps(as_the_values_have_it(), indent=2) + "\n", encoding="utf-8")
