"""What is not this song, and what is, however badly or differently it is played?

    take = STRANGERS["another song in its key"](17)      # to be refused
    take = OWN["three chords in ten wrong"](17)          # not to be refused

Strangers are played as well as the song would be: by the same hands, in the chart's pattern
or in a manner of their own.
"""

import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from evaluator.chart import read_chart
from evaluator.chart.graph import BarGraph, Hand
from evaluator.theory.pitch import Key
from tests.bench.dice import Dice
from tests.bench.invent import invent
from tests.bench.kinds import play_kind, song_text
from tests.bench.orders import Plan
from tests.bench.slips import BarRates
from tests.bench.students import MANY, NONE, Faults, Simulated, side
from tests.playing import Note, Performance, to_midi
from tests.playing.strokes import scale_of

_TRIADS = {
    "major": ((0, ""), (2, "m"), (4, "m"), (5, ""), (7, ""), (9, "m")),
    "minor": ((0, "m"), (3, ""), (5, "m"), (7, "m"), (8, ""), (10, "")),
}
"""Semitones above the tonic and quality of the chords of a key."""
_NAMES = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
_OTHERS = 1_000_000
"""Invented songs from here on are the other songs: no chart is among them."""
_TRIED = 300
_LOOPS_TRIED = 20
_A_LITTLE = 15.0
"""Seconds."""
_SHARED = 0.5
"""Share of another song's bars that this one may have in the same order: with more of them
it is a song with the same changes, which nobody can refuse by its chords."""
_ASTRAY = 0.3
_FEWEST, _MOST = 8, 24
"""Bars of a part."""
_MANNERS = ("whole notes", "half notes", "eighths", "broken in eighths", "broken, alberti")
_WRONG = Faults(bars=BarRates(wrong_chord=0.3))
_AT_SIGHT = Faults(bars=BarRates(wrong_chord=0.1, wrong_bass=0.1), pause=6, restart_bar=3)
_TRANSPOSED = Faults(transposed=1.0)


def _other_song(seed: int, *, same_key: bool) -> Simulated:
    """Another song of the same meter and mode, in the same key or in another."""
    graph = read_chart(song_text(seed))
    key = graph.bars[0].key
    assert key is not None
    text, found = _like(seed, graph, key)
    dice = Dice(seed, 1)
    kind = "the pattern" if dice.chance(0.6) else dice.pick(_MANNERS)
    take = play_kind(kind, seed, chart_text=text).performance
    up = (key.tonic.pc - found.tonic.pc + 5) % 12 - 5
    if not same_key:
        up += dice.pick((-3, -2, -1, 1, 2, 3))
    return _as_take_of(song_text(seed), graph, replace(take.transposed(up), truth=take.truth))


def _like(seed: int, graph: BarGraph, key: Key) -> tuple[str, Key]:
    """A song of this one's meter in a key of the same mode that goes another way."""
    own = _changes(graph, key)
    for number in range(_OTHERS + seed * _TRIED, _OTHERS + (seed + 1) * _TRIED):
        text = invent(number)
        other = read_chart(text)
        found = other.bars[0].key
        if found is None or (other.meter, found.mode) != (graph.meter, key.mode):
            continue
        if in_order(own, changes := _changes(other, found)) <= _SHARED * len(changes):
            return text, found
    raise RuntimeError("no song that goes another way was invented")


def _changes(graph: BarGraph, key: Key) -> list[object]:
    """The chords of each bar, counted from the tonic."""
    tonic = key.tonic.pc
    return [
        tuple(
            (span.beat, frozenset((tone - tonic) % 12 for tone in span.chord.tones))
            for span in graph.bars[index].spans
            if span.chord is not None
        )
        for index in graph.written
    ]


def in_order(some: Sequence[object], others: Sequence[object]) -> int:
    """How many bars of the one come in the other in the same order: the longest common
    subsequence (Wagner and Fischer 1974, JACM 21(1))."""
    before = [0] * (len(others) + 1)
    for one in some:
        here = [0]
        for place, other in enumerate(others):
            same = before[place] + 1 if one == other else 0
            here.append(max(same, before[place + 1], here[-1]))
        before = here
    return before[-1]


def _as_take_of(text: str, graph: BarGraph, performance: Performance) -> Simulated:
    return Simulated(text, graph, performance, to_midi(performance))


def _shuffled(seed: int) -> Simulated:
    """The song's own bars in any order, in its pattern."""

    def arrange(plan: Plan, dice: Dice) -> None:
        plan.steps = dice.shuffled(plan.steps)
        for step in plan.steps:
            step.faults.clear()

    return play_kind("the pattern", seed, arrange=arrange)


def _random_chords(seed: int) -> Simulated:
    """Chords of the key, drawn for each bar, in the song's pattern."""
    text = song_text(seed)
    graph = read_chart(text)
    key, dice = graph.bars[0].key, Dice(seed, 2)
    assert key is not None
    bars = []
    for _ in range(4 * max(len(graph.written) // 4, 8)):
        step, quality = dice.pick(_TRIADS[key.mode])
        bars.append(_NAMES[(key.tonic.pc + step) % 12] + quality)
    other = _typed(text, bars)
    return _as_take_of(text, graph, play_kind("the pattern", seed, chart_text=other).performance)


def _typed(text: str, bars: Sequence[str]) -> str:
    """A song of these bars with the key, the tempo and the pattern of a chart."""
    head = re.sub(r"^bass:.*\n", "", text.partition("\n[")[0], flags=re.MULTILINE)
    lines = (" | ".join(bars[at : at + 4]) for at in range(0, len(bars), 4))
    return head + "\n[Song]\n" + "".join(f"| {line} |\n" for line in lines)


def _other_loops(seed: int) -> Simulated:
    """Its four commonest chords, in each section in another loop."""
    text = song_text(seed)
    graph, dice = read_chart(text), Dice(seed, 6)
    key = graph.bars[0].key
    assert key is not None
    chords = [span.chord.name for bar in graph.bars for span in bar.spans if span.chord]
    four = [name for name, _ in Counter(chords).most_common(4)]
    own, tried = _changes(graph, key), []
    for _ in range(_LOOPS_TRIED):
        loops = [[dice.pick(four) for _ in range(4)] for _ in range(dice.count(2, 4))]
        other = _typed(text, [name for loop in loops for name in loop * dice.count(2, 4)])
        changes = _changes(read_chart(other), key)
        tried.append((in_order(own, changes) / len(changes), other))
    return _as_take_of(text, graph, _somehow(seed, min(tried)[1]))


def _other_chords(seed: int) -> Simulated:
    """In three of ten bars both hands play another chord of the song."""
    text, dice = song_text(seed), Dice(seed, 7)
    graph = read_chart(text)
    in_four = [graph.bars[at] for at in graph.written if graph.bars[at].meter == graph.meter]
    bars = [bar.text for bar in in_four if bar.text[0] in "ABCDEFG"]
    names = sorted({bar.split()[0] for bar in bars})
    played = [dice.pick(names) if dice.chance(_ASTRAY) else bar for bar in bars]
    whole = _typed(text, bars)
    return _as_take_of(whole, read_chart(whole), _somehow(seed, _typed(text, played)))


def _somehow(seed: int, text: str) -> Performance:
    """A song played in its pattern, or in some other manner."""
    kind = Dice(seed, 8).pick(("the pattern", *_MANNERS))
    return play_kind(kind, seed, chart_text=text).performance


def _noodling(seed: int) -> Simulated:
    """Half a minute to two of notes of the key, now one, now two at a time, over a bass."""
    take = play_kind("the pattern", seed)
    dice, scale = Dice(seed, 3), scale_of(take.graph.bars[0].key)
    beat, at = dice.between(0.3, 0.8), 0.5
    notes: list[Note] = []
    until = dice.between(30.0, 120.0)
    while at < until:
        length = beat * dice.pick((0.25, 0.5, 0.5, 1.0, 1.0, 2.0))
        keys = {60 + dice.pick(scale) + dice.pick((0, 12)) for _ in range(dice.pick((1, 1, 2, 3)))}
        if dice.chance(0.3):
            keys.add(40 + dice.pick(scale) % 12)
        for key in sorted(keys):
            notes.append(Note(at, at + 0.9 * length, key, dice.count(40, 80), side(key)))
        at += length
    return _as_take_of(
        take.chart_text, take.graph, replace(take.performance, notes=tuple(notes), pedal=())
    )


def _exercises(seed: int) -> Simulated:
    """Scales of the key over two octaves in both hands, and its cadence in turn."""
    take = play_kind("the pattern", seed)
    key, dice = take.graph.bars[0].key, Dice(seed, 5)
    assert key is not None
    scale, beat, at = scale_of(key), dice.between(0.25, 0.5), 0.5
    low = 48 + scale[0]
    run = [low + 12 * octave + (tone - scale[0]) % 12 for octave in (0, 1) for tone in scale]
    up_and_down = [*run, low + 24, *reversed(run)]
    degrees = [(0, 2, 4), (0, 3, 5), (1, 4, 6), (0, 2, 4)]
    notes: list[Note] = []
    for _ in range(dice.count(3, 6)):
        for pitch in up_and_down:
            for at_key in (pitch - 12, pitch + 12):
                velocity = dice.count(45, 75)
                notes.append(Note(at, at + 0.9 * beat, at_key, velocity, side(at_key)))
            at += beat
        for tones in degrees:
            chord = [60 + scale[tone] for tone in tones]
            for pitch in (40 + (chord[0] - 40) % 12, *chord):
                notes.append(Note(at, at + 1.8 * beat, pitch, dice.count(45, 75), side(pitch)))
            at += 2 * beat
    return _as_take_of(
        take.chart_text, take.graph, replace(take.performance, notes=tuple(notes), pedal=())
    )


def _part(plan: Plan, dice: Dice) -> None:
    """From the beginning of some line, eight bars or more."""
    length = dice.count(_FEWEST, _MOST)
    firsts = [p for p in range(max(1, len(plan.steps) - length + 1)) if plan.bar(p).place == 0]
    first = dice.pick(firsts or [0])
    del plan.steps[first + length :]
    del plan.steps[:first]
    plan.steps[0].faults.clear()


def _own(
    *, otherwise: bool, faults: Faults = NONE, part: bool = False
) -> Callable[[int], Simulated]:
    def take(seed: int) -> Simulated:
        kind = Dice(seed, 4).pick(_MANNERS) if otherwise else "the pattern"
        return play_kind(kind, seed, faults=faults, arrange=_part if part else None)

    return take


def _one_hand(hand: Hand, kind: str) -> Callable[[int], Simulated]:
    """One hand alone, the other in the lap."""

    def take(seed: int) -> Simulated:
        whole = play_kind(kind, seed)
        notes = tuple(note for note in whole.performance.notes if note.hand == hand)
        return _as_take_of(whole.chart_text, whole.graph, replace(whole.performance, notes=notes))

    return take


def _after_another(seed: int) -> Simulated:
    """Some fifteen seconds of another song, a rest, and then this one."""
    take, other = play_kind("the pattern", seed), _other_song(seed, same_key=False)
    before = tuple(note for note in other.performance.notes if note.offset < _A_LITTLE)
    moved = take.performance.later(_A_LITTLE + 2.0)
    return _as_take_of(take.chart_text, take.graph, replace(moved, notes=(*before, *moved.notes)))


STRANGERS: Mapping[str, Callable[[int], Simulated]] = {
    "another song in its key": lambda seed: _other_song(seed, same_key=True),
    "another song in another key": lambda seed: _other_song(seed, same_key=False),
    "its bars in any order": _shuffled,
    "chords of the key at random": _random_chords,
    "its four chords otherwise": _other_loops,
    "noodling in the key": _noodling,
    "scales and cadences": _exercises,
}
OWN: Mapping[str, Callable[[int], Simulated]] = {
    "three chords in ten wrong": _own(otherwise=False, faults=_WRONG),
    "the same in another manner": _own(otherwise=True, faults=_WRONG),
    "the same in both hands": _other_chords,
    "a part of 8 to 24 bars": _own(otherwise=False, part=True),
    "a part in another manner": _own(otherwise=True, part=True),
    "transposed": _own(otherwise=False, faults=_TRANSPOSED),
    "transposed, in another manner": _own(otherwise=True, faults=_TRANSPOSED),
    "many mistakes": _own(otherwise=False, faults=MANY),
    "the right hand alone": _one_hand("right", "the pattern"),
    "the left hand alone": _one_hand("left", "the pattern"),
    "one hand in another manner": _one_hand("right", "half notes"),
    "after a bit of another song": _after_another,
    "at sight": lambda seed: play_kind("both hands search", seed, faults=_AT_SIGHT),
}
