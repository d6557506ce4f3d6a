"""How did it go, in one sentence?

The sentence is warm where there is reason to be, and exact: how many of the chart's bars
had the right chords and bass, in how many a tone was missing, what of the form was off, in how
many bars the pattern slipped, and in how many it stumbled, where that takes much from the mark: a
mark that is low has its reason here. A bar that came twice counts as it was played the last
time; bars that could not be followed count neither way.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.excerpt.apart import OneHandPass
from evaluator.follow.path import Path
from evaluator.judge.marks import is_counted
from evaluator.judge.verdict import BarVerdict, FormFinding, Judgement
from evaluator.report.faults import bar_faults
from evaluator.report.form_told import briefs
from evaluator.report.model import Pass
from evaluator.report.places import (
    amount,
    bar_numbers,
    number_word,
)
from evaluator.report.sentences import (
    ALL_BUT_RHYTHM,
    ALL_RIGHT,
    BEGINS,
    NO_MATCH,
    ONCE_OR_MORE,
    OPENINGS,
    PARTLY,
    REMARKS,
    STATED,
    STOPS,
    TIMES,
)

STUMBLES = 90.0
"""Mark of the touch below which it is said that it stumbles; the mark of the whole then falls by
eight points or more."""

WRONG: Final = ("chord", "bass")
"""What makes a bar wrong; a tone that is missing is said, and spoils it less."""


@dataclass(frozen=True, slots=True)
class _Bars:
    """How many bars there are of each kind."""

    total: int
    """That count."""
    right: int
    """With no wrong chord or bass."""
    lacking: int
    """Of these, those in which a tone is missing."""
    loose: int
    """In which the pattern slips."""
    otherwise: int
    """In another rhythm than the pattern's."""

    @property
    def perfect(self) -> bool:
        return bool(self.total) and self.right == self.total and not self.lacking + self.loose


def headline(graph: BarGraph, judgement: Judgement, path: Path) -> str:
    """One sentence that a student understands."""
    if not judgement.matches:
        return NO_MATCH.format(title=graph.title)
    bars = _count(graph, judgement)
    form = [f for f in judgement.form if is_counted(f, judgement.rubric)]
    ends = _ends(graph, judgement, path)
    going_on = [*_stumbling(judgement), *_of_going_on(form)]
    if bars.perfect and not form and not going_on and not ends:
        return _well_played(judgement, bars)
    told = [*_of_bars(judgement, bars), *briefs(graph, form), *going_on]
    sentence = f"{', '.join(told)}."
    if ends:
        return PARTLY.format(ends=" and ".join(ends), base=sentence)
    return f"{_opening(judgement.marks.overall)}: {sentence}"


def _ends(graph: BarGraph, judgement: Judgement, path: Path) -> list[str]:
    """Where the take begins and stops, if these are not the song's own beginning and end."""
    if not judgement.bars:
        return []
    first, last = (graph.bars[judgement.bars[at].bar] for at in (0, -1))
    told = []
    if first.index not in graph.starts and not _left_out(judgement, graph, before=first.number):
        told.append(BEGINS.format(section=first.section, number=first.number))
    if stops_early(graph, judgement, path):
        told.append(STOPS.format(section=last.section, number=last.number))
    return told


def _well_played(judgement: Judgement, bars: _Bars) -> str:
    every = _share(bars.total, bars.total)
    if not bars.otherwise:
        return ALL_RIGHT.format(all=every)
    case = "every other rhythm" if bars.otherwise == bars.total else "some other rhythm"
    rhythm = STATED[case].format(bars=amount(bars.otherwise, "bar"))
    return ALL_BUT_RHYTHM.format(all=every, what=_judged_of(judgement), rhythm=rhythm)


def _share(count: int, total: int) -> str:
    """`61 of 86 bars`, `all 86 bars`, `the one bar`."""
    if count < total or not total:
        return STATED["some"].format(count=count, total=total)
    return STATED["all" if total > 1 else "the one"].format(bars=amount(total, "bar"))


def _of_bars(judgement: Judgement, bars: _Bars) -> list[str]:
    """How many bars are right, and what is amiss in the others."""
    plain = "right sounds" if bars.loose or bars.otherwise else "right"
    whole = bars.right - bars.lacking
    told = []
    if whole or not bars.lacking:
        right = _share(whole, bars.total)
        told.append(STATED[plain].format(right=right, what=_judged_of(judgement)))
    if bars.lacking:
        case = "lacking more" if whole else "lacking"
        lacking = _share(bars.lacking, bars.total)
        told.append(STATED[case].format(bars=lacking, count=number_word(bars.lacking)))
    if bars.loose:
        told.append(STATED["loose"].format(bars=amount(bars.loose, "bar")))
    if bars.otherwise:
        case = "all other rhythm" if bars.otherwise == bars.total else "other rhythm"
        told.append(STATED[case].format(bars=amount(bars.otherwise, "bar")))
    return told


def _of_going_on(form: Sequence[FormFinding]) -> list[str]:
    """Restarts and halts, as counts."""
    restarts, halts = (sum(one.kind == kind for one in form) for kind in ("restart", "break"))
    told = []
    if restarts:
        times = ONCE_OR_MORE.get(restarts, amount(restarts, "time"))
        told.append(STATED["restart"].format(times=times))
    if halts:
        told.append(STATED["break"].format(halts=amount(halts, "halt")))
    return told


def times_through(overall: float, passes: Sequence[Pass]) -> str:
    """The sentence on a passage that was played round and round."""
    count, clean = len(passes), sum(not one.wrong for one in passes)
    last = passes[-1].wrong
    if clean == count:
        return TIMES["all"].format(times=amount(count, "time"))
    times = f"{count} times"
    told = TIMES["wrong"].format(bars=bar_numbers(last)) if last else TIMES["clean"]
    return TIMES["some"].format(opening=_opening(overall), clean=clean, times=times, told=told)


def told_apart(passes: Sequence[OneHandPass]) -> str:
    """The sentence on hands that were practised apart before they played together."""
    told = [REMARKS["pass"].format(hand=one.hand, bars=bar_numbers(one.numbers)) for one in passes]
    return REMARKS["hands apart"].format(passes="; ".join(told))


def _opening(overall: float) -> str:
    return next(word for least, word in OPENINGS if overall >= least)


def _judged_of(judgement: Judgement) -> str:
    """`chords and bass`, or the one of them that the hand alone plays."""
    chords = sum(verdict.chord.score is not None for verdict in judgement.bars)
    basses = sum(verdict.bass.score is not None for verdict in judgement.bars)
    if 2 * chords < basses:
        return "bass"
    return "chords" if 2 * basses < chords else "chords and bass"


def stops_early(graph: BarGraph, judgement: Judgement, path: Path) -> bool:
    """Whether the take ends before the song does.

    One whose last bars were found missing, as from a short tail at the very end, did
    come to its end.
    """
    if path.complete or not judgement.bars or begun_again(judgement):
        return not (path.complete or judgement.bars)
    last = graph.bars[judgement.bars[-1].bar].number
    missing = {n for f in judgement.form if f.kind == "missing" for n in f.bars}
    return not missing.intersection(range(last, graph.count + 1))


def _count(graph: BarGraph, judgement: Judgement) -> _Bars:
    """The bars as they were played the last time; those that are missing count as not right."""
    last: dict[int, BarVerdict] = {
        verdict.bar: verdict for verdict in judgement.bars if verdict.judged
    }
    kinds = [
        {fault.kind for fault in bar_faults(verdict, graph, judgement.rubric)}
        for verdict in last.values()
    ]
    right = [found for found in kinds if not found.intersection(WRONG)]
    missing = {
        number for finding in judgement.form if finding.kind == "missing" for number in finding.bars
    }
    # What is missing in its place may have been played in another.
    missing -= {graph.bars[bar].number for bar in last}
    return _Bars(
        total=len(last) + len(missing),
        right=len(right),
        lacking=sum("incomplete" in found for found in right),
        loose=sum("rhythm" in found for found in kinds),
        otherwise=sum("otherwise" in found for found in kinds),
    )


def _stumbling(judgement: Judgement) -> list[str]:
    """In how many bars a step came plainly too late or too soon, where that matters."""
    mark, weighs = judgement.touch.mark, judgement.rubric.shares.get("touch", 0.0)
    bars = [one.bars for one in judgement.touch.aspects if one.aspect == "evenness"]
    counted = "evenness" in judgement.touch.counted
    if mark is None or mark >= STUMBLES or not weighs or not counted or not any(bars):
        return []
    return [STATED["stumbling"].format(bars=amount(len(bars[0]), "bar"))]


def begun_again(judgement: Judgement) -> int:
    """How often the song was begun once more after its end."""
    return sum(one.detail == "through" for one in judgement.form)


def _left_out(judgement: Judgement, graph: BarGraph, *, before: int) -> bool:
    """Whether a finding already says why the song did not begin at its beginning."""
    return any(number < before for finding in judgement.form for number in finding.bars)
