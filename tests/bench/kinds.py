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
from pathlib import Path
from typing import Literal

from evaluator.chart import read_chart
from evaluator.chart.graph import Bar, BarGraph, ExpectedStrike, Hand
from tests.bench.accompany import (
    Figure,
    Hands,
    Length,
    Maker,
    after,
    as_written,
    at_changes,
    bare,
    bass,
    block,
    broken,
    broken_left,
    doubled,
    off_beat,
    off_beats,
    one_note,
    power,
    pushed,
    stride,
    through_both,
    triads,
    tune,
    walking,
    whole_chords,
    with_strikes,
)
from tests.bench.dice import Dice
from tests.bench.habits import Accompanist, Bend, Habits, Shape
from tests.bench.invent import invent
from tests.bench.orders import Plan, choose
from tests.bench.patterns import grid, pattern
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

Rhythm = Callable[[Dice, BarGraph], Hands]


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
    prelude: bool = False
    partly: bool = False
    """Chords lack tones: one that is called incomplete is called rightly so."""


def _even(length: Length) -> Rhythm:
    """Both hands strike that often, the left one perhaps less."""

    def hands(dice: Dice, graph: BarGraph) -> Hands:
        off = off_beat(graph)
        return bass(dice.pick((length, "whole")), off), block(length, off)

    return hands


def _broken(length: Length, figures: tuple[Figure, ...]) -> Rhythm:
    def hands(dice: Dice, graph: BarGraph) -> Hands:
        off = off_beat(graph)
        return bass(dice.pick(("whole", "half")), off), broken(dice.pick(figures), length, off)

    return hands


def _left_broken(dice: Dice, graph: BarGraph) -> Hands:
    off = off_beat(graph)
    return broken_left(dice, "eighth", off), block(dice.pick(("whole", "half")), off)


def _over_pattern(dice: Dice, graph: BarGraph) -> Hands:
    """The right hand in eighths over the pattern's left hand."""
    off = off_beat(graph)
    left = as_written("left") if graph.has_patterns else bass("whole", off)
    return left, block("eighth", off)


def _pattern(dice: Dice, graph: BarGraph) -> Hands:
    """The pattern; an accompaniment of one's own where the chart has none."""
    if graph.has_patterns:
        return as_written("left"), as_written("right")
    return _own(dice, graph)


def _own(dice: Dice, graph: BarGraph) -> Hands:
    """Some common accompaniment."""
    off = off_beat(graph)
    left = bass(dice.pick(("whole", "half")), off)
    right = dice.pick((block("whole", off), block("half", off), block("quarter", off), after(off)))
    return left, right


def _either(dice: Dice, graph: BarGraph) -> Hands:
    """The pattern, or some common accompaniment in its place."""
    return (_pattern if dice.chance(0.5) else _own)(dice, graph)


def _any(dice: Dice, graph: BarGraph) -> Hands:
    """Any rhythm of these players, for each section."""
    rows: tuple[Rhythm, ...] = (
        _pattern,
        _own,
        _even("whole"),
        _even("eighth"),
        _broken("eighth", ("up", "wave")),
        _left_broken,
    )
    return dice.pick(rows)(dice, graph)


def _tune_over_chords(dice: Dice, graph: BarGraph) -> Hands:
    off = off_beat(graph)
    length: Length = dice.pick(("whole", "half", "quarter"))
    return bass(dice.pick(("whole", "half")), off), tune(dice, off, chords=length)


def _tune_alone(dice: Dice, graph: BarGraph) -> Hands:
    """Under it the left hand has the chords (`Habits.left`)."""
    off = off_beat(graph)
    return bass(dice.pick(("whole", "half", "quarter")), off), tune(dice, off, chords=None)


def _power(dice: Dice, graph: BarGraph) -> Hands:
    off = off_beat(graph)
    length: Length = dice.pick(("whole", "half", "quarter", "eighth"))
    return bass("whole", off), power(length, off)


def _one_note(dice: Dice, graph: BarGraph) -> Hands:
    off = off_beat(graph)
    length: Length = dice.pick(("whole", "half", "quarter"))
    return bass("whole", off), one_note(dice.pick((1, 3, 5)), length, off)


def _doubled(dice: Dice, graph: BarGraph) -> Hands:
    left, right = _either(dice, graph)
    return doubled(left, dice, 0.1), doubled(right, dice, dice.between(0.1, 0.3))


def _another_pattern(dice: Dice, graph: BarGraph) -> Hands:
    """Some pattern, which the chart does not have."""
    beats, unit = graph.meter.beats, graph.meter.unit
    swung = graph.swing != 1
    lines = pattern(dice, "other", grid(dice, (beats, unit), graph.bpm, swung=swung))
    feel = f"feel: swing {graph.swing.numerator}:{graph.swing.denominator}\n" if swung else ""
    head = f"title: Other\nmeter: {graph.meter}\ntempo: {graph.bpm:g}\n{feel}"
    patterned = "\n".join(lines)

    def of(hand: Hand) -> Maker:
        def strikes(bar: Bar) -> list[ExpectedStrike]:
            text = f"{head}\n{patterned}\n\n[Bar]\n| {bar.meter}: {_signs(bar)} |\n"
            found = [_over_bass(bar, strike) for strike in read_chart(text).bars[0].strikes]
            one = [strike for strike in found if strike.hand == hand]
            return one if hand == "left" else whole_chords(bar, one)

        return strikes

    return of("left"), of("right")


def _signs(bar: Bar) -> str:
    """The bar's chords as they are typed."""
    signs = ["N.C." if span.chord is None else span.chord.text for span in bar.spans]
    signs = [f"<{s}>" if span.held else s for s, span in zip(signs, bar.spans, strict=True)]
    if len({span.beats for span in bar.spans}) == 1:
        return " ".join(signs)
    beats = [int(span.beats) for span in bar.spans]
    return " ".join(s + " /" * (n - 1) for s, n in zip(signs, beats, strict=True))


def _over_bass(bar: Bar, strike: ExpectedStrike) -> ExpectedStrike:
    """The strike on the bar's own bass, which a rule of its chart may have changed."""
    tone = bar.spans[strike.span].bass
    assert tone is not None
    return replace(strike, pitch_classes=frozenset({tone})) if strike.part == "bass" else strike


def _off_beats(dice: Dice, graph: BarGraph) -> Hands:
    off = off_beat(graph)
    return bass(dice.pick(("whole", "half", "quarter")), off), off_beats(off)


def _stride(dice: Dice, graph: BarGraph) -> Hands:
    off = off_beat(graph)
    return stride(off), tune(dice, off, chords=None)


def _triads(dice: Dice, graph: BarGraph) -> Hands:
    off = off_beat(graph)
    return bass("whole", off), triads(dice.pick(("whole", "half", "quarter")), off)


def _any_rhythm(dice: Dice, graph: BarGraph) -> Hands:
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
    "the pattern": Kind(_pattern),
    "whole notes": Kind(_even("whole")),
    "half notes": Kind(_even("half")),
    "quarters": Kind(_even("quarter")),
    "eighths": Kind(_even("eighth")),
    "right hand in eighths": Kind(_over_pattern),
    "after-beats": Kind(
        lambda dice, graph: (bass("whole", off_beat(graph)), after(off_beat(graph)))
    ),
    "broken in eighths": Kind(_broken("eighth", ("up", "down", "wave"))),
    "broken in triplets": Kind(_broken("triplet", ("up", "down", "wave"))),
    "broken, alberti": Kind(_broken("eighth", ("alberti",))),
    "broken in the left hand": Kind(_left_broken),
    "broken through both hands": Kind(lambda dice, graph: through_both(off_beat(graph))),
    "another pattern": Kind(_another_pattern),
    "between the beats": Kind(_off_beats),
    "at changes alone": Kind(_even("whole"), held_over=True),
    "rolled, right hand": Kind(_either, _rolled("right")),
    "rolled, both hands": Kind(_either, _rolled("left", "right")),
    "rolled downward": Kind(_either, _rolled("right", downward=True)),
    "a tune above the chords": Kind(_tune_over_chords),
    "a tune, chords in the left": Kind(_tune_alone, _shape("chord")),
    "stride under a tune": Kind(_stride),
    "bass in octaves": Kind(_either, _shape("octave")),
    "bass with fifths": Kind(_either, _shape("fifth")),
    "bass with tenths": Kind(_either, _shape("tenth")),
    "a walking bass": Kind(_either, walks=True),
    "right hand behind": Kind(_either, _behind("right")),
    "left hand behind": Kind(_either, _behind("left")),
    "right hand searches": Kind(_either, _searching("right")),
    "both hands search": Kind(_either, _searching("left", "right")),
    "another manner each section": Kind(_any, by_section=True),
    "one section slower": Kind(_either, _bent("section", 0.5, 0.8)),
    "slowing by and by": Kind(_either, _bent("slowing", 0.6, 0.85)),
    "a ritard of four bars": Kind(_either, _bent("ritard", 0.4, 0.7)),
    "breathing with the phrase": Kind(_either, _bent("breathing", 1.08, 1.2)),
    "a breath before each line": Kind(_either, breathes=True),
    "last chord held": Kind(_either, lambda dice: Habits(last_held=True)),
    "last chord held, ritard": Kind(
        _either,
        lambda dice: Habits(last_held=True, bend="ritard", bent_to=dice.between(0.4, 0.7)),
    ),
    "last chord again": Kind(_either, lambda dice: Habits(ends_again=dice.count(1, 2))),
    "single notes before": Kind(_either, prelude=True),
    "any inversion": Kind(_either, change=lambda manner, dice: replace(manner, leaps=1.0)),
    "doubled strikes": Kind(_doubled),
    "pushed chords": Kind(_either, pushes=True),
    "swing where it is straight": Kind(_either, change=_swung),
    "hands far apart": Kind(
        _either, lambda dice: Habits(octaves_off=dice.pick(({"right": 1}, {"left": -1})))
    ),
    "the pedal down throughout": Kind(_either, lambda dice: Habits(pedal_down=True)),
    SEVERAL: Kind(_any_rhythm, _several_habits),
    "triads for sevenths": Kind(_triads, partly=True),
    "power chords": Kind(_power, partly=True),
    "one note in the right hand": Kind(_one_note, partly=True),
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
    if habits.last_held:
        plan.steps[-1].faults[:] = [f for f in plan.steps[-1].faults if isinstance(f, _OF_FORM)]
    performance = perform(plan, manner, habits, seed)
    if kind.prelude:
        performance = _after_prelude(performance, dice, graph)
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
    """Less than a beat: nobody would call it a halt."""
    part = dice.between(0.3, 0.9)
    for place, step in enumerate(plan.steps):
        bar = plan.bar(place)
        if place and bar.place == 0 and not step.faults:
            beat = bar.seconds_per_beat / manner.tempo
            step.faults.append(Pause(0, 0.0, part * dice.between(0.6, 1.0) * beat))


def _after_prelude(performance: Performance, dice: Dice, graph: BarGraph) -> Performance:
    """Some twelve seconds of single notes of the key, and two of rest, before the song."""
    scale = scale_of(graph.bars[0].key)
    notes: list[Note] = []
    at, until = 0.2, dice.between(10.0, 14.0)
    even = dice.between(0.2, 0.6) if dice.chance(0.5) else None
    while at < until:
        key = (48 if dice.chance(0.3) else 60) + dice.pick(scale)
        length = even or dice.between(0.15, 0.7)
        notes.append(Note(at, at + 0.9 * length, key, dice.count(35, 80), side(key)))
        at += length
    moved = performance.later(at + dice.between(1.8, 2.5) - performance.truth.bars[0].start)
    return replace(moved, notes=(*notes, *moved.notes))
