"""How did the tempo go, from bar to bar?

A curve of the bars' own tempo over the written one, bar by bar in the order of playing,
with the places where the playing stood still; and the same by sections in numbers.

Units: beats of the song's meter a minute; in the picture, per mille of its width across
and percent of its height down.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from statistics import median
from typing import Final

from evaluator.chart.graph import Bar
from evaluator.grading import Graded
from evaluator.judge.layout import HALT
from evaluator.judge.verdict import BarVerdict
from evaluator.show.glyphs import UNICODE

MARGIN: Final = 0.12
"""Share of the tempo that the picture shows above and below, at least."""
STEPS: Final = (5, 10, 20, 50, 100)
"""Beats a minute between two lines of the scale."""
MOST_LINES: Final = 5
NARROWEST: Final = 45.0
"""Per mille between two names, so that they can be read on a phone."""
LONGEST: Final = 14
"""Characters of a name."""


@dataclass(frozen=True, slots=True)
class TempoSection:
    """One playing of a section."""

    label: str
    written: float
    played: float | None
    """Median of its bars; None if none could be followed."""
    left: float
    """Where it begins, percent of the width."""
    name: str
    """Its label, as far as there is room for it."""


@dataclass(frozen=True, slots=True)
class TempoPicture:
    """The curve of the tempo, ready to be drawn as SVG."""

    played: str
    """SVG path in a box of 1000 by 100."""
    written: str
    lines: tuple[tuple[int, float], ...]
    """Beats a minute and percent of the height."""
    halts: tuple[tuple[str, str, float], ...]
    """Sign, sentence, and percent of the width."""
    sections: tuple[TempoSection, ...]
    steadiness_pct: float


@dataclass(frozen=True, slots=True)
class _Point:
    bar: Bar
    written: float
    played: float | None


def tempo_picture(graded: Graded) -> TempoPicture | None:
    """The curve; None if not one bar could be followed."""
    points = [_point(graded, verdict) for verdict in graded.judgement.bars]
    known = [point.played for point in points if point.played is not None]
    if not known:
        return None
    written = [point.written for point in points]
    low = min(0.98 * min(known), min(written) * (1 - MARGIN))
    high = max(1.02 * max(known), max(written) * (1 + MARGIN))

    def height(bpm: float) -> float:
        return round(100.0 * (high - bpm) / (high - low), 1)

    wide = 1000.0 / len(points)
    return TempoPicture(
        played=_curve([p.played for p in points], wide, height),
        written="".join(
            f"{'L' if index else 'M'}{index * wide:.0f} {height(bpm)}H{(index + 1) * wide:.0f}"
            for index, bpm in enumerate(written)
        ),
        lines=tuple((bpm, height(bpm)) for bpm in _scale(low, high)),
        halts=tuple(_halts(graded)),
        sections=tuple(_sections(points)),
        steadiness_pct=graded.judgement.tempo.steadiness_pct,
    )


def tells_tempo(graded: Graded, verdict: BarVerdict) -> bool:
    """Whether the bar went through as a whole and without a halt, as judges of tempo want it."""
    played = graded.path.bars[verdict.played - 1]
    whole = played.beats_played > float(graded.song.graph.bars[verdict.bar].beats) - 0.01
    return verdict.judged and whole and played.pause < HALT


def _point(graded: Graded, verdict: BarVerdict) -> _Point:
    """Tempo in beats of the song's meter."""
    graph = graded.song.graph
    bar = graph.bars[verdict.bar]
    beats = graph.meter.unit / bar.meter.unit
    played = verdict.bpm * beats if tells_tempo(graded, verdict) else None
    return _Point(bar, 60.0 / bar.seconds_per_beat * beats, played)


def _curve(known: Sequence[float | None], wide: float, height: Callable[[float], float]) -> str:
    """From the middle of one bar to that of the next, broken where nothing is known."""
    path, pen = "", "M"
    for index, bpm in enumerate(known):
        if bpm is None:
            pen = "M"
            continue
        path += f"{pen}{(index + 0.5) * wide:.0f} {height(bpm)}"
        # A bar between two unknown ones still shows, as a dot.
        path += "h1" if pen == "M" else ""
        pen = "L"
    return path


def _scale(low: float, high: float) -> range:
    step = next((step for step in STEPS if (high - low) / step <= MOST_LINES), STEPS[-1])
    first = -int(-low // step) * step
    return range(first, int(high) + 1, step)


def _halts(graded: Graded) -> Iterator[tuple[str, str, float]]:
    bars = graded.judgement.bars
    for reported in graded.report.form:
        if reported.finding.kind not in ("restart", "break"):
            continue
        at = reported.finding.at
        place = next((i for i, bar in enumerate(bars) if bar.start >= at - 0.01), len(bars))
        yield UNICODE.of(reported.finding.kind), reported.say, round(100.0 * place / len(bars), 1)


def _sections(points: Sequence[_Point]) -> Iterator[TempoSection]:
    at, last = 0, -NARROWEST
    for _, group in groupby(points, key=lambda point: point.bar.section_index):
        bars = list(group)
        left = 1000.0 * at / len(points)
        roomy = left - last >= NARROWEST
        last = left if roomy else last
        known = [point.played for point in bars if point.played is not None]
        label = bars[0].bar.section
        short = label if len(label) <= LONGEST else f"{label[: LONGEST - 1]}…"
        yield TempoSection(
            label=label,
            written=bars[0].written,
            played=median(known) if known else None,
            left=round(left / 10, 1),
            name=short if roomy else "",
        )
        at += len(bars)
