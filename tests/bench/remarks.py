"""What do teachers say is wrong with a take, and do our findings say so too?

Remarks are free text. A remark is cut at its full stops, commas and the like; a piece that
names a kind of fault and does not praise is a complaint of that kind. A take is complained
of if one teacher of the four does so. Against that stand the findings of the report; as the
teachers differ, the share of takes that two of them complain of is given as well.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Final

from evaluator.judge.verdict import TouchAspect
from evaluator.report.headline import WRONG
from evaluator.report.model import Report, ReportedAspect

PRAISE: Final = re.compile(
    r"\b(good|great|nice|excellent|fine|ok|well|very accurate|steady|steadiness|love|consistent"
    r"|accurate|correct|correctly|no reflection|balance fine|comfortable)\b",
    re.I,
)
NOT_PRAISE: Final = re.compile(
    r"\b(not|need|needs|incorrect|inaccurate|keep|too|otherwise)\b", re.I
)
COMPLAINTS: Final[Mapping[str, re.Pattern[str]]] = {
    "wrong notes": re.compile(
        r"wrong (melody )?(lh )?(rh )?(note|octave|left|right|lh)|\bnote errors?|pitch errors?|"
        r"inaccurate rhythm and notes|small errors?|\berrors? (in|rh|lh|top|m)|misread|mistake|"
        r"missed notes?|notes were missing|inaccuracies|flub|octave (too )?(high|low)|8va|"
        r"wrong notes|few wrong|couple wrong|octave error|proper octave|play up the octave",
        re.I,
    ),
    "hesitation": re.compile(r"hesita|pause|dead stop|stopping|stretched|delayed", re.I),
    "tempo": re.compile(
        r"too slow|too fast|under tempo|under speed|way too slow|slightly (slow|fast)|bit slow|"
        r"bit too fast|rushed|fast tempo|tempo is a bit|tempo too|not cut time",
        re.I,
    ),
    "rhythm": re.compile(
        r"rhythm|counting|meter error|beats|swing|eighth note|unsteady|tempo (very|not)|lined up",
        re.I,
    ),
    "balance": re.compile(
        r"(lh|left hand)( way| bit| is way| is| heavy)? (too loud|too heavy|heavy|loud)|balance|"
        r"overbalanced|left hand.* too loud|lh heavy",
        re.I,
    ),
    "pedal": re.compile(r"pedal", re.I),
}
LEAST_RHYTHM: Final = 90.0
"""Mark for rhythm below which a report as a whole says that the rhythm is off."""

Finder = Callable[[Report], bool]


def complaints(text: str) -> frozenset[str]:
    """The kinds of fault that a teacher names."""
    found = set()
    for piece in re.split(r"[.;,!]|--|\bbut\b|\botherwise\b", text):
        praised = PRAISE.search(piece) and not NOT_PRAISE.search(piece)
        if not praised:
            found |= {kind for kind, words in COMPLAINTS.items() if words.search(piece)}
    return frozenset(found)


def _aspect(report: Report, name: TouchAspect) -> ReportedAspect | None:
    return next((one for one in report.touch.aspects if one.verdict.aspect == name), None)


def _matters(*names: TouchAspect) -> Finder:
    def found(report: Report) -> bool:
        aspects = [_aspect(report, name) for name in names]
        return any(one is not None and one.verdict.matters for one in aspects)

    return found


def _wrong_notes(report: Report) -> bool:
    return any(fault.kind in WRONG for bar in report.bars for fault in bar.faults)


def _hesitates(report: Report) -> bool:
    one = _aspect(report, "hesitation")
    halts = any(said.finding.kind in ("restart", "break") for said in report.form)
    return halts or (one is not None and one.verdict.count > 0)


def _rhythm(report: Report) -> bool:
    off = report.marks.rhythm is not None and report.marks.rhythm < LEAST_RHYTHM
    return off or _matters("evenness")(report)


FINDINGS: Final[Mapping[str, Finder]] = {
    "wrong notes": _wrong_notes,
    "hesitation": _hesitates,
    "tempo": _matters("tempo"),
    "rhythm": _rhythm,
    "balance": _matters("balance"),
    "pedal": _matters("blur", "pedal"),
}


def confirmed(
    reports: Sequence[Report], texts: Sequence[Sequence[str]]
) -> list[tuple[str, int, int, float, float, float]]:
    """For each kind: takes complained of, takes with a finding, precision, recall, and recall
    of what two teachers complain of."""
    rows = []
    for kind, finder in FINDINGS.items():
        told = [sum(kind in complaints(text) for text in said) for said in texts]
        ours = [finder(report) for report in reports]
        both = sum(mine and count > 0 for mine, count in zip(ours, told, strict=True))
        twice = [mine for mine, count in zip(ours, told, strict=True) if count > 1]
        said = sum(count > 0 for count in told)
        nan = float("nan")
        rows.append(
            (
                kind,
                said,
                sum(ours),
                both / sum(ours) if any(ours) else nan,
                both / said if said else nan,
                sum(twice) / len(twice) if twice else nan,
            )
        )
    return rows
