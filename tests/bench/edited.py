"""What is true of a real take with one mistake of form put into it?

Bars are drawn at random, those of which the kind of mistake can be told: a bar cut or
doubled differs from both neighbours, a cut in a run is beside a bar of the same signs.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from evaluator.take.model import Take
from tests.bench import edits
from tests.bench.pop import Song

EACH = 3
"""Mistakes of each kind a song."""
MARGIN = 4
"""Bars at either end of a song that are left as they are."""
WAIT, STANDSTILL = 1.5, 3.0
"""Seconds between breaking off and taking up again; of a halt."""


@dataclass(frozen=True, slots=True)
class Edited:
    """A take with one mistake of form, and the truth of it."""

    kind: str
    take: Take
    bars: tuple[int, ...]
    """Indices of the bars lost, doubled, restarted or halted in."""
    order: tuple[int, ...]
    """Every bar as it is played, by its index in the song."""
    starts: tuple[float, ...]
    """When each of them begins in the edited take."""
    place: int
    """Place in the order where the mistake is heard."""


def takes_with_mistakes(song: Song, take: Take, rng: np.random.Generator) -> Iterator[Edited]:
    """The take with each mistake of form, some bars each."""
    inner = range(MARGIN, len(song.bars) - MARGIN)
    text = song.bars
    apart = [k for k in inner if text[k] not in (text[k - 1], text[k + 1])]
    runs = [k for k in inner if text[k] == text[k - 1] and text[k] != "N.C."]
    for bar in drawn(apart, rng):
        yield _cut(song, take, "bar cut", (bar,))
        yield _twice(song, take, bar)
        yield _cut(song, take, "two bars cut", (bar, bar + 1))
        yield _broken_off(song, take, bar)
        yield _halted(song, take, bar)
    for bar in drawn(runs, rng):
        yield _cut(song, take, "cut in a run", (bar,))


def drawn(bars: list[int], rng: np.random.Generator) -> list[int]:
    """Some of the bars, no bar twice."""
    chosen: list[int] = (
        rng.choice(bars, min(EACH, len(bars)), replace=False).tolist() if bars else []
    )
    return chosen


def _cut(song: Song, take: Take, kind: str, bars: tuple[int, ...]) -> Edited:
    start, end = song.starts[bars[0]], song.starts[bars[-1] + 1]
    order = (*range(bars[0]), *range(bars[-1] + 1, len(song.bars)))
    starts = tuple(song.starts[k] - (end - start) * (k > bars[0]) for k in order)
    return Edited(kind, edits.cut(take, start, end), bars, order, starts, bars[0])


def _twice(song: Song, take: Take, bar: int) -> Edited:
    start, end = song.starts[bar], song.starts[bar + 1]
    order = (*range(bar + 1), *range(bar, len(song.bars)))
    starts = song.starts[: bar + 1] + tuple(at + end - start for at in song.starts[bar:])
    return Edited("bar twice", edits.play_twice(take, start, end), (bar,), order, starts, bar + 1)


def _middle(song: Song, bar: int) -> float:
    """Just after the middle beat of a bar has been struck."""
    beats = song.beats[bar]
    return beats[len(beats) // 2] + 0.05


def _broken_off(song: Song, take: Take, bar: int) -> Edited:
    at, back = _middle(song, bar), song.starts[bar]
    order = (*range(bar + 1), *range(bar, len(song.bars)))
    later = at - back + WAIT
    starts = song.starts[: bar + 1] + tuple(time + later for time in song.starts[bar:])
    broken = edits.break_off(take, at, back, WAIT)
    return Edited("broken off", broken, (bar,), order, starts, bar + 1)


def _halted(song: Song, take: Take, bar: int) -> Edited:
    at = _middle(song, bar)
    starts = tuple(time + STANDSTILL * (time > at) for time in song.starts)
    order = tuple(range(len(song.bars)))
    return Edited("standstill", edits.halt(take, at, STANDSTILL), (bar,), order, starts, bar)
