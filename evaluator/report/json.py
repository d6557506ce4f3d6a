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

from evaluator.judge.verdict import Extent, FaultKind, Marks, PartVerdict, RhythmVerdict
from evaluator.report.model import Loop, Pass, Report, ReportedBar, ReportedFinding, ReportedTouch
from evaluator.report.sentences import CANNOT_TELL, CAUTION

SCHEMA = "evaluator.report/1"
UNREAD = "evaluator.unread/1"
"""What stands in the list of a class for a file from which no take could be read."""

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
    return {
        "schema": SCHEMA,
        "chart": {
            "title": report.chart.title,
            "file": report.chart.file,
            "bars": report.chart.bars,
        },
        "take": {
            "file": report.take.file,
            "seconds": round(report.take.seconds, 2),
            "notes": report.take.notes,
            "transposed": report.take.transposed,
            "complete": report.take.complete,
            "repairs": list(report.take.repairs),
            "hand": report.take.hand,
        },
        "matches": report.matches,
        "headline": report.headline,
        "remarks": list(report.remarks),
        "fix_first": list(report.fix_first),
        "scores": _scores(report),
        "rubric": _rubric(report),
        "tempo": {
            "chart": round(report.tempo.chart, 1),
            "median": round(report.tempo.median, 1),
            "steadiness_pct": round(report.tempo.steadiness_pct, 1),
            "stated": report.tempo.stated,
            "swing": _rounded(report.tempo.swing, 2),
            "sections": [
                {"section": one.section, "bpm": round(one.bpm, 1), "rest": round(one.rest, 1)}
                for one in report.tempo.sections
            ],
        },
        "touch": _touch(report.touch),
        "manners": [
            {
                "hands": [{"hand": one.hand, "manner": one.manner} for one in manner.hands],
                "bars": list(manner.bars),
                "say": manner.say,
            }
            for manner in report.manners
        ],
        "bars": [_bar(bar) for bar in report.bars],
        "form": [_finding(finding) for finding in report.form],
        "passes": [_pass(one) for one in report.passes],
        "practise": [_loop(loop) for loop in report.practise],
        "caution": CAUTION if report.practise else "",
    }


def _scores(report: Report) -> Fields:
    scores = _marks(report.marks)
    return scores if report.matches else dict.fromkeys(scores)


def _marks(marks: Marks) -> Fields:
    return {name: _rounded(mark, 1) for name, mark in marks.by_name.items()}


def _rubric(report: Report) -> Fields:
    reckoning = report.reckoning
    return {
        "name": reckoning.rubric,
        "about": reckoning.about,
        "pass_mark": reckoning.pass_mark,
        "passed": reckoning.passed if reckoning.terms else None,
        "terms": [
            {
                "part": term.part,
                "mark": term.mark,
                "share": round(term.share, 6),
                "left": term.left,
            }
            for term in reckoning.terms
        ],
        "let_pass": list(reckoning.let_pass),
        "strictness": reckoning.strictness,
        "least_played": reckoning.least_played,
        "played": _played(reckoning.extent) if reckoning.terms else None,
    }


def _played(extent: Extent | None) -> Fields | None:
    if extent is None:
        return None
    return {
        "bars": [extent.first, extent.last],
        "song": extent.bars,
        "unreached": extent.unreached,
        "played": extent.played,
        "followed": extent.judged,
    }


def _touch(touch: ReportedTouch) -> Fields:
    return {
        "mark": _rounded(touch.mark, 1),
        "counted": list(touch.counted),
        "aspects": [
            {
                "aspect": one.verdict.aspect,
                "value": _rounded(one.verdict.value, 2),
                "unit": one.verdict.unit,
                "mark": _rounded(one.verdict.mark, 1),
                "matters": one.verdict.matters,
                "count": one.verdict.count,
                "seconds": round(one.verdict.seconds, 2),
                "hand": one.verdict.hand,
                "bars": list(one.bars),
                "say": one.say,
            }
            for one in touch.aspects
        ],
        "cannot_tell": CANNOT_TELL,
    }


def _bar(bar: ReportedBar) -> Fields:
    verdict = bar.verdict
    return {
        "played": verdict.played,
        "bar": bar.number,
        "section": bar.section,
        "cue": bar.cue,
        "start": round(verdict.start, 2),
        "end": round(verdict.end, 2),
        "bpm": round(verdict.bpm, 1),
        "confidence": round(verdict.confidence, 2),
        "judged": verdict.judged,
        "chord": _part(verdict.chord, bass=False),
        "bass": _part(verdict.bass, bass=True),
        "rhythm": _rhythm(verdict.rhythm),
        "faults": [{"kind": fault.kind, "say": fault.say} for fault in bar.faults],
    }


def _part(part: PartVerdict, *, bass: bool) -> Fields:
    spans = []
    for span in part.spans:
        written: Fields = {
            "beat": _beat(span.beat),
            "expected": span.expected,
            "played": span.played,
            "word": span.word,
            "score": round(span.score, 2),
            "slips": list(span.slips),
        }
        if bass:
            written["root_for_bass"] = span.root_for_bass
        else:
            written |= {"missing": list(span.missing), "foreign": list(span.foreign)}
        spans.append(written)
    return {"score": _rounded(part.score, 2), "word": part.word, "spans": spans}


def _rhythm(rhythm: RhythmVerdict) -> Fields:
    def strikes(kind: FaultKind, *, timed: bool) -> list[Fields]:
        return [
            {"beat": _beat(fault.beat), "hand": fault.hand}
            | ({"ms": round(fault.ms, 1)} if timed else {})
            for fault in rhythm.faults
            if fault.kind == kind
        ]

    return {
        "score": _rounded(rhythm.score, 2),
        "hits": rhythm.hits,
        "missed": strikes("missed", timed=False),
        "added": strikes("added", timed=False),
        "early": strikes("early", timed=True),
        "late": strikes("late", timed=True),
        "late_ms": round(rhythm.late_ms, 1),
        "spread_ms": round(rhythm.spread_ms, 1),
        "otherwise": [{"hand": one.hand, "manner": one.manner} for one in rhythm.otherwise],
    }


def _finding(reported: ReportedFinding) -> Fields:
    finding = reported.finding
    return {
        "kind": finding.kind,
        "bars": list(finding.bars),
        "count": finding.count,
        "section": finding.section,
        "tail": finding.tail,
        "at": round(finding.at, 2),
        "say": reported.say,
        "run": None if finding.run is None else list(finding.run),
        "halt": round(finding.halt, 2),
        "detail": finding.detail,
    }


def _pass(one: Pass) -> Fields:
    return {
        "number": one.number,
        "start": round(one.start, 2),
        "end": round(one.end, 2),
        "complete": one.complete,
        "bpm": round(one.bpm, 1),
        "scores": _marks(one.marks),
        "wrong": list(one.wrong),
    }


def _loop(loop: Loop) -> Fields:
    return {
        "bars": list(loop.bars),
        "section": loop.section,
        "cue": loop.cue,
        "kind": loop.kind,
        "why": loop.why,
        "listen": loop.listen,
        "bpm": loop.bpm,
        "times": loop.times,
        "guide": loop.guide,
    }


def _beat(beat: float) -> float | int:
    """Counted from 1; a whole beat is written without a point."""
    counted = round(beat + 1, 3)
    return int(counted) if counted == int(counted) else counted


def _rounded(score: float | None, digits: int) -> float | None:
    return None if score is None else round(score, digits)
