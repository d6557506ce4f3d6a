"""How does a script that says what was played become a take?

    take = played(Script("at half the tempo", "kettle_lane", bars="1-20", manner={"tempo": 0.5}))

A script names bars of the chart in the order of playing, what the hands strike (a kind of
tests/bench/kinds.py), slips and halts, and what was done to all of it. Nothing is drawn but
the unevenness of the hands. Bars of `or` lines are not asked for: numbers are main lines'.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

from evaluator.chart import read_chart
from evaluator.chart.graph import Bar, BarGraph, Hand
from tests.bench.beginners_songs import OWN_CHARTS
from tests.bench.dice import Dice
from tests.bench.habits import Accompanist, Habits
from tests.bench.kinds import KINDS, ROOT
from tests.bench.liberties import with_strikes
from tests.bench.students import Simulated
from tests.playing import Manner, Note, Pause, Performance, WrongBass, WrongChord, to_midi
from tests.playing.mistakes import Fault
from tests.playing.performance import PedalMove

UNEVEN = {
    "tempo": 0.85,
    "jitter_ms": 22.0,
    "spread_ms": 14.0,
    "wander_pct": 2.0,
    "uneven": 9.0,
    "length": 0.85,
}
"""How a beginner's hands are, if the script says nothing else."""

After = Callable[[Performance, BarGraph], Performance]
"""What is done to a whole take."""


@dataclass(frozen=True, slots=True)
class Script:
    """What a beginner played."""

    name: str
    chart: str
    teacher: str = ""
    """What a fair teacher would say, in one sentence."""
    bars: str = ""
    """Numbers of the chart in the order of playing, `1-20 5-20`; as written if empty."""
    in_mind: Mapping[str, str] = field(default_factory=dict)
    """What the player takes to stand in the chart for what stands there; bars as they are."""
    kind: str = "the pattern"
    faults: tuple[Fault, ...] = ()
    """Their bars are bars of the take, from 1."""
    slips: Callable[[Sequence[Bar]], list[Fault]] = lambda bars: []
    """What goes wrong wherever it can, from the bars in the order of playing."""
    manner: Mapping[str, object] = field(default_factory=dict)
    habits: Habits = field(default_factory=Habits)
    after: tuple[After, ...] = ()


def chart_text(name: str) -> str:
    """A chart of ours, or one of those above."""
    if name in OWN_CHARTS:
        return OWN_CHARTS[name]
    return (ROOT / "charts" / f"{name}.txt").read_text(encoding="utf-8")


def played(script: Script) -> Simulated:
    """The take of a script; the same every time."""
    text = thought = chart_text(script.chart)
    for written, taken in script.in_mind.items():
        thought = thought.replace(written, taken)
    graph = _graph(thought)
    kind, dice = KINDS[script.kind], Dice(1)
    sections = sorted({bar.section_index for bar in graph.bars})
    one = kind.rhythm(dice, graph)
    hands = {at: kind.rhythm(dice, graph) if kind.by_section else one for at in sections}
    strikes = with_strikes(
        graph, lambda bar: [s for maker in hands[bar.section_index] for s in maker(bar)]
    )
    order = numbered(graph, script.bars)
    bars = [strikes.bars[index] for index in order]
    faults = (*script.faults, *script.slips(bars))
    manner = Manner(**{**UNEVEN, **script.manner})  # type: ignore[arg-type]
    player = Accompanist(strikes, order, faults, manner, 1).with_habits(script.habits)
    performance = player.take()
    for change in script.after:
        performance = change(performance, graph)
    return Simulated(text, _graph(text), performance, to_midi(performance))


@cache
def _graph(text: str) -> BarGraph:
    return read_chart(text)


def numbered(graph: BarGraph, bars: str) -> tuple[int, ...]:
    """Indices of the bars with these numbers, main lines alone."""
    if not bars:
        return graph.written
    by_number = {bar.number: bar.index for bar in graph.bars if not bar.alternative}
    order: list[int] = []
    for first, last in re.findall(r"(\d+)(?:-(\d+))?", bars):
        order += [by_number[n] for n in range(int(first), int(last or first) + 1)]
    return tuple(order)


def chords(wrong: Mapping[str, str]) -> Callable[[Sequence[Bar]], list[Fault]]:
    """Wherever the chart has the one sign, the right hand plays the other chord."""

    def slips(bars: Sequence[Bar]) -> list[Fault]:
        return [
            WrongChord(place, wrong[span.chord.text], float(span.beat))
            for place, bar in enumerate(bars, 1)
            for span in bar.spans
            if span.chord is not None and span.chord.text in wrong
        ]

    return slips


def plain_roots(bars: Sequence[Bar]) -> list[Fault]:
    """The left hand plays the root, whatever bass the chart wants."""
    return [
        WrongBass(place, span.chord.root.text, float(span.beat))
        for place, bar in enumerate(bars, 1)
        for span in bar.spans
        if span.chord is not None and span.bass != span.chord.root.pc
    ]


def before_lines(
    seconds: float, *, at_sections: bool = False
) -> Callable[[Sequence[Bar]], list[Fault]]:
    """A wait before each line, or each section, but the first."""

    def slips(bars: Sequence[Bar]) -> list[Fault]:
        return [
            Pause(place, 0.0, seconds)
            for place, bar in enumerate(bars, 1)
            if place > 1 and bar.place == 0 and not (at_sections and bar.line)
        ]

    return slips


def only(hand: Hand, *, first: int = 1, last: int = 10_000) -> After:
    """In these bars of the take the other hand is in the lap."""

    def change(performance: Performance, graph: BarGraph) -> Performance:
        begin, end = _stretch(performance, first, last)
        kept = [n for n in performance.notes if n.hand == hand or not begin <= n.onset < end]
        return replace(performance, notes=tuple(kept))

    return change


def instead(wanted: int, struck: int) -> After:
    """Throughout the one pitch class is struck in place of the other, a step away."""

    def change(performance: Performance, graph: BarGraph) -> Performance:
        notes = (
            replace(n, pitch=n.pitch + struck - wanted) if n.pitch % 12 == wanted else n
            for n in performance.notes
        )
        return replace(performance, notes=tuple(notes))

    return change


def without_thirds(performance: Performance, graph: BarGraph) -> Performance:
    """The right hand leaves the third out of every chord."""
    kept = []
    for note in performance.notes:
        bar = next((b for b in performance.truth.bars if note.onset < b.end - 0.1), None)
        third = None
        if bar is not None and note.hand == "right":
            beat = max(0.0, note.onset + 0.1 - bar.start) / (bar.end - bar.start)
            written = graph.bars[bar.index]
            chord = written.span_at(beat * float(written.beats)).chord
            third = chord.degree(3) if chord is not None else None
        if note.pitch % 12 != third:
            kept.append(note)
    return replace(performance, notes=tuple(kept))


def put_right(*numbers: int) -> After:
    """In these bars of the take the right hand strikes a tone too high at first, and at once
    the right chord."""

    def change(performance: Performance, graph: BarGraph) -> Performance:
        notes = list(performance.notes)
        for bar in (b for b in performance.truth.bars if b.played in numbers):
            right = [n for n in notes if n.hand == "right" and bar.start - 0.1 <= n.onset < bar.end]
            begin = min(n.onset for n in right)
            first = [n for n in right if n.onset < begin + 0.1]
            for note in first:
                notes.remove(note)
                wrong = replace(note, offset=note.onset + 0.25, pitch=note.pitch + 2)
                again = replace(note, onset=note.onset + 0.4, offset=note.offset + 0.2)
                notes += [wrong, again]
        return replace(performance, notes=tuple(sorted(notes, key=lambda n: n.onset)))

    return change


def transposed(semitones: int) -> After:
    """On other keys altogether."""
    return lambda performance, graph: performance.transposed(semitones)


def moved(semitones: int, *, first: int, last: int, hand: Hand | None = None) -> After:
    """In these bars of the take all keys, or those of one hand, lie so much higher."""

    def change(performance: Performance, graph: BarGraph) -> Performance:
        begin, end = _stretch(performance, first, last)
        notes = (
            replace(n, pitch=n.pitch + semitones)
            if begin <= n.onset < end and hand in (None, n.hand)
            else n
            for n in performance.notes
        )
        return replace(performance, notes=tuple(notes))

    return change


def _stretch(performance: Performance, first: int, last: int) -> tuple[float, float]:
    """From when to when these bars of the take are played, seconds."""
    bars = [bar for bar in performance.truth.bars if first <= bar.played <= last]
    return bars[0].start - 0.2, bars[-1].end - 0.2


def one_finger(performance: Performance, graph: BarGraph) -> Performance:
    """Of each chord the right hand strikes the root alone."""
    kept = []
    for note in performance.notes:
        bar = next((b for b in performance.truth.bars if note.onset < b.end - 0.1), None)
        root = None
        if bar is not None and note.hand == "right":
            beat = max(0.0, note.onset + 0.1 - bar.start) / (bar.end - bar.start)
            written = graph.bars[bar.index]
            chord = written.span_at(beat * float(written.beats)).chord
            root = chord.root.pc if chord is not None else None
        if root is None or note.pitch % 12 == root:
            kept.append(note)
    return replace(performance, notes=tuple(kept))


def quicker(by: float, *, first: int, last: int) -> After:
    """These bars of the take are played so many times as fast, and what follows comes sooner."""

    def change(performance: Performance, graph: BarGraph) -> Performance:
        begin, end = _stretch(performance, first, last)

        def when(time: float) -> float:
            inside = min(max(time, begin), end)
            return time - (inside - begin) * (1.0 - 1.0 / by)

        notes = (replace(n, onset=when(n.onset), offset=when(n.offset)) for n in performance.notes)
        truth = performance.truth
        bars = tuple(replace(b, start=when(b.start), end=when(b.end)) for b in truth.bars)
        form = tuple(replace(one, at=when(one.at)) for one in truth.form)
        truth = replace(truth, bars=bars, form=form)
        return replace(performance, notes=tuple(notes), truth=truth)

    return change


def pedal_each(bars: int) -> After:
    """The pedal is changed once in so many bars, with the downbeat, and catches all of them."""

    def change(performance: Performance, graph: BarGraph) -> Performance:
        starts = [bar.start for bar in performance.truth.bars][::bars]
        moves = [PedalMove(0.1, 127)]
        for start in starts[1:]:
            moves += [PedalMove(start - 0.05, 0), PedalMove(start + 0.1, 127)]
        return replace(performance, pedal=tuple(moves))

    return change


def pedal_down(performance: Performance, graph: BarGraph) -> Performance:
    """The pedal goes down once and stays."""
    return replace(performance, pedal=(PedalMove(0.1, 127),))


def broken_off_at(seconds_before_end: float) -> After:
    """The take ends within its last bar."""

    def change(performance: Performance, graph: BarGraph) -> Performance:
        end = performance.truth.bars[-1].end - seconds_before_end
        return replace(performance, notes=tuple(n for n in performance.notes if n.onset < end))

    return change


def trying_out(*keys: int, apart: float = 0.5, rest: float = 2.0) -> After:
    """Some single notes, so many seconds apart, and a rest before the song begins."""

    def change(performance: Performance, graph: BarGraph) -> Performance:
        notes = [
            Note(0.2 + apart * k, 0.2 + apart * (k + 0.8), key, 60, "right")
            for k, key in enumerate(keys)
        ]
        begins = 0.2 + apart * len(keys) + rest - performance.truth.bars[0].start
        moved = performance.later(begins)
        return replace(moved, notes=(*notes, *moved.notes))

    return change


def beat_again(*numbers: int, beat: int, beats: int) -> After:
    """In these bars of the take what is struck on one beat, from 0, comes once more, after a
    moment's thought, and all that follows comes later."""

    def change(performance: Performance, graph: BarGraph) -> Performance:
        notes = list(performance.notes)
        bars = [bar for bar in performance.truth.bars if bar.played in numbers]
        for bar in reversed(bars):
            length = (bar.end - bar.start) / beats
            begin = bar.start + (beat - 0.1) * length
            late = 1.4 * length
            again = [n for n in notes if begin <= n.onset < begin + 0.4 * length]
            after = [n for n in notes if n.onset >= begin]
            later = [replace(n, onset=n.onset + late, offset=n.offset + late) for n in after]
            struck = [replace(n, offset=min(n.offset, n.onset + 0.5)) for n in again]
            notes = [n for n in notes if n.onset < begin] + struck + later
        return replace(performance, notes=tuple(notes))

    return change


def struck_twice(performance: Performance, graph: BarGraph) -> Performance:
    """Each chord of the right hand once more, half a beat later."""
    notes = list(performance.notes)
    for bar in performance.truth.bars:
        half = (bar.end - bar.start) / float(graph.bars[bar.index].beats) / 2
        inside = (n for n in performance.notes if bar.start - 0.1 <= n.onset < bar.end - 0.1)
        for note in (n for n in inside if n.hand == "right"):
            notes.remove(note)
            again = note.onset + half
            notes.append(replace(note, offset=min(note.offset, again - 0.03)))
            notes.append(replace(note, onset=again, offset=max(note.offset, again + 0.2)))
    return replace(performance, notes=tuple(sorted(notes, key=lambda n: (n.onset, n.pitch))))
