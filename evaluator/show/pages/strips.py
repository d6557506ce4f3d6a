"""How does it look when each strike came, against when it was due?

Strips of four bars as they were played. The line across a strip is the player's own
steady time; each strike stands at its place in the bar, above the line by how early it
came or below by how late, the right hand round and the left hand square. A strike beyond
the tolerance hangs on a stem, a missed one is a cross on the line, an added one a plus.

Units: the pictures' own (a strip of four whole bars is `ROOM` wide); milliseconds.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from evaluator.chart.graph import Bar
from evaluator.grading import Graded
from evaluator.judge.verdict import StrikeVerdict
from evaluator.report.places import bar_numbers
from evaluator.show.pages.tempo_picture import tells_tempo

IN_A_STRIP: Final = 4
ROOM: Final = 320.0
TOP: Final = 22.0
LINE: Final = 62.0
BOTTOM: Final = 102.0
"""Heights of the earliest mark, of the line, and of the latest mark."""
BEYOND: Final = 2.0
"""Marks are drawn up to so many times the tolerance; what came still later stays there."""
LABEL: Final = 9
"""Characters of a bar's text that have room over it."""


@dataclass(frozen=True, slots=True)
class StripBar:
    """A bar of the picture."""

    left: float
    middle: float
    number: int
    text: str
    followed: bool


@dataclass(frozen=True, slots=True)
class Strip:
    """One picture; the paths are SVG path data."""

    name: str
    say: str
    """The same in words, for who does not see it."""
    width: float
    filled: float
    """Width of the bars in it."""
    bars: tuple[StripBar, ...]
    dots: tuple[tuple[str, str], ...]
    """Class and path of the strikes that came, by hand and by whether in time."""
    stems: str
    missed: str
    added: str
    even: bool
    """Whether every strike came in time, and every bar could be followed."""


@dataclass(frozen=True, slots=True)
class BarTime:
    """A row of the table that says the same in numbers."""

    number: int
    section: str
    followed: bool
    bpm: float | None
    """None for a bar broken off or halted in."""
    counts: dict[str, int]
    late_ms: float
    spread_ms: float


def strips(graded: Graded) -> tuple[Strip, ...]:
    """The whole take in pictures; none for a chart without patterns."""
    graph = graded.song.graph
    if not graph.has_patterns:
        return ()
    came = [verdict.rhythm.strikes if verdict.judged else () for verdict in graded.judgement.bars]
    rows = _rows(graded)
    per_beat = ROOM / (IN_A_STRIP * graph.meter.beats)
    scale = (BOTTOM - LINE) / (BEYOND * graded.judgement.rubric.strike_ms)
    return tuple(_strip(graded, row, came, (per_beat, scale)) for row in rows)


def bar_times(graded: Graded) -> tuple[BarTime, ...]:
    """Each played bar in numbers."""
    graph = graded.song.graph
    return tuple(
        BarTime(
            number=graph.bars[verdict.bar].number,
            section=graph.bars[verdict.bar].section,
            followed=verdict.judged,
            bpm=verdict.bpm if tells_tempo(graded, verdict) else None,
            counts={
                "hits": verdict.rhythm.hits,
                **{
                    kind: sum(fault.kind == kind for fault in verdict.rhythm.faults)
                    for kind in ("early", "late", "missed", "added")
                },
            },
            late_ms=verdict.rhythm.late_ms,
            spread_ms=verdict.rhythm.spread_ms,
        )
        for verdict in graded.judgement.bars
    )


def _rows(graded: Graded) -> list[list[int]]:
    """Played bars by fours, begun anew with each section and each restart."""
    rows: list[list[int]] = []
    last: Bar | None = None
    for index, played in enumerate(graded.path.bars):
        bar = graded.song.graph.bars[played.bar]
        new = last is None or bar.section_index != last.section_index
        if new or played.entry == "restart" or len(rows[-1]) == IN_A_STRIP:
            rows.append([])
        rows[-1].append(index)
        last = bar
    return rows


def _strip(
    graded: Graded,
    row: Sequence[int],
    came: Sequence[tuple[StrikeVerdict, ...]],
    scales: tuple[float, float],
) -> Strip:
    per_beat, scale = scales
    bars = [graded.song.graph.bars[graded.path.bars[index].bar] for index in row]
    lefts = [0.0]
    for bar in bars:
        lefts.append(lefts[-1] + float(bar.beats) * per_beat)
    # A strike on the first beat would stand on the bar line.
    inset = 0.3 * per_beat
    marks = [
        (left + inset + one.beat * per_beat, one)
        for left, index in zip(lefts, row, strict=False)
        for one in came[index]
    ]
    name = f"{bars[0].section}, {bar_numbers(bar.number for bar in bars)}"
    followed = [graded.judgement.bars[index].judged for index in row]
    return Strip(
        name=name,
        say=f"{name}: {_in_words([one for _, one in marks], followed)}",
        width=round(max(ROOM, lefts[-1]), 1),
        filled=round(lefts[-1], 1),
        bars=tuple(
            StripBar(round(left, 1), round(left + 4, 1), bar.number, _label(bar), ok)
            for left, bar, ok in zip(lefts, bars, followed, strict=False)
        ),
        dots=tuple(_dots(marks, scale)),
        stems="".join(
            f"M{x:.1f} {LINE:.0f}V{_height(one, scale):.1f}"
            for x, one in marks
            if one.how in ("early", "late")
        ),
        missed=_signs(marks, "missed", "m-3.5-3.5 7 7m0-7-7 7"),
        added=_signs(marks, "added", "m-4 0h8m-4-4v8"),
        even=all(followed) and all(one.how == "in time" for _, one in marks),
    )


def _dots(marks: Sequence[tuple[float, StrikeVerdict]], scale: float) -> Iterable[tuple[str, str]]:
    """Strikes that came, as strokes of hardly any length: their caps make the shapes."""
    for hand in ("right", "left"):
        for kinds, name in ((("in time",), hand), (("early", "late"), f"{hand} off")):
            path = "".join(
                f"M{x:.1f} {_height(one, scale):.1f}h.1"
                for x, one in marks
                if one.hand == hand and one.how in kinds
            )
            if path:
                yield name, path


def _height(one: StrikeVerdict, scale: float) -> float:
    return min(max(LINE + one.late_ms * scale, TOP), BOTTOM)


def _signs(marks: Sequence[tuple[float, StrikeVerdict]], how: str, shape: str) -> str:
    return "".join(f"M{x:.1f} {LINE:.0f}{shape}" for x, one in marks if one.how == how)


def _label(bar: Bar) -> str:
    """The bar's first chord."""
    chord = next((span.chord.text for span in bar.spans if span.chord is not None), "")
    return chord if len(chord) <= LABEL else f"{chord[: LABEL - 1]}…"


def _in_words(came: Sequence[StrikeVerdict], followed: Sequence[bool]) -> str:
    counts = Counter(one.how for one in came)
    said = [f"{counts['in time']} strikes in time"]
    said += [f"{counts[how]} {how}" for how in ("early", "late", "missed", "added") if counts[how]]
    lost = sum(not ok for ok in followed)
    if lost:
        said.append(f"{lost} of {len(followed)} bars not followed")
    return ", ".join(said)
