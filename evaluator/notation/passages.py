"""Which sections does a score fall into, as it is played?

The bars in the order of playing are cut where a musician sees a new part begin: at names
and rehearsal marks, repeat signs, double bar lines, behind endings, at changes of key and
tempo and where one jumps. Endings stay with the bars before them. A part without a name
gets a letter; the same printed part keeps its name whenever it comes again.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count, pairwise
from typing import TypeVar

from evaluator.notation.score import Score, ScoreBar
from evaluator.notation.unroll import Step
from evaluator.theory.pitch import Key

PICKUP = "Pickup"

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Passage:
    """One section as it is played."""

    name: str
    steps: tuple[Step, ...]
    bpm: float | None
    """Quarter notes per minute at its beginning, None where the score never said."""
    key: Key | None
    spare: bool
    """Played only if one repeats."""


def passages(score: Score, steps: Sequence[Step]) -> tuple[Passage, ...]:
    """The sections of a score, `steps` being its bars in the order of playing."""
    runs: list[list[Step]] = [[steps[0]]]
    for before, step in pairwise(steps):
        if before.spare != step.spare or _begins(score.bars, before.bar, step.bar):
            runs.append([])
        runs[-1].append(step)
    names = _names(score, runs)
    tempos = list(_in_force(bar.bpm for bar in score.bars))
    keys = list(_in_force(bar.key for bar in score.bars))
    return tuple(
        Passage(
            names[run[0].bar],
            tuple(run),
            tempos[run[0].bar],
            keys[run[0].bar],
            spare=run[0].spare and not _sung(score.bars, run),
        )
        for run in runs
    )


def _begins(bars: Sequence[ScoreBar], before: int, place: int) -> bool:
    """Whether a new section begins with the bar at `place`, played after `before`."""
    bar, last = bars[place], bars[before]
    if bar.heading or bar.marks.repeat_start or bar.marks.segno or bar.marks.coda:
        return True
    if bar.marks.endings:
        # From the bars before the brackets, or from one bar of an ending to the next.
        return place < before
    if place != before + 1 or last.marks.endings or last.marks.repeat_end or last.section_end:
        return True
    return bar.bpm is not None or bar.key is not None


def _sung(bars: Sequence[ScoreBar], run: Sequence[Step]) -> bool:
    """Whether there is another verse to be sung each time: then none is left out."""
    return any(len(bars[step.bar].words) > 1 for step in run)


def _names(score: Score, runs: Sequence[Sequence[Step]]) -> dict[int, str]:
    """A name for the first bar of every run."""
    taken = {bar.heading.casefold() for bar in score.bars}
    letters = (letter for letter in _letters() if letter.casefold() not in taken)
    names: dict[int, str] = {}
    for run in runs:
        first = run[0].bar
        if first in names:
            continue
        if score.bars[first].heading:
            names[first] = score.bars[first].heading
        elif not names and len(run) == 1 and len(runs) > 1 and _is_pickup(score.bars, runs):
            names[first] = PICKUP
        else:
            names[first] = next(letters)
    return names


def _is_pickup(bars: Sequence[ScoreBar], runs: Sequence[Sequence[Step]]) -> bool:
    """Whether the first bar is shorter than the one that is played after it."""
    (first,), second = runs[0], runs[1][0]
    return bars[first.bar].length < bars[second.bar].length


def _letters() -> Iterator[str]:
    yield from "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    for number in count(27):
        yield f"Part {number}"


def _in_force(marks: Iterator[T | None]) -> Iterator[T | None]:
    """For every bar the last mark up to it."""
    last = None
    for mark in marks:
        last = mark if mark is not None else last
        yield last
