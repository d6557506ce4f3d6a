"""Which three things should be put right first?

Everything found is weighed by what it takes from the marks. The same fault in several
bars is one thing to put right, and its places are told together; so are halts, and steps
that come too late or too soon, which have one remedy.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.judge.rubric import Rubric
from evaluator.judge.verdict import FormFinding, Judgement
from evaluator.report.faults import Trouble
from evaluator.report.form_told import cost, in_place, say, say_all, say_halts
from evaluator.report.model import ReportedTouch
from evaluator.report.places import amount, capital, listed, place, places, where_in_words
from evaluator.report.sentences import BOTH_HANDS, CLAUSES, IN_THE_BASS, JOINED, LEADS

MOST_FIXES: Final = 3
LEAST_COST: Final = 0.02
"""Worth of bars below which a thing is not worth a student's attention first."""

HALTS: Final = ("restart", "break")
IN_TIME: Final = ("evenness", "hesitation")
"""Of the touch, what tells that it did not go on in time; the first of them that is said."""
HEARD_THROUGHOUT: Final = ("blur", "together")
"""Of the touch, what is put right after the mistakes, where there are not three of these."""


_ROOT = re.compile(r"([A-G][#b♯♭]?)(m(?!aj))?")


@dataclass(frozen=True, slots=True)
class _Fix:
    """One thing to put right."""

    cost: float
    number: int
    """Of its first bar."""
    sentence: str
    cause: tuple[str, ...]
    """Things of one cause are one thing to work on."""
    bars: frozenset[int] = frozenset()
    """Indices of the bars in which it sounded wrong; empty for other things."""


def fix_first(
    graph: BarGraph,
    found: Sequence[Trouble],
    judgement: Judgement,
    played: Mapping[int, int],
    touch: ReportedTouch,
) -> tuple[str, ...]:
    """At most three sentences, the costliest first; equal ones in the order of the song.

    They are about different things: of each cause the costliest is told, and chord and bass
    that went wrong in the very same bars are one thing. Of `touch`, halting counts with the
    halts; the pedal and the hands together come last.
    """
    form = _form_fixes(graph, judgement.form, played, judgement.rubric)
    stumbling = _by_cause([*form, *_going_on(judgement, touch)])
    weighed = [*stumbling, *_trouble_fixes(graph, found)]
    told: list[_Fix] = []
    for fix in sorted(weighed, key=_worth, reverse=True):
        same = any(fix.bars and fix.bars <= other.bars for other in told)
        if fix.cost >= LEAST_COST and not same and len(told) < MOST_FIXES:
            told.append(fix)
    aside = [one.say for one in touch.aspects if one.verdict.aspect in HEARD_THROUGHOUT and one.say]
    return tuple([*(fix.sentence for fix in told), *aside][:MOST_FIXES])


def _by_cause(fixes: Iterable[_Fix]) -> list[_Fix]:
    """Of each cause the costliest that has a sentence, with what all of them cost."""
    groups: dict[tuple[str, ...], list[_Fix]] = {}
    for fix in fixes:
        groups.setdefault(fix.cause, []).append(fix)
    return [
        replace(
            max((fix for fix in group if fix.sentence), key=_worth),
            cost=sum(fix.cost for fix in group),
        )
        for group in groups.values()
    ]


def _worth(fix: _Fix) -> tuple[float, int]:
    return round(fix.cost, 6), -fix.number


def _form_fixes(
    graph: BarGraph, form: Sequence[FormFinding], played: Mapping[int, int], rubric: Rubric
) -> list[_Fix]:
    pairs = in_place(graph, form)
    fixes = []
    for at, (finding, sentence) in enumerate(zip(form, say_all(form, graph, played), strict=True)):
        if finding.kind in ("missing", "extra") and at not in pairs.values():
            worth = cost(finding, rubric)
            worth += cost(form[pairs[at]], rubric) if at in pairs else 0.0
            cause = ("count", finding.section, "tail" if finding.tail else "")
            fixes.append(_Fix(worth, finding.bars[0], sentence, cause))
    for kind in HALTS:
        halts = [finding for finding in form if finding.kind == kind]
        if halts:
            total = sum(cost(finding, rubric) for finding in halts)
            one = say(halts[0], graph, played)
            sentence = one if len(halts) == 1 else say_halts(halts, graph)
            first = min(finding.bars[0] for finding in halts)
            fixes.append(_Fix(total, first, sentence, ("halts",)))
    return fixes


def _going_on(judgement: Judgement, touch: ReportedTouch) -> Iterator[_Fix]:
    """That it did not go on in time, by what it takes from the mark for the touch."""
    said = {one.verdict.aspect: one for one in touch.aspects if one.say}
    told = next((said[aspect] for aspect in IN_TIME if aspect in said), None)
    if told is None or touch.mark is None or not touch.counted:
        return
    lost = judgement.rubric.shares.get("touch", 0.0) * (1.0 - touch.mark / 100.0)
    first = min(told.bars, default=0)
    # Halts that the form tells already are not told a second time, in other words.
    halts = sum(finding.kind in HALTS for finding in judgement.form)
    counted = told.verdict.aspect == "hesitation" and told.verdict.count <= halts
    sentence = "" if counted and halts else told.say
    yield _Fix(lost * len(judgement.bars), first, sentence, ("halts",))


def _trouble_fixes(graph: BarGraph, found: Sequence[Trouble]) -> list[_Fix]:
    """What went wrong in the bars, cause by cause."""
    causes: dict[tuple[str, ...], list[Trouble]] = {}
    for trouble in found:
        causes.setdefault(_cause(trouble), []).append(trouble)
    fixes = []
    for cause, troubles in causes.items():
        if len(_alike(troubles)) > 1 and cause[0] in JOINED:
            fixes.append(_joined_fix(graph, cause, troubles))
        else:
            fixes += _by_cause(_one_fix(graph, cause, group) for group in _exchanged(troubles))
    return fixes


def _one_fix(graph: BarGraph, cause: tuple[str, ...], group: Sequence[Trouble]) -> _Fix:
    if len(_alike(group)) == 1:
        return _trouble_fix(graph, group)
    return replace(_joined_fix(graph, ("exchanged",), group), cause=cause)


def _alike(found: Sequence[Trouble]) -> list[list[Trouble]]:
    groups: dict[object, list[Trouble]] = {}
    for trouble in found:
        groups.setdefault((trouble.case, trouble.words), []).append(trouble)
    return list(groups.values())


def _exchanged(found: Sequence[Trouble]) -> list[list[Trouble]]:
    """The same troubles together; a chord that was played for others of one root is one."""
    groups: dict[object, list[Trouble]] = {}
    for trouble in found:
        wrong = trouble.case == "chord wrong"
        words = dict(trouble.words)["played"] if wrong else trouble.words
        groups.setdefault((trouble.case, words), []).append(trouble)
    return list(groups.values())


def _joined_fix(graph: BarGraph, cause: tuple[str, ...], troubles: Sequence[Trouble]) -> _Fix:
    """One sentence for what has one cause and shows in several ways."""
    words, item = JOINED[cause[0]]
    items = dict.fromkeys(item.format(**dict(trouble.words)) for trouble in troubles)
    if cause[0] == "other rhythm":
        items = dict.fromkeys(_other_rhythms(troubles))
    bars = list({trouble.bar.index: trouble.bar for trouble in troubles}.values())
    sections = cause[0] == "other rhythm"
    where = where_in_words(graph, bars) if sections else places(bars)
    sentence = words.format(
        items=listed(list(items)),
        where=where,
        count=capital(amount(len(bars), "time")),
        **dict(troubles[0].words),
    )
    indices = frozenset() if sections else frozenset(bar.index for bar in bars)
    total = sum(trouble.cost for trouble in troubles)
    return _Fix(total, min(bar.number for bar in bars), sentence, cause, indices)


def _other_rhythms(troubles: Sequence[Trouble]) -> Iterator[str]:
    """Each other rhythm with its hand, or with both."""
    hands: dict[str, dict[str, None]] = {}
    for trouble in troubles:
        words = dict(trouble.words)
        hands.setdefault(words["manner"], {})[words["hand"]] = None
    for manner, which in hands.items():
        words = {"manner": manner, "hand": next(iter(which))}
        yield (BOTH_HANDS if len(which) > 1 else JOINED["other rhythm"][1]).format(**words)


def _trouble_fix(graph: BarGraph, group: Sequence[Trouble]) -> _Fix:
    """The same trouble in one bar or several."""
    first = group[0]
    words: dict[str, object] = dict(first.words)
    words["ms"] = sum(trouble.ms for trouble in group) / len(group)
    bars = list({trouble.bar.index: trouble.bar for trouble in group}.values())
    clause = CLAUSES[first.case].format(**words)
    if words.get("chord") and words["chord"] != words["expected"]:
        clause = LEADS.get(first.case, "").format(**words) + clause
    elif first.case in LEADS:
        clause = IN_THE_BASS + clause
    if first.kind == "otherwise":
        sentence = f"{capital(clause)} ({where_in_words(graph, bars)})."
    elif len(bars) == 1:
        sentence = f"{place(bars[0])}: {clause}."
    else:
        sentence = f"{capital(clause)} ({places(bars)})."
    total = sum(trouble.cost for trouble in group)
    sounding = first.case.startswith(("chord", "bass"))
    indices = frozenset(bar.index for bar in bars) if sounding else frozenset()
    return _Fix(total, bars[0].number, sentence, _cause(first), indices)


def _cause(trouble: Trouble) -> tuple[str, ...]:
    """What one has to work on: a tone of the key, a chord, the bass under it, what one hand
    does to the pattern."""
    words, case = dict(trouble.words), trouble.case
    if case == "chord wrong" and words.get("foreign"):
        return "tone", words["foreign"], words["missing"]
    if case == "chord incomplete" and words.get("degree"):
        return "lacking", words["degree"]
    if case in ("bass root", "other rhythm"):
        return (case,)
    if case.endswith("put right"):
        return ("put right",)
    part = case.partition(" ")[0]
    if part == "chord":
        return part, *_kind_of_chord(words["expected"])
    if part == "bass":
        return part, words["expected"], words["chord"]
    return case, words["hand"]


def _kind_of_chord(name: str) -> tuple[str, str]:
    """Root and minor third, if it has one: E and E7 are learnt as one chord, D and Dm as two."""
    found = _ROOT.match(name)
    return (found[1], found[2] or "") if found else (name, "")
