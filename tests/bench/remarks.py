"""What do teachers remark on a take, and does our report say so too?

Remarks are free text. A remark is cut at its full stops, commas and the like; a piece that
names a kind of fault and does not praise is a complaint of that kind. What the report says of
a kind is true of a take if one teacher of the four complains of it (precision); of all the
teachers' complaints, each counted, those are answered of whose kind the report says something
of that take (recall). What the report says is what it says in words: faults of bars, findings
of the form, sentences on the touch.

How far off an aspect of the touch must be to be said was decided with all takes in view. Left
out: the mark of an aspect below which it is said is chosen, for each piece, on the others, as the
one that answers most there with a precision of at least `SURE`; that is what may be hoped for on a
piece never seen.

First things first: of the takes of which a teacher's first complaint has a kind that a report
can name, the share in which one of the things to put right first, or of the touch, has it.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean
from typing import Final

from evaluator.judge.verdict import TouchAspect
from evaluator.report import form_words
from evaluator.report.headline import WRONG
from evaluator.report.model import Report
from evaluator.report.sentences import CLAUSES, JOINED, TOUCH

PRAISE: Final = re.compile(
    r"\b(good|great|nice|excellent|fine|ok|well|very accurate|steady|love|consistent|accurate|"
    r"correct|correctly|no reflection|comfortable|beautiful)\b",
    re.I,
)
NOT_PRAISE: Final = re.compile(
    r"\b(not|need|needs|incorrect|inaccurate|keep|too|otherwise|no|didn't|more|could|"
    r"inconsistent|over)\b",
    re.I,
)
PIECES: Final = re.compile(r"[.;,!]|--|\bbut\b|\botherwise\b|\bexcept\b")
_HAND: Final = r"(lh|rh|left hand|right hand|left|right|melody|chord)"
COMPLAINTS: Final[Mapping[str, re.Pattern[str]]] = {
    kind: re.compile(words, re.I)
    for kind, words in {
        "wrong notes": rf"wrong ({_HAND} )*(note|octave|chord)|wrong {_HAND}|(note|pitch) errors?|"
        rf"errors? (in|rh|lh|m)|(lh|rh|octave) error|small errors?|misread|mistake|missed notes?|"
        r"notes were missing|inaccurac|flub|octave (too )?(high|low)|8va|few wrong|couple wrong|"
        r"proper octave|up the octave|need reworking|notes completely",
        "hesitation": r"hesita|pause|dead stop|stopping|stretched|delayed|"
        r"add(ing|ed) (extra )?beats",
        "rhythm": r"rhythm|counting|meter error|swing|eighth note|unsteady|erratic|lined up|"
        r"tempo (very|problem|varies)",
        "tempo": r"too (slow|fast)|under tempo|under speed|bit slow|slightly (slow|fast)|"
        r"quite slow|tempo slow|rushed|fast tempo|not cut time",
        "balance": r"(lh|left hand)( is| was| way| bit| chords)*( too| to)? ?(loud|heav)|balance|"
        r"left hand.*too loud|could have been lighter|too punched|heaviness in the left",
        "dynamics": r"dynamic|shap|phras|melodic|singing|accent|punchy|plodding|heavy|heavier|"
        r"musical|note-by-note|beat-by-beat|lumpy|f/p|f-mf|no p |mf line|taper|\bdim\b",
        "length": r"legato|smooth|choppy|repeated notes|stacc|slur|articulation|too long|"
        r"over-sustain|sustaining|too short|shortened|ties? |did not hold|didn't hold|"
        r"chord releases",
        "ritard": r"\bno rit|didn't do rit|rit and dim|\bno .*rit\b|rit at end",
        "pedal": r"pedal",
    }.items()
}
Finder = Callable[[Report], bool]


def complaints(text: str) -> tuple[str, ...]:
    """The kinds of fault that a teacher names, in the order in which they are named."""
    found: dict[str, None] = {}
    for piece in PIECES.split(text):
        if PRAISE.search(piece) and not NOT_PRAISE.search(piece):
            continue
        here = [
            (hit.start(), kind)
            for kind, words in COMPLAINTS.items()
            if (hit := words.search(piece))
        ]
        found.update(dict.fromkeys(kind for _, kind in sorted(here)))
    return tuple(found)


def _said(*names: TouchAspect) -> Finder:
    def found(report: Report) -> bool:
        return any(one.say for one in report.touch.aspects if one.verdict.aspect in names)

    return found


TOUCHES: Final[Mapping[str, tuple[TouchAspect, ...]]] = {
    "dynamics": ("loudness",),
    "length": ("length", "repeats"),
    "ritard": ("ending",),
}
"""The kinds of which the touch alone tells of written pieces, and by what."""
SURE: Final = 0.65
LEAST_SAID: Final = 4
"""Takes of the other pieces of which it must be said."""


def _wrong_notes(report: Report) -> bool:
    return any(fault.kind in WRONG for bar in report.bars for fault in bar.faults)


def _halts(report: Report) -> bool:
    return any(said.finding.kind in ("restart", "break") for said in report.form)


def _hesitates(report: Report) -> bool:
    return _halts(report) or _said("hesitation")(report)


def _rhythm(report: Report) -> bool:
    form = any(said.finding.kind in ("missing", "extra", "restart") for said in report.form)
    return form or _said("evenness", "steadiness", "hesitation")(report)


FINDINGS: Final[Mapping[str, Finder]] = {
    "wrong notes": _wrong_notes,
    "hesitation": _hesitates,
    "rhythm": _rhythm,
    "tempo": _said("tempo"),
    "balance": _said("balance"),
    "pedal": _said("blur"),
    **{kind: _said(*aspects) for kind, aspects in TOUCHES.items()},
}
OF_TIME: Final = ("missed", "added", "early", "late", "other rhythm")
"""Rows of `CLAUSES` and `JOINED` that are about the rhythm; the others are about notes."""


def _in_words(*templates: str) -> re.Pattern[str]:
    """What finds a sentence that was made from one of these."""
    parts = (re.sub(r"\\{[^{}]*\\}", ".*", re.escape(template)) for template in templates)
    return re.compile("|".join(f"(?:{part})" for part in parts), re.I)


_NOTES: Final = (
    *(row for case, row in CLAUSES.items() if case not in OF_TIME),
    *(row for case, (row, _) in JOINED.items() if case not in OF_TIME),
)
FIRST_WORDS: Final[Mapping[str, re.Pattern[str]]] = {
    "wrong notes": _in_words(*_NOTES),
    "hesitation": _in_words(
        form_words.BREAK,
        form_words.RESTART,
        *form_words.SEVERAL.values(),
        TOUCH["hesitation"],
        TOUCH["hesitation one"],
    ),
    "rhythm": _in_words(
        *(row for case, row in CLAUSES.items() if case in OF_TIME),
        *(row for case, (row, _) in JOINED.items() if case in OF_TIME),
        *form_words.WHOLE.values(),
        form_words.COUNTED,
        form_words.COUNTED_MISSING,
        form_words.IN_PLACE,
        TOUCH["evenness"],
    ),
}
"""What a sentence of the things to put right first is about: the first of these that fits."""


@dataclass(frozen=True, slots=True)
class Row:
    """One kind of remark."""

    kind: str
    takes: int
    """Of which a teacher complains so."""
    found: int
    """Of which the report says so."""
    precision: float
    remarks: int
    answered: int


def confirmed(reports: Sequence[Report], texts: Sequence[Sequence[str]]) -> list[Row]:
    """Each kind, with the remarks of all teachers on all takes and those that are answered."""
    rows = []
    for kind, finder in FINDINGS.items():
        told = [sum(kind in complaints(text) for text in said) for said in texts]
        ours = [finder(report) for report in reports]
        rows.append(_row(kind, told, ours))
    return rows


def _row(kind: str, told: Sequence[int], ours: Sequence[bool]) -> Row:
    both = sum(mine and count > 0 for mine, count in zip(ours, told, strict=True))
    return Row(
        kind,
        sum(count > 0 for count in told),
        sum(ours),
        both / sum(ours) if any(ours) else float("nan"),
        sum(told),
        sum(count for mine, count in zip(ours, told, strict=True) if mine),
    )


def left_out(
    reports: Sequence[Report], texts: Sequence[Sequence[str]], pieces: Sequence[str]
) -> list[Row]:
    """The kinds of which the touch tells, said from where the other pieces say; halts as well
    where the form has one."""
    rows = []
    for kind, aspects in {**TOUCHES, "hesitation": ("hesitation",)}.items():
        told = [sum(kind in complaints(text) for text in said) for said in texts]
        marks = [_mark(report, aspects) for report in reports]
        ours = [kind == "hesitation" and _halts(report) for report in reports]
        for piece in dict.fromkeys(pieces):
            rest = [at for at, one in enumerate(pieces) if one != piece]
            below = _from_where([(marks[at], told[at]) for at in rest])
            for at, one in enumerate(pieces):
                ours[at] = ours[at] or (one == piece and marks[at] <= below)
        rows.append(_row(kind, told, ours))
    return rows


def _mark(report: Report, aspects: Sequence[TouchAspect]) -> float:
    """The lowest mark of these aspects."""
    verdicts = [one.verdict for one in report.touch.aspects if one.verdict.aspect in aspects]
    return min((one.mark for one in verdicts if one.mark is not None), default=100.0)


def _from_where(takes: Sequence[tuple[float, int]]) -> float:
    """The mark up to which something is said: `takes` are marks and numbers of complaints."""
    best = (0, 0.0)
    for below in sorted({mark for mark, _ in takes if mark < 100.0}):
        counts = [count for mark, count in takes if mark <= below]
        sure = sum(count > 0 for count in counts) >= SURE * len(counts)
        if sure and len(counts) >= LEAST_SAID:
            best = max(best, (sum(counts), below))
    return best[1]


def show_rows(rows: Sequence[Row]) -> None:
    """Print the table of the kinds."""
    for row in rows:
        print(
            f"  {row.kind:<14}{row.takes:>7}{row.found:>6}{row.precision:>11.2f}"
            f"{row.remarks:>9}{row.answered:>10}"
        )


def about(sentence: str) -> str | None:
    """The kind of a sentence of the things to put right first."""
    return next((kind for kind, words in FIRST_WORDS.items() if words.search(sentence)), None)


def first_things(reports: Sequence[Report], texts: Sequence[Sequence[str]]) -> tuple[float, int]:
    """Share of the teachers' first complaints that our first things have, and their number."""
    hits = []
    for report, said in zip(reports, texts, strict=True):
        ours = {about(sentence) for sentence in report.fix_first}
        for text in said:
            named = [kind for kind in complaints(text) if kind in FIRST_WORDS]
            if named:
                hits.append(named[0] in ours)
    return (fmean(hits) if hits else float("nan")), len(hits)
