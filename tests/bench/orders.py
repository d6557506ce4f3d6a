"""In what order does a student play the bars, rightly or wrongly?

A `Plan` is the take before it sounds: its steps in order, each a bar of the chart with
the mistakes that belong to it. Legal choices come first, then mistakes of form. A
mistake of form must be one: a bar left out of a run that may have any length is not.
So every plan is checked by ear, bar against bar, along the graph's legal successors.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from evaluator.chart.graph import Bar, BarGraph
from tests.bench.dice import Dice
from tests.playing import BarsExtra, BarsMissing, Choice, Fault, Pause, Restart

Unit = Literal["bars", "line", "section", "tail"]

_APART = 4
"""Bars between two mistakes of form, so that each can be told from the other."""
_LOOPS = 4
"""Most times that an open range is played beyond its lower number."""


@dataclass(slots=True)
class Step:
    """One bar of the take; the `bar` of its faults is filled in by `Plan.faults`."""

    index: int
    faults: list[Fault] = field(default_factory=list)
    touched: bool = False
    """Near a mistake of form: no other comes here."""


@dataclass(slots=True)
class Plan:
    """What is going to be played."""

    graph: BarGraph
    steps: list[Step]

    @property
    def order(self) -> list[int]:
        """Indices into `graph.bars`."""
        return [step.index for step in self.steps]

    @property
    def faults(self) -> list[Fault]:
        """Every mistake with the number of its bar in the take."""
        return [
            replace(fault, bar=place)
            for place, step in enumerate(self.steps, 1)
            for fault in step.faults
        ]

    def bar(self, place: int) -> Bar:
        """The chart's bar at a place of the order, from 0."""
        return self.graph.bars[self.steps[place].index]

    def touch(self, place: int) -> None:
        """Keep other mistakes of form away from here."""
        for step in self.steps[max(0, place - _APART) : place + _APART]:
            step.touched = True


def choose(graph: BarGraph, dice: Dice, *, share: float) -> Plan:
    """A legal order with legal choices taken in that share of the places that offer one."""
    at = graph.starts[0] if not dice.chance(share) else dice.pick(graph.starts)
    steps = [Step(at)]
    visits = {at: 1}
    while True:
        ways = [w for w in graph.successors[at] if visits.get(w, 0) <= _LOOPS]
        if not ways or (at in graph.finals and not dice.chance(0.8)):
            break
        nominal = ways[0]
        then = dice.pick(ways) if len(ways) > 1 and dice.chance(share) else nominal
        step = Step(then)
        if then != graph.successors[at][0]:
            step.faults.append(_choice(graph, at, then))
        steps.append(step)
        visits[then] = visits.get(then, 0) + 1
        at = then
    return Plan(graph, steps)


def _choice(graph: BarGraph, at: int, then: int) -> Choice:
    """Which legal variation a step other than the nominal one is."""
    bar, nominal = graph.bars[then], graph.bars[graph.successors[at][0]]
    if bar.alternative:
        line = [b.number for b in graph.bars if _line_of(b) == _line_of(bar)]
        return Choice(0, tuple(line), "or line")
    if then <= at:
        line = [b.number for b in graph.bars if _line_of(b) == _line_of(bar)]
        return Choice(0, tuple(line), "times")
    left = [b for b in graph.bars[nominal.index : then] if not b.alternative]
    whole = {b.section_index for b in left} - {bar.section_index, graph.bars[at].section_index}
    numbers = tuple(b.number for b in left)
    return Choice(0, numbers, "left out" if whole else "times")


def _line_of(bar: Bar) -> tuple[int, int, int, int]:
    """One playing of one written line."""
    return bar.section_index, bar.line, bar.copy, bar.alternative


def sounds_legal(graph: BarGraph, order: Sequence[int], broken: Sequence[int] = ()) -> bool:
    """Whether some legal order, begun and ended anywhere, sounds bar for bar like this one.

    At the places `broken` of the order something illegal was done before: legal is what
    is legal between them.
    """
    alike: dict[tuple[object, ...], set[int]] = {}
    for bar in graph.bars:
        alike.setdefault(_content(bar), set()).add(bar.index)
    here: set[int] = alike[_content(graph.bars[order[0]])]
    for place in range(1, len(order)):
        content = alike[_content(graph.bars[order[place]])]
        reached = {then for at in here for then in graph.successors[at]}
        here = content if place in broken else reached & content
    return bool(here)


def _broken(steps: Sequence[Step]) -> list[int]:
    """Places to which a mistake of form led."""
    return [place for place, step in enumerate(steps) if step.faults]


def _content(bar: Bar) -> tuple[object, ...]:
    return bar.meter, bar.spans, bar.strikes


def leave_out(plan: Plan, dice: Dice, unit: Unit) -> bool:
    """Drop a bar, a whole line or section, or bars of a tail; False where none can go."""
    for first, count in dice.shuffled(_stretches(plan, unit)):
        end = first + count
        if end >= len(plan.steps) or first == 0 or _busy(plan, first, end):
            continue
        if unit == "tail":
            count = dice.count(1, min(2, count))
            first = end - count
        left = plan.steps[:first] + plan.steps[end:]
        if sounds_legal(plan.graph, [step.index for step in left], _broken(left)):
            continue
        numbers = tuple(plan.bar(place).number for place in range(first, end))
        plan.steps[end].faults.append(BarsMissing(0, numbers, _named(unit)))
        del plan.steps[first:end]
        plan.touch(first)
        return True
    return False


def play_twice(plan: Plan, dice: Dice, unit: Unit) -> bool:
    """Play a bar, a whole line or section, or bars of a tail once more than is allowed."""
    for first, count in dice.shuffled(_stretches(plan, unit)):
        end = first + count
        if _busy(plan, first, end):
            continue
        if unit == "tail":
            first = end - dice.count(1, min(2, count))
        again = [Step(step.index) for step in plan.steps[first:end]]
        repeated = plan.steps[:end] + again + plan.steps[end:]
        if sounds_legal(plan.graph, [step.index for step in repeated], _broken(repeated)):
            continue
        numbers = tuple(plan.bar(place).number for place in range(first, end))
        again[0].faults.append(BarsExtra(0, numbers, _named(unit)))
        plan.steps[end:end] = again
        plan.touch(first)
        plan.touch(end + len(again))
        return True
    return False


def break_off(plan: Plan, dice: Dice, back_to: Literal["bar", "line"]) -> bool:
    """Break off within a bar, wait, and take up again at its bar line or at its line's."""
    for place in dice.shuffled(range(1, len(plan.steps) - 1)):
        bar = plan.bar(place)
        beats = [s.beat for s in bar.strikes if s.beat > 0]
        begin = place - (bar.place if back_to == "line" else 0)
        line = plan.order[begin : place + 1]
        if not beats or _busy(plan, max(0, begin), place + 1) or begin < 0:
            continue
        if {_line_of(plan.graph.bars[index]) for index in line} != {_line_of(bar)}:
            continue
        if back_to == "line" and bar.place == 0:
            continue
        stop = Restart(0, float(dice.pick(beats)), round(dice.between(0.5, 4.0), 2))
        plan.steps[place].faults.append(stop)
        plan.steps[place + 1 : place + 1] = [Step(index) for index in line]
        plan.touch(begin)
        plan.touch(place + 1 + len(line))
        return True
    return False


def halt(plan: Plan, dice: Dice) -> bool:
    """Stand still before some strike for a second to four, without losing the place."""
    for place in dice.shuffled(range(1, len(plan.steps))):
        step = plan.steps[place]
        beats = sorted({float(strike.beat) for strike in plan.bar(place).strikes})
        if beats and not step.touched:
            step.faults.append(Pause(0, dice.pick(beats), round(dice.between(1.0, 4.0), 2)))
            step.touched = True
            return True
    return False


def begin_late(plan: Plan, dice: Dice) -> None:
    """Start at a later section instead of the beginning."""
    firsts = [first for first, _ in _stretches(plan, "section") if first]
    firsts = [first for first in firsts if len(plan.steps) - first >= 16]
    if firsts:
        del plan.steps[: dice.pick(firsts)]
        plan.steps[0].faults.clear()


def stop_early(plan: Plan, dice: Dice) -> None:
    """Play no further than some bar after the first sixteen."""
    if len(plan.steps) > 20:
        del plan.steps[dice.count(16, len(plan.steps) - 2) :]


def _named(unit: Unit) -> str:
    return "bars" if unit == "tail" else unit


def _busy(plan: Plan, first: int, end: int) -> bool:
    """Whether the steps, or the one after them, have to do with another mistake or choice."""
    steps = plan.steps[max(0, first - 1) : end + 1]
    return any(step.touched or step.faults for step in steps)


def _stretches(plan: Plan, unit: Unit) -> list[tuple[int, int]]:
    """First place and length of every bar, line, section or tail of the plan."""
    if unit == "bars":
        return [(place, 1) for place in range(len(plan.steps))]
    keys: list[object] = []
    for place in range(len(plan.steps)):
        bar = plan.bar(place)
        keys.append(_line_of(bar) if unit == "line" else bar.section_index)
        if unit == "tail":
            keys[-1] = (bar.section_index, bar.tail)
    firsts = [p for p in range(len(keys)) if p == 0 or keys[p] != keys[p - 1]]
    lengths = [b - a for a, b in zip(firsts, [*firsts[1:], len(keys)], strict=True)]
    found = list(zip(firsts, lengths, strict=True))
    if unit == "tail":
        found = [(first, count) for first, count in found if plan.bar(first).tail]
    return found
