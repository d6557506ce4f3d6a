"""How is a report written so that other programs can read it?

Version 1 of the report file: the names, their order and their rounding are fixed, and
`report-1.schema.json` beside this module describes every field. Fields may be added,
none are renamed or removed. The same report gives the same bytes, in plain ASCII, so
that no reader or terminal can stumble over an encoding.

Units: seconds, beats counted from 1, marks 0 to 100, scores 0 to 1 (null: not judged).
"""

import json
from collections.abc import Iterable, Iterator
from typing import Any

from evaluator.judge.verdict import (
    Extent,
    FaultKind,
    HandManner,
    Marks,
    PartVerdict,
    RhythmVerdict,
)
from evaluator.report.model import Reckoning, Report, ReportedAspect, ReportedBar, ReportedFinding
from evaluator.report.sentences import CANNOT_TELL, CAUTION

SCHEMA = "evaluator.report/1"
UNREAD = "evaluator.unread/1"
"""What stands in the list of a class for a file from which no take could be read."""

DIGITS = {
    **dict.fromkeys(("seconds", "start", "end", "at", "halt", "confidence", "score", "value"), 2),
    **dict.fromkeys(("chart", "median", "steadiness_pct", "bpm", "rest", "mark", "ms"), 1),
    **{"swing": 2, "share": 6},
}
"""Behind the point, of numbers by their names."""

Fields = dict[str, Any]


def to_json(report: Report) -> str:
    """One report as a JSON document that ends in a line feed."""
    return json.dumps(fields(report), indent=1, allow_nan=False) + "\n"


def unread_to_json(file: str, problem: str) -> str:
    """A file without a take, and why, as a document of its own kind."""
    return (
        json.dumps({"schema": UNREAD, "take": {"file": file}, "problem": problem}, indent=1) + "\n"
    )


def json_list(documents: Iterable[str]) -> Iterator[str]:
    """Several documents of `to_json` as one, a list of them; piece by piece, since a class
    may be larger than the memory."""
    before = "[\n"
    for document in documents:
        yield before
        # No line feed stands inside a text of JSON, so lines may be moved.
        yield "\n".join(f" {line}" for line in document.rstrip("\n").split("\n"))
        before = ",\n"
    yield "[]\n" if before == "[\n" else "\n]\n"


def fields(report: Report) -> Fields:
    """The document as dictionaries and lists."""
    scores = _marks(report.marks)
    return {
        "schema": SCHEMA,
        "chart": _of(report.chart, "title file bars"),
        "take": _of(report.take, "file seconds notes transposed complete repairs hand"),
        "matches": report.matches,
        "headline": report.headline,
        "remarks": list(report.remarks),
        "fix_first": list(report.fix_first),
        "scores": scores if report.matches else dict.fromkeys(scores),
        "rubric": _rubric(report.reckoning),
        "tempo": _of(
            report.tempo,
            "chart median steadiness_pct stated swing sections",
            sections=[_of(one, "section bpm rest") for one in report.tempo.sections],
        ),
        "touch": {
            "mark": _rounded(report.touch.mark, 1),
            "counted": list(report.touch.counted),
            "aspects": [_aspect(one) for one in report.touch.aspects],
            "cannot_tell": CANNOT_TELL,
        },
        "manners": [
            _of(one, "hands bars say", hands=_manners(one.hands)) for one in report.manners
        ],
        "bars": [_bar(bar) for bar in report.bars],
        "form": [_finding(finding) for finding in report.form],
        "passes": [
            _of(one, "number start end complete bpm scores wrong", scores=_marks(one.marks))
            for one in report.passes
        ],
        "practise": [
            _of(loop, "bars section cue kind why listen bpm times guide")
            for loop in report.practise
        ],
        "caution": CAUTION if report.practise else "",
    }


def _of(value: object, names: str, **instead: object) -> Fields:
    """Its fields of these names, numbers rounded to `DIGITS`, or what stands `instead` of them."""
    found: Fields = {}
    for name in names.split():
        one = instead[name] if name in instead else getattr(value, name)
        if isinstance(one, float) and name in DIGITS and name not in instead:
            one = round(one, DIGITS[name])
        found[name] = list(one) if isinstance(one, tuple) else one
    return found


def _marks(marks: Marks) -> Fields:
    return {name: _rounded(mark, 1) for name, mark in marks.by_name.items()}


def _rubric(reckoning: Reckoning) -> Fields:
    extent = reckoning.extent if reckoning.terms else None
    return {
        "name": reckoning.rubric,
        "about": reckoning.about,
        "pass_mark": reckoning.pass_mark,
        "passed": reckoning.passed if reckoning.terms else None,
        "terms": [_of(term, "part mark share left", mark=term.mark) for term in reckoning.terms],
        "let_pass": list(reckoning.let_pass),
        "strictness": reckoning.strictness,
        "least_played": reckoning.least_played,
        "played": extent and _played(extent),
    }


def _played(extent: Extent) -> Fields:
    return {
        "bars": [extent.first, extent.last],
        "song": extent.bars,
        "unreached": extent.unreached,
        "played": extent.played,
        "followed": extent.judged,
    }


def _aspect(one: ReportedAspect) -> Fields:
    return {
        **_of(one.verdict, "aspect value unit mark matters count seconds hand"),
        "bars": list(one.bars),
        "say": one.say,
    }


def _bar(bar: ReportedBar) -> Fields:
    verdict = bar.verdict
    return {
        "played": verdict.played,
        "bar": bar.number,
        "section": bar.section,
        "cue": bar.cue,
        **_of(verdict, "start end bpm confidence judged"),
        "chord": _part(verdict.chord, "missing foreign"),
        "bass": _part(verdict.bass, "root_for_bass"),
        "rhythm": _rhythm(verdict.rhythm),
        "faults": [_of(fault, "kind say") for fault in bar.faults],
    }


def _part(part: PartVerdict, own: str) -> Fields:
    """The verdict on chords or basses; `own`: the fields that the other has not."""
    names = f"beat expected played word score slips mute {own}"
    spans = [_of(span, names, beat=_beat(span.beat)) for span in part.spans]
    return _of(part, "score word spans", spans=spans)


def _rhythm(rhythm: RhythmVerdict) -> Fields:
    def strikes(kind: FaultKind, names: str) -> list[Fields]:
        found = (fault for fault in rhythm.faults if fault.kind == kind)
        return [_of(fault, names, beat=_beat(fault.beat)) for fault in found]

    return {
        "score": _rounded(rhythm.score, 2),
        "hits": rhythm.hits,
        "missed": strikes("missed", "beat hand"),
        "added": strikes("added", "beat hand"),
        "early": strikes("early", "beat hand ms"),
        "late": strikes("late", "beat hand ms"),
        "late_ms": round(rhythm.late_ms, 1),
        "spread_ms": round(rhythm.spread_ms, 1),
        "otherwise": _manners(rhythm.otherwise),
    }


def _manners(hands: Iterable[HandManner]) -> list[Fields]:
    return [_of(one, "hand manner") for one in hands]


def _finding(reported: ReportedFinding) -> Fields:
    names = "kind bars count section tail at say run halt detail"
    return _of(reported.finding, names, say=reported.say)


def _beat(beat: float) -> float | int:
    """Counted from 1; a whole beat is written without a point."""
    counted = round(beat + 1, 3)
    return int(counted) if counted == int(counted) else counted


def _rounded(score: float | None, digits: int) -> float | None:
    return None if score is None else round(score, digits)
