"""Does the practice plan begin with what the student cannot do?

    python -m tests.bench.plan [--takes 210] [--slips]

Each simulated student has one weakness and keeps it through the whole take: one chord, the
root under a chord that wants another bass, one movement that comes late or with a halt,
one strike of the pattern, the pattern of one section, the length of one tail. With
`--slips` a slip or two of other kinds come in by chance. Counted is how often the first
loop names that weakness and leads to a place where it was heard. The students are those of
`tests.bench.students`, their songs invented; common practice, no outside source.
"""

import argparse
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from evaluator.chart.graph import Bar, Span
from evaluator.grading import grade_take, prepare
from evaluator.judge.names import chord_name
from evaluator.report.model import Loop, LoopKind
from evaluator.report.places import beat_words
from tests.bench.dice import Dice
from tests.bench.invent import invent
from tests.bench.orders import Plan, Step, leave_out
from tests.bench.slips import BarRates, make_slips
from tests.bench.students import HANDS, HandName
from tests.playing import (
    BarsMissing,
    Fault,
    Late,
    Missed,
    Pause,
    WrongBass,
    WrongChord,
    play,
    to_midi,
)

LIGHT: Final = BarRates(
    wrong_chord=0.005, wrong_bass=0.005, missed=0.01, added=0.005, late=0.005, slip=0.01
)
"""Slips beside the weakness: one or two a song."""
OFTEN: Final = 3
"""A movement or a chord that comes less often is no weakness but a slip."""
MOST: Final = 3
"""A chord that makes up more than this part of a song is no single weakness any more: with
every second chord another, the take is of another song or in another key."""
LATE_MS: Final = 160.0


@dataclass(frozen=True, slots=True)
class Weak:
    """What the first loop has to be about."""

    name: str
    kind: LoopKind
    numbers: frozenset[int]
    """Bars in which it shows."""
    words: tuple[str, ...]
    """Each must stand in what the loop says of it."""

    def is_met_by(self, loop: Loop) -> bool:
        first, last = loop.bars
        there = any(first <= number <= last for number in self.numbers)
        return there and loop.kind == self.kind and all(word in loop.why for word in self.words)


@dataclass(frozen=True, slots=True)
class _Place:
    """One chord of the take: its step, bar and span, and the chord before it."""

    step: int
    bar: Bar
    span: Span
    before: str

    @property
    def beat(self) -> float:
        return float(self.span.beat)

    @property
    def name(self) -> str:
        return chord_name(self.span, self.bar)


def _places(plan: Plan) -> list[_Place]:
    found: list[_Place] = []
    before = ""
    for step in range(len(plan.steps)):
        bar = plan.bar(step)
        for span in bar.spans:
            if span.chord is not None:
                found.append(_Place(step, bar, span, before))
            before = chord_name(span, bar)
    return found


def _struck(place: _Place, hand: str, part: str) -> bool:
    return any(
        strike.hand == hand and strike.part == part and strike.beat == place.span.beat
        for strike in place.bar.strikes
    )


def _groups(places: Sequence[_Place], name: Callable[[_Place], str]) -> list[list[_Place]]:
    groups: dict[str, list[_Place]] = {}
    for place in places:
        groups.setdefault(name(place), []).append(place)
    return [group for group in groups.values() if len(group) >= OFTEN]


def _put(plan: Plan, group: Sequence[_Place], make: Callable[[_Place], list[Fault]]) -> None:
    for place in group:
        plan.steps[place.step].faults += make(place)


def _numbers(group: Sequence[_Place]) -> frozenset[int]:
    return frozenset(place.bar.number for place in group)


def root_for_bass(plan: Plan, dice: Dice) -> Weak | None:
    """Always the root under one chord that wants another bass."""
    wanted = [
        place
        for place in _places(plan)
        if place.span.chord is not None
        and place.span.chord.root.pc
        not in {place.span.bass, *(c.bass_pc for c in place.span.colours)}
        and _struck(place, "left", "bass")
    ]
    groups = _groups(wanted, lambda place: place.name)
    if not groups:
        return None
    group = dice.pick(groups)
    _put(plan, group, lambda p: [WrongBass(0, p.span.chord.root.text, p.beat)])  # type: ignore[union-attr]
    into = (group[0].name, f"bass goes to {group[0].span.chord.root.text}")  # type: ignore[union-attr]
    return Weak("root for bass", "bass", _numbers(group), into)


def wrong_chord(plan: Plan, dice: Dice) -> Weak | None:
    """Always the same wrong chord for one chord of the song, not for a third of all of it."""
    places = [p for p in _places(plan) if any(s.part == "chord" for s in p.bar.strikes)]
    names = {p.span.chord.name: p.span.chord for p in places if p.span.chord}
    for group in dice.shuffled(_groups(places, lambda p: p.span.chord.name)):  # type: ignore[union-attr]
        if MOST * len(group) > len(places):
            continue
        chord = group[0].span.chord
        allowed = frozenset[int]().union(*(place.span.allowed for place in group))
        others = [
            other
            for other in names.values()
            if chord is not None
            and len(other.tones - allowed) > 1
            and chord.essential - other.tones
        ]
        if others and chord is not None:
            other = dice.pick(others)
            _put(plan, group, lambda p, other=other: [WrongChord(0, other.name, p.beat)])  # type: ignore[misc]
            return Weak("wrong chord", "chord", _numbers(group), (f"into {chord.name}",))
    return None


def _movement(plan: Plan, dice: Dice, hands: int) -> list[_Place] | None:
    places = [
        place
        for place in _places(plan)
        if place.before
        and place.step > 0
        and sum(s.beat == place.span.beat for s in place.bar.strikes) >= hands
        and place.before != place.name
    ]
    groups = _groups(places, lambda place: f"{place.before} {place.name}")
    return dice.pick(groups) if groups else None


def late_movement(plan: Plan, dice: Dice) -> Weak | None:
    """Always late into one chord from one other: both hands, or the one that strikes."""
    group = _movement(plan, dice, 1)
    if group is None:
        return None
    _put(
        plan,
        group,
        lambda p: [
            Late(0, p.beat, strike.hand, LATE_MS)
            for strike in {s.hand: s for s in p.bar.strikes if s.beat == p.span.beat}.values()
        ],
    )
    return Weak("late movement", "rhythm", _numbers(group), (group[0].name,))


def halting_movement(plan: Plan, dice: Dice) -> Weak | None:
    """Always a halt of a second and more on the way into one chord from one other."""
    group = _movement(plan, dice, 1)
    if group is None:
        return None
    _put(plan, group, lambda p: [Pause(0, p.beat, dice.between(1.2, 2.0))])
    return Weak("halting movement", "halt", _numbers(group), (group[0].name,))


def missed_place(plan: Plan, dice: Dice) -> Weak | None:
    """Always the same strike of a pattern left out, in all its bars."""
    strikes = {
        (strike.hand, strike.beat)
        for step in range(len(plan.steps))
        for strike in plan.bar(step).strikes
        if strike.beat > 0 and strike.part != "bass"
    }
    if not strikes:
        return None
    hand, beat = dice.pick(sorted(strikes))
    numbers = set()
    for place, step in enumerate(plan.steps):
        bar = plan.bar(place)
        if any((s.hand, s.beat) == (hand, beat) for s in bar.strikes) and len(bar.strikes) > 2:
            step.faults.append(Missed(0, float(beat), hand))
            numbers.add(bar.number)
    if len(numbers) < OFTEN:
        return None
    first = next(bar for bar in plan.graph.bars if bar.number in numbers)
    words = (f"{hand} hand", beat_words(float(beat), plan.graph, first))
    return Weak("missed place", "rhythm", frozenset(numbers), words)


def section_rhythm(plan: Plan, dice: Dice) -> Weak | None:
    """One section in which every bar's pattern goes wrong, now here and now there."""
    sections: dict[str, list[Step]] = {}
    for place, step in enumerate(plan.steps):
        if len(plan.bar(place).strikes) > 3:
            sections.setdefault(plan.bar(place).section, []).append(step)
    whole = [name for name, steps in sections.items() if len(steps) >= 4]
    if not whole or len(sections) < 2:
        return None
    name = dice.pick(whole)
    for step in sections[name]:
        bar = plan.graph.bars[step.index]
        for strike in dice.shuffled(bar.strikes)[:2]:
            step.faults.append(Missed(0, float(strike.beat), strike.hand))
        step.faults[:] = list(dict.fromkeys(step.faults))
    numbers = frozenset(plan.graph.bars[step.index].number for step in sections[name])
    return Weak("section's rhythm", "rhythm", numbers, ())


def short_tail(plan: Plan, dice: Dice) -> Weak | None:
    """One counted tail that is a bar or more too short."""
    leave_out(plan, dice, "tail")
    missing = [f for step in plan.steps for f in step.faults if isinstance(f, BarsMissing)]
    if not missing:
        return None
    bars = {bar.number: bar for bar in plan.graph.bars if not bar.alternative}
    tail, after = missing[0].numbers[-1], bars.get(missing[0].numbers[-1] + 1)
    if after is None or after.spans[0].chord == bars[tail].spans[0].chord:
        return None  # the song goes on with the same chord: nobody can hear where the tail ended
    return Weak("short tail", "count", frozenset(missing[0].numbers), ())


WEAKNESSES: Final = (
    root_for_bass,
    wrong_chord,
    late_movement,
    halting_movement,
    missed_place,
    section_rhythm,
    short_tail,
)


def take_of(
    seed: int, hand: HandName, make: Callable[[Plan, Dice], Weak | None], *, slips: bool
) -> tuple[str, bytes, Weak] | None:
    """A chart, a take of it as it is written, and its weakness; None where it has no place."""
    text = invent(seed)
    graph = prepare(text).graph
    dice = Dice(seed, list(HANDS).index(hand), 7)
    plan = Plan(graph, [Step(index) for index in graph.written])
    weak = make(plan, dice)
    if weak is None:
        return None
    manner = _manner(hand, dice)
    if slips:
        others = Plan(graph, [Step(step.index) for step in plan.steps])
        make_slips(others, dice, LIGHT, speed=1.0)
        for step, other in zip(plan.steps, others.steps, strict=True):
            step.faults += [] if step.faults else other.faults
    performance = play(graph, plan.order, faults=plan.faults, seed=seed, **manner)
    return text, to_midi(performance), weak


def _manner(hand: HandName, dice: Dice) -> dict[str, float]:
    how = HANDS[hand]
    return {
        "tempo": dice.between(0.8, 1.05),
        "jitter_ms": how.jitter_ms,
        "spread_ms": how.spread_ms,
        "wander_pct": how.wander_pct,
        "uneven": how.uneven,
        "octaves": how.octaves,
        "leaps": how.leaps,
        "coloured": how.coloured,
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--takes", type=int, default=210)
    parser.add_argument("--slips", action="store_true")
    parser.add_argument("--show", action="store_true", help="print every miss")
    options = parser.parse_args()
    asked, met = Counter[str](), Counter[str]()
    seed = 0
    while sum(asked.values()) < options.takes:
        make = WEAKNESSES[seed % len(WEAKNESSES)]
        hand = list(HANDS)[seed // len(WEAKNESSES) % len(HANDS)]
        made = take_of(1000 + seed, hand, make, slips=options.slips)
        seed += 1
        if made is None:
            continue
        text, midi, weak = made
        loops = grade_take(prepare(text), midi).practise
        good = bool(loops) and weak.is_met_by(loops[0])
        asked[weak.name] += 1
        met[weak.name] += good
        if options.show and not good:
            told = "; ".join(f"{loop.bars} {loop.kind} {loop.why}" for loop in loops[:2])
            where = sorted(weak.numbers)[:6]
            print(f"{1000 + seed - 1} {hand} {weak.name} {where} {weak.words}: {told}")
    for name, count in sorted(asked.items()):
        print(f"{name:<18}{met[name]:>4} of {count:>3}")
    total = sum(asked.values())
    print(
        f"{'all':<18}{sum(met.values()):>4} of {total:>3}  {100 * sum(met.values()) / total:.1f} %"
    )


if __name__ == "__main__":
    main()
