"""Which kinds of players do not play the chart's pattern, or not as it is written?

    take = play_kind("broken in eighths", 17)                  # every chord and bass right
    take = play_kind("broken in eighths", 17, faults=MIXED)    # as students play

A kind is a row: a rhythm (what either hand strikes) and habits (how). What a row leaves
open is drawn from the seed, the hand that plays (`students.HANDS`) among it. Mixed takes
have pauses, faults of form and slips as well. Common practice of teaching, no source.
"""

import re
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import Literal

from evaluator.chart import read_chart
from evaluator.chart.graph import Bar, BarGraph, ExpectedStrike, Hand
from tests.bench.accompany import Hands
from tests.bench.dice import Dice
from tests.bench.habits import Accompanist, Bend, Habits, Shape
from tests.bench.invent import invent
from tests.bench.liberties import at_changes, bare, pushed, walking, with_strikes
from tests.bench.orders import Plan, choose
from tests.bench.rhythms import (
    Rhythm,
    after_beats,
    another_pattern,
    any_rhythm,
    between_beats,
    broken_chords,
    doubled_strikes,
    either,
    even,
    left_broken,
    one_finger,
    over_pattern,
    power_chords,
    striding,
    the_pattern,
    through_both_hands,
    triads_alone,
    tune_alone,
    tune_over_chords,
)
from tests.bench.slips import BarRates, make_slips
from tests.bench.students import (
    FEW,
    HANDS,
    NONE,
    Faults,
    HandName,
    Simulated,
    manner_of,
    side,
    spoil,
    with_noodling,
)
from tests.playing import (
    BarsExtra,
    BarsMissing,
    Choice,
    Manner,
    Miscounted,
    Note,
    Pause,
    Performance,
    Restart,
    to_midi,
)
from tests.playing.strokes import scale_of

ROOT = Path(__file__).resolve().parents[2]
CHARTS = ("kettle_lane", "ladder_shuffle", "tallow_moon")
QUICKEST = 0.13
"""Seconds between strikes that nobody who plays a song at leisure undercuts."""

MIXED = replace(
    FEW,
    bars=BarRates(wrong_chord=0.03, wrong_quality=0.01, wrong_bass=0.02, slip=0.01),
    bar_missing=0.3,
    bar_twice=0.25,
    line_missing=0.1,
    line_twice=0.1,
    section_missing=0.15,
    section_twice=0.1,
    restart_line=0.15,
    pause=0.6,
)
"""About two mistakes of form a take."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of player."""

    rhythm: Rhythm
    habits: Callable[[Dice], Habits] = lambda dice: Habits()
    change: Callable[[Manner, Dice], Manner] = lambda manner, dice: manner
    by_section: bool = False
    """A rhythm of its own for each section."""
    held_over: bool = False
    pushes: bool = False
    walks: bool = False
    breathes: bool = False
    """A little wait before each line."""
    line_ends: int = 0
    """Beats by which the last bar of most lines is too long, below zero too short."""
    prelude: int = 0
    """Notes of each strike of what is played before the song."""
    partly: bool = False
    """Chords lack tones: one that is called incomplete is called rightly so."""


def of_any_kind(dice: Dice, graph: BarGraph) -> Hands:
    """The rhythm of any kind whose chords are whole."""
    rows = [kind.rhythm for name, kind in KINDS.items() if not kind.partly and name != SEVERAL]
    return dice.pick(rows)(dice, graph)


def _several_habits(dice: Dice) -> Habits:
    """Those of two kinds, or of three."""
    rows = [kind.habits(dice) for name, kind in KINDS.items() if name != SEVERAL]
    own = [habits for habits in rows if habits != Habits()]
    found = Habits()
    for habits in dice.shuffled(own)[: dice.count(2, 3)]:
        changed = {
            name: getattr(habits, name)
            for name in Habits.__dataclass_fields__
            if getattr(habits, name) != getattr(Habits(), name)
        }
        found = replace(found, **changed)
    return found


SEVERAL = "several of these at once"


def _shape(*shapes: Shape) -> Callable[[Dice], Habits]:
    return lambda dice: Habits(left=dice.pick(shapes))


def _rolled(*hands: Hand, downward: bool = False) -> Callable[[Dice], Habits]:
    return lambda dice: Habits(rolled=hands, roll_ms=dice.between(20, 80), downward=downward)


def _behind(hand: Hand) -> Callable[[Dice], Habits]:
    """Half before the beat and half after it, so that the bar line is where one hears it."""

    def habits(dice: Dice) -> Habits:
        apart = dice.between(60, 150)
        other: Hand = "left" if hand == "right" else "right"
        return Habits(behind_ms={hand: apart / 2, other: -apart / 2})

    return habits


def _searching(*hands: Hand) -> Callable[[Dice], Habits]:
    return lambda dice: Habits(searching=hands, search_ms=dice.between(200, 350))


def _bent(bend: Bend, low: float, high: float) -> Callable[[Dice], Habits]:
    return lambda dice: Habits(bend=bend, bent_to=dice.between(low, high))


def _swung(manner: Manner, dice: Dice) -> Manner:
    return replace(manner, swing=dice.between(1.5, 2.2))


KINDS: Mapping[str, Kind] = {
    "the pattern": Kind(the_pattern),
    "whole notes": Kind(even("whole")),
    "half notes": Kind(even("half")),
    "quarters": Kind(even("quarter")),
    "eighths": Kind(even("eighth")),
    "right hand in eighths": Kind(over_pattern),
    "after-beats": Kind(after_beats),
    "broken in eighths": Kind(broken_chords("eighth", ("up", "down", "wave"))),
    "broken in triplets": Kind(broken_chords("triplet", ("up", "down", "wave"))),
    "broken, alberti": Kind(broken_chords("eighth", ("alberti",))),
    "broken in the left hand": Kind(left_broken),
    "broken through both hands": Kind(through_both_hands),
    "another pattern": Kind(another_pattern),
    "between the beats": Kind(between_beats),
    "at changes alone": Kind(even("whole"), held_over=True),
    "rolled, right hand": Kind(either, _rolled("right")),
    "rolled, both hands": Kind(either, _rolled("left", "right")),
    "rolled downward": Kind(either, _rolled("right", downward=True)),
    "a tune above the chords": Kind(tune_over_chords),
    "a tune, chords in the left": Kind(tune_alone, _shape("chord")),
    "stride under a tune": Kind(striding),
    "bass in octaves": Kind(either, _shape("octave")),
    "bass with fifths": Kind(either, _shape("fifth")),
    "bass with tenths": Kind(either, _shape("tenth")),
    "a walking bass": Kind(either, walks=True),
    "right hand behind": Kind(either, _behind("right")),
    "left hand behind": Kind(either, _behind("left")),
    "right hand searches": Kind(either, _searching("right")),
    "both hands search": Kind(either, _searching("left", "right")),
    "another manner each section": Kind(any_rhythm, by_section=True),
    "one section slower": Kind(either, _bent("section", 0.5, 0.8)),
    "slowing by and by": Kind(either, _bent("slowing", 0.6, 0.85)),
    "a ritard of four bars": Kind(either, _bent("ritard", 0.4, 0.7)),
    "breathing with the phrase": Kind(either, _bent("breathing", 1.08, 1.2)),
    "a breath before each line": Kind(either, breathes=True),
    "lines end a beat early": Kind(either, line_ends=-1),
    "lines end a beat late": Kind(either, line_ends=1),
    "last chord held": Kind(either, lambda dice: Habits(last_held=True)),
    "last chord held, ritard": Kind(
        either,
        lambda dice: Habits(last_held=True, bend="ritard", bent_to=dice.between(0.4, 0.7)),
    ),
    "last chord again": Kind(either, lambda dice: Habits(ends_again=dice.count(1, 2))),
    "single notes before": Kind(either, prelude=1),
    "chords before": Kind(either, prelude=3),
    "any inversion": Kind(either, change=lambda manner, dice: replace(manner, leaps=1.0)),
    "doubled strikes": Kind(doubled_strikes),
    "pushed chords": Kind(either, pushes=True),
    "swing where it is straight": Kind(either, change=_swung),
    "hands far apart": Kind(
        either, lambda dice: Habits(octaves_off=dice.pick(({"right": 1}, {"left": -1})))
    ),
    "the pedal down throughout": Kind(either, lambda dice: Habits(pedal_down=True)),
    SEVERAL: Kind(of_any_kind, _several_habits),
    "triads for sevenths": Kind(triads_alone, partly=True),
    "power chords": Kind(power_chords, partly=True),
    "one note in the right hand": Kind(one_finger, partly=True),
}


def song_text(seed: int) -> str:
    """Seven invented charts in ten, two of them without their patterns, and one of ours."""
    if seed % 10 == 0:
        name = CHARTS[seed // 10 % len(CHARTS)]
        return (ROOT / "charts" / f"{name}.txt").read_text(encoding="utf-8")
    text = invent(seed)
    return without_patterns(text) if seed % 10 in (3, 7) else text


def without_patterns(text: str) -> str:
    """The chart with its chords and its form alone."""
    text = re.sub(r"^pattern .*\n(?:[ \t]+.*\n)+", "", text, flags=re.MULTILINE)
    return re.sub(r"^(\[.*?\].*?) *\bpattern \S+", r"\1", text, flags=re.MULTILINE)


def play_kind(
    name: str,
    seed: int,
    *,
    faults: Faults = NONE,
    chart_text: str | None = None,
    arrange: Callable[[Plan, Dice], None] | None = None,
) -> Simulated:
    """A take by a player of that kind; the same every time.

    `arrange` changes which bars are played, before anything goes wrong with them.
    """
    kind, number = KINDS[name], zlib.crc32(name.encode()) % 1000
    text = song_text(seed + number) if chart_text is None else chart_text
    graph = read_chart(text, file=f"song-{seed}.txt")
    dice = Dice(seed, number, 2)
    hand: HandName = dice.weigh({"tidy": 2.0, "ordinary": 2.0, "rough": 1.0})
    habits = kind.habits(dice)
    played = _as_played(graph, kind, dice)
    if kind.pushes:
        played, ahead = pushed(played, dice, dice.between(0.2, 0.5))
        habits = replace(habits, ahead=ahead)
    manner = kind.change(manner_of(dice, HANDS[hand], played, fastest=QUICKEST), dice)
    plan = choose(bare(graph), dice, share=0.3)
    if arrange is not None:
        arrange(plan, dice)
    spoil(plan, dice, faults, played)
    make_slips(plan, dice, faults.bars, speed=manner.tempo)
    if kind.breathes:
        _breathe(plan, manner, dice)
    if kind.line_ends:
        _miscount(plan, kind.line_ends, dice)
    if habits.last_held:
        plan.steps[-1].faults[:] = [f for f in plan.steps[-1].faults if isinstance(f, _OF_FORM)]
    performance = perform(plan, manner, habits, seed)
    if kind.prelude:
        performance = _after_prelude(performance, dice, graph, kind.prelude)
    elif dice.chance(faults.noodling):
        performance = with_noodling(performance, dice, graph)
    if dice.chance(faults.transposed):
        performance = performance.transposed(dice.pick((-5, -4, -3, -2, -1, 1, 2, 3, 4, 5)))
    tracks: Literal["one", "hands"] = "hands" if dice.chance(0.3) else "one"
    return Simulated(text, graph, performance, to_midi(performance, tracks=tracks))


_OF_FORM = (Pause, Restart, BarsMissing, BarsExtra, Choice)


def perform(plan: Plan, manner: Manner, habits: Habits, seed: int) -> Performance:
    """The take of a plan whose graph has the strikes that are really played."""
    player = Accompanist(plan.graph, tuple(plan.order), tuple(plan.faults), manner, seed)
    return player.with_habits(habits).take()


def _as_played(graph: BarGraph, kind: Kind, dice: Dice) -> BarGraph:
    """The song with this player's strikes in the place of the pattern's."""
    sections = sorted({bar.section_index for bar in graph.bars})
    one = kind.rhythm(dice, graph)
    hands = {at: kind.rhythm(dice, graph) if kind.by_section else one for at in sections}

    def strikes(bar: Bar) -> list[ExpectedStrike]:
        left, right = hands[bar.section_index]
        return [*left(bar), *right(bar)]

    played = with_strikes(graph, strikes)
    if kind.held_over:
        played = at_changes(played)
    return walking(played, dice, dice.between(0.3, 0.8)) if kind.walks else played


def _breathe(plan: Plan, manner: Manner, dice: Dice) -> None:
    """Less than a beat: nobody would call it a halt. Who breaks off has breathed already."""
    part = dice.between(0.3, 0.9)
    for place, (before, step) in enumerate(pairwise(plan.steps), 1):
        bar = plan.bar(place)
        broken_off = any(isinstance(fault, Restart) for fault in before.faults)
        if bar.place == 0 and not step.faults and not broken_off:
            beat = bar.seconds_per_beat / manner.tempo
            step.faults.append(Pause(0, 0.0, part * dice.between(0.6, 1.0) * beat))


def _miscount(plan: Plan, by: int, dice: Dice) -> None:
    """Go on too late, or too soon, from the ends of four lines in five."""
    for place, (step, then) in enumerate(pairwise(plan.steps)):
        at_end = plan.bar(place + 1).place == 0 and not (step.faults or then.faults)
        if at_end and dice.chance(0.8):
            step.faults.append(Miscounted(0, float(plan.bar(place).beats) + by))


def _after_prelude(
    performance: Performance, dice: Dice, graph: BarGraph, voices: int
) -> Performance:
    """Some twelve seconds of single notes, or of thirds upon one another, of the key, and two of
    rest, before the song."""
    scale = scale_of(graph.bars[0].key)
    notes: list[Note] = []
    at, until = 0.2, dice.between(10.0, 14.0)
    even = dice.between(0.2, 0.6) if dice.chance(0.5) else None
    while at < until:
        base, low = (48 if dice.chance(0.3) else 60), dice.pick(range(len(scale)))
        length = even or dice.between(0.15, 0.7)
        for voice in range(low, low + 2 * voices, 2):
            key = base + scale[voice % len(scale)] + 12 * (voice // len(scale))
            notes.append(Note(at, at + 0.9 * length, key, dice.count(35, 80), side(key)))
        at += length
    moved = performance.later(at + dice.between(1.8, 2.5) - performance.truth.bars[0].start)
    return replace(moved, notes=(*notes, *moved.notes))
