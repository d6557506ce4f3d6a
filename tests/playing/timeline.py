"""Where do the beats of one bar of the take lie in time, and what befell the form there?"""

from collections.abc import Iterator, Sequence
from typing import Literal

from evaluator.chart.graph import Bar, BarGraph
from tests.playing.mistakes import (
    BarsExtra,
    BarsMissing,
    Choice,
    Fault,
    Miscounted,
    Pause,
    Restart,
    TrueForm,
)


class Timeline:
    """One bar of the take in seconds; `swing` is the off-beat's place, written and played."""

    def __init__(
        self,
        start: float,
        bar: Bar,
        speed: float,
        swing: tuple[float, float],
        faults: Sequence[Fault],
    ) -> None:
        self.start = start
        self.bar = bar
        self.spb = bar.seconds_per_beat / speed
        self.swing = swing
        self.pauses = [fault for fault in faults if isinstance(fault, Pause)]
        restarts = [fault for fault in faults if isinstance(fault, Restart)]
        counted = [fault.beats for fault in faults if isinstance(fault, Miscounted)]
        self.lasting = restarts[0].beat if restarts else next(iter(counted), float(bar.beats))
        """Beats until the player leaves the bar."""
        self.broken_off = min(self.lasting, float(bar.beats))
        """Beats of it that are played."""
        self.end = self.at(self.lasting)
        self.next_start = self.end + (restarts[0].seconds if restarts else 0.0)

    def at(self, beat: float) -> float:
        """Time of a place in the bar; at the place of a halt, the time after it."""
        halted = sum(pause.seconds for pause in self.pauses if pause.beat <= beat + 1e-9)
        return self.start + _swung(beat, self.swing) * self.spb + halted


def _swung(beat: float, swing: tuple[float, float]) -> float:
    """Move the off-beats from where the chart has them to where the player puts them."""
    written, played = swing
    whole, part = divmod(beat, 1.0)
    if written == played:
        return beat
    if part <= written:
        return whole + part * played / written
    return whole + played + (part - written) * (1 - played) / (1 - written)


def form_truth(
    graph: BarGraph, order: Sequence[int], timeline: Timeline, faults: Sequence[Fault]
) -> Iterator[TrueForm]:
    """What a report would have to say of the form at the first bar of `order`."""
    bar = timeline.bar
    for fault in faults:
        if isinstance(fault, Pause):
            at = timeline.at(fault.beat) - fault.seconds
            yield TrueForm("break", (bar.number,), 0, bar.section, bar.tail, at, fault.seconds)
        elif isinstance(fault, Restart):
            if len(order) < 2:
                raise ValueError("a restart needs a bar to go on with")
            yield _restart(bar, graph.bars[order[1]], timeline.next_start, fault)
        elif isinstance(fault, BarsMissing | BarsExtra | Choice):
            yield _counted(graph, fault, timeline.start)


def _restart(bar: Bar, onto: Bar, at: float, fault: Restart) -> TrueForm:
    return TrueForm(
        kind="restart",
        bars=(onto.number,),
        count=0,
        section=onto.section,
        tail=onto.tail,
        at=at,
        halt=fault.seconds,
        detail="bar" if onto.index == bar.index else "line",
    )


def _counted(graph: BarGraph, fault: BarsMissing | BarsExtra | Choice, at: float) -> TrueForm:
    bars = [bar for bar in graph.bars if bar.number in fault.numbers]
    kind: Literal["missing", "extra", "choice"] = (
        "missing"
        if isinstance(fault, BarsMissing)
        else "extra"
        if isinstance(fault, BarsExtra)
        else "choice"
    )
    return TrueForm(
        kind=kind,
        bars=fault.numbers,
        count=0 if isinstance(fault, Choice) else len(fault.numbers),
        section=bars[0].section,
        tail=all(bar.tail for bar in bars),
        at=at,
        detail=fault.unit,
    )
