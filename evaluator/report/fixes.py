"""Which three things should be put right first?

Everything found is weighed by what it takes from the marks. The same fault in several
bars is one thing to put right, and its places are told together; so are halts, and steps
that come too late or too soon, which have one remedy.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.judge.verdict import Judgement
from evaluator.report.causes import cause, chord_habits, swapped, told
from evaluator.report.faults import Trouble
from evaluator.report.form_pairs import COUNTED, habits, in_place, later, say_habit
from evaluator.report.form_told import cost, say, say_all, say_halts
from evaluator.report.model import ReportedTouch
from evaluator.report.places import (
    amount,
    capital,
    how_far_in_words,
    listed,
    place,
    places_in_words,
)
from evaluator.report.searching import Searching, Silent, searching, silent_hands
from evaluator.report.sentences import (
    BOTH_HANDS,
    CLAUSES,
    IN_THE_BASS,
    JOINED,
    LEADS,
    SEARCHING,
    SILENT,
)

MOST_FIXES: Final = 3
LEAST_COST: Final = 0.02
"""Worth of bars below which a thing is not worth a student's attention first."""

HALTS: Final = ("restart", "break")
IN_TIME: Final = ("evenness", "hesitation")
"""Of the touch, what tells that it did not go on in time; the first of them that is said."""
MANY_MORE: Final = 1.5
"""Times as many hesitations as there are halts, below which it is enough to tell the halts."""
HEARD_THROUGHOUT: Final = ("blur", "together", "balance")
"""Of the touch, what is put right after the mistakes, where there are not three of these."""


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
    form = _form_fixes(graph, judgement, played)
    search = searching(graph, judgement)
    sought = [one for one in found if search is not None and _is_of(one, search)]
    resting = {one: [t for t in found if one.explains(t)] for one in silent_hands(judgement)}
    explained = [*sought, *(trouble for troubles in resting.values() for trouble in troubles)]
    going_on = list(_going_on(judgement, touch, search))
    if search is not None:
        going_on.append(_search_fix(graph, search, sum(trouble.cost for trouble in sought)))
    stumbling = _by_cause([*form, *going_on])
    rests = [_rest_fix(graph, one, troubles) for one, troubles in resting.items() if troubles]
    others = [one for one in found if one not in explained]
    weighed = [*stumbling, *rests, *_trouble_fixes(graph, others)]
    first: list[_Fix] = []
    for fix in sorted(weighed, key=_worth, reverse=True):
        same = any(fix.bars and fix.bars <= other.bars for other in first)
        if fix.cost >= LEAST_COST and not same and len(first) < MOST_FIXES:
            first.append(fix)
    aside = [one.say for one in touch.aspects if one.verdict.aspect in HEARD_THROUGHOUT and one.say]
    return tuple([*(fix.sentence for fix in first), *aside][:MOST_FIXES])


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


def _form_fixes(graph: BarGraph, judgement: Judgement, played: Mapping[int, int]) -> list[_Fix]:
    form, rubric = judgement.form, judgement.rubric
    pairs = {**in_place(graph, form), **later(form)}
    fixes = []
    paired = {*pairs, *pairs.values()}
    together = habits([one for at, one in enumerate(form) if at not in paired])
    for habit in together:
        total = sum(cost(finding, rubric) for finding in habit)
        why: tuple[str, ...] = ("count", habit[0].kind, "tails" if habit[0].tail else "bars")
        fixes.append(_Fix(total, habit[0].bars[0], say_habit(habit, graph), why))
    gone = [finding for habit in together for finding in habit]
    for at, (finding, sentence) in enumerate(zip(form, say_all(form, graph, played), strict=True)):
        if finding in gone or at in pairs.values():
            continue
        if finding.kind in COUNTED:
            worth = cost(finding, rubric)
            worth += cost(form[pairs[at]], rubric) if at in pairs else 0.0
            why = ("count", finding.section, "tail" if finding.tail else "")
            fixes.append(_Fix(worth, finding.bars[0], sentence, why))
    for kind in HALTS:
        halts = [finding for finding in form if finding.kind == kind]
        if halts:
            total = sum(cost(finding, rubric) for finding in halts)
            one = say(halts[0], graph, played)
            sentence = (
                one if len(halts) == 1 else say_halts(halts, graph, 60.0 / judgement.tempo.median)
            )
            first = min(finding.bars[0] for finding in halts)
            fixes.append(_Fix(total, first, sentence, ("halts",)))
    return fixes


def _is_of(trouble: Trouble, search: Searching) -> bool:
    """Whether a hand came late because it searched."""
    hand = dict(trouble.words).get("hand")
    return trouble.case == "late" and hand in search.hands and trouble.bar.index in search.bars


def _search_fix(graph: BarGraph, search: Searching, worth: float) -> _Fix:
    bars = [graph.bars[index] for index in search.bars]
    sentence = SEARCHING[len(search.hands) > 1].format(
        hand=search.hands[0],
        seconds=search.longest_ms / 1000,
        where=places_in_words(graph, bars),
    )
    return _Fix(worth, bars[0].number, sentence, ("searching",))


def _rest_fix(graph: BarGraph, silent: Silent, troubles: Sequence[Trouble]) -> _Fix:
    bars = [graph.bars[index] for index in sorted(silent.bars)]
    sentence = SILENT.format(hand=silent.hand, where=how_far_in_words(graph, bars))
    worth = sum(trouble.cost for trouble in troubles)
    return _Fix(worth, bars[0].number, sentence, ("silent", silent.hand), silent.bars)


def _going_on(
    judgement: Judgement, touch: ReportedTouch, search: Searching | None
) -> Iterator[_Fix]:
    """That it did not go on in time, by what it takes from the mark for the touch."""
    said = {one.verdict.aspect: one for one in touch.aspects if one.say}
    off = next((said[aspect] for aspect in IN_TIME if aspect in said), None)
    if off is None or touch.mark is None or not touch.counted:
        return
    lost = judgement.rubric.shares.get("touch", 0.0) * (1.0 - touch.mark / 100.0)
    first = min(off.bars, default=0)
    worth = lost * len(judgement.bars)
    if search is not None and off.verdict.aspect == "evenness":
        yield _Fix(worth, first, "", ("searching",))
        return
    # Halts that the form tells already are not told a second time, in other words.
    halts = sum(finding.kind in HALTS for finding in judgement.form)
    told_already = off.verdict.aspect == "hesitation" and off.verdict.count <= MANY_MORE * halts
    sentence = "" if told_already and halts else off.say
    yield _Fix(worth, first, sentence, ("halts",))


def _trouble_fixes(graph: BarGraph, found: Sequence[Trouble]) -> list[_Fix]:
    """What went wrong in the bars, cause by cause."""
    causes: dict[tuple[str, ...], list[Trouble]] = {}
    pairs, common = swapped(found), chord_habits(found)
    for trouble in told(found):
        causes.setdefault(cause(trouble, pairs, common), []).append(trouble)
    fixes = []
    for why, troubles in causes.items():
        if len(_alike(troubles)) > 1 and why[0] in JOINED:
            fixes.append(_joined_fix(graph, why, troubles))
        else:
            fixes += _by_cause(_one_fix(graph, why, group) for group in _exchanged(troubles))
    return fixes


def _one_fix(graph: BarGraph, why: tuple[str, ...], group: Sequence[Trouble]) -> _Fix:
    if len(_alike(group)) == 1:
        return _trouble_fix(graph, group)
    return replace(_joined_fix(graph, ("exchanged",), group), cause=why)


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


def _joined_fix(graph: BarGraph, why: tuple[str, ...], troubles: Sequence[Trouble]) -> _Fix:
    """One sentence for what has one cause and shows in several ways."""
    words, item = JOINED[why[0]]
    items = dict.fromkeys(item.format(**dict(trouble.words)) for trouble in troubles)
    if why[0] == "other rhythm":
        items = dict.fromkeys(_other_rhythms(troubles))
        if len({dict(trouble.words)["hand"] for trouble in troubles}) == 1:
            words, item = JOINED["one hand's rhythm"]
            items = dict.fromkeys(item.format(**dict(trouble.words)) for trouble in troubles)
    bars = list({trouble.bar.index: trouble.bar for trouble in troubles}.values())
    sections = why[0] == "other rhythm"
    where = how_far_in_words(graph, bars) if sections else places_in_words(graph, bars)
    sentence = words.format(
        items=listed(list(items)),
        where=where,
        count=capital(amount(len(bars), "time")),
        **dict(troubles[0].words),
    )
    indices = frozenset() if sections else frozenset(bar.index for bar in bars)
    total = sum(trouble.cost for trouble in troubles)
    return _Fix(total, min(bar.number for bar in bars), sentence, why, indices)


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
        sentence = f"{capital(clause)} ({how_far_in_words(graph, bars)})."
    elif len(bars) == 1:
        sentence = f"{place(bars[0])}: {clause}."
    else:
        sentence = f"{capital(clause)} ({places_in_words(graph, bars)})."
    total = sum(trouble.cost for trouble in group)
    sounding = first.case.startswith(("chord", "bass"))
    indices = frozenset(bar.index for bar in bars) if sounding else frozenset()
    return _Fix(total, bars[0].number, sentence, cause(first), indices)
