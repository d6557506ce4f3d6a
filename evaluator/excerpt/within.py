"""Is a take, handed in for a passage, one of the song, and where in it does the passage come?

Someone who asks for a passage of a whole run-through wants that passage judged as it was played
there, and not the rest of the song matched to it. A take is one of the song where the
song, followed from bar to bar, explains it: hardly a jump, and more of it outside the passage
than inside. Common practice among teachers, no source.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.errors import TakeError
from evaluator.follow.path import Entry, Path, PlayedBar

ONWARD: Final = 0.9
"""Share of the bars that follow on the one before. Of a passage of fewer than ten bars that
goes round and round fewer do; of a longer one hardly a bar lies outside it."""
OUTSIDE: Final = 0.5
"""Share of the bars that lie outside the passage, at least."""


def goes_through_song(path: Path, kept: Sequence[int]) -> bool:
    """Whether somebody played through the whole song, and not only the passage; `kept` are indices
    into the song's bars of those of the passage."""
    if not path.bars:
        return False
    inside, bars = set(kept), path.bars
    onward = sum(bar.entry in ("start", "onward", "choice") for bar in bars)
    outside = sum(bar.bar not in inside for bar in bars)
    return onward >= ONWARD * len(bars) and outside >= OUTSIDE * len(bars)


def passage_within(path: Path, passage: BarGraph, kept: Sequence[int]) -> Path:
    """The path through the passage alone, each time that it comes in the path of the song.

    Raises `TakeError` if it never does.
    """
    bars = tuple(_inside(path, kept))
    if not bars:
        numbers = [passage.bars[index].number for index in passage.written]
        raise TakeError(
            f"The take goes through the song but does not reach bars {numbers[0]} to "
            f"{numbers[-1]}; grade it without naming a passage."
        )
    complete = bars[-1].bar in passage.finals
    return replace(path, bars=bars, complete=complete, before=(), after=())


def _inside(path: Path, kept: Sequence[int]) -> Iterator[PlayedBar]:
    """The bars of the passage, counted as it counts them; each time through begins anew."""
    place = {old: new for new, old in enumerate(kept)}
    came: Entry | None = "start"
    for bar in path.bars:
        if bar.bar in place:
            yield replace(bar, bar=place[bar.bar], entry=came or bar.entry)
            came = None
        elif came is None:
            # The rest of the song lies between, as a long pause does.
            came = "restart"
