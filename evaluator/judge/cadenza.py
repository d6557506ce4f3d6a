"""Where did the player play a cadenza at a fermata?

At a fermata in written music a player may play something of his own, as was usual (C. P. E.
Bach, Versuch, 1753, on fermatas; from memory), and then goes on with the next bar. The follower,
which knows only the notes of the chart, finds in it bars from before the fermata that come again,
or are passed over, or the bar behind it, which then begins anew. What tells it from a true restart
is that little of these bars is in it, and that it is more than a slip of the hand. It is the
player's own, and judged by nobody.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from statistics import fmean

from evaluator.chart.graph import BarGraph
from evaluator.follow.path import AT_LINE, Path
from evaluator.judge.song_form import SongForm
from evaluator.judge.verdict import BarVerdict, FormFinding

LITTLE = 0.5
"""Less than this of its chords and basses is right in a cadenza. A passage that is taken up again
after a stumble is mostly right."""
FEW = 4
"""Strikes of which a cadenza has no fewer; who begins a bar wrongly breaks off sooner."""


def cadenzas(graph: BarGraph, path: Path, bars: Sequence[BarVerdict]) -> list[range]:
    """Where cadenzas were played: ranges of indices into `path.bars`, in order.

    `bars` are the verdicts on the played bars, one for each of `path.bars`.
    """
    fermatas = [
        bar.index
        for bar in graph.bars
        if bar.written_out and any(strike.waits for strike in bar.strikes)
    ]
    if not fermatas:
        return []
    song = SongForm(graph)
    ranks = [song.rank(played.bar) for played in path.bars]
    found: list[range] = []
    for held in sorted(map(song.rank, fermatas)):
        for heard in (*_returns(path, ranks, held), *_begun_twice(path, ranks, held)):
            apart = not found or heard.start >= found[-1].stop
            if apart and _strikes(path, heard) >= FEW and _right(bars, heard) < LITTLE:
                found.append(heard)
    return found


def _returns(path: Path, ranks: Sequence[int], held: int) -> Iterator[range]:
    """From each going back at a fermata, or at the bar before it, to where the song goes on."""
    for index in range(1, len(ranks)):
        back = path.bars[index].entry in ("restart", "jump") and ranks[index] <= ranks[index - 1]
        if not back or not held - 1 <= ranks[index - 1] <= held:
            continue
        on = next((at for at in range(index, len(ranks)) if ranks[at] > held), None)
        if on is not None:
            yield range(index, on)


def _begun_twice(path: Path, ranks: Sequence[int], held: int) -> Iterator[range]:
    """From where the bar behind a fermata seems to begin to where it begins anew."""
    for index in range(1, len(ranks)):
        first = index
        while first and ranks[first - 1] == held + 1:
            first -= 1
        anew = path.bars[index].entry in ("restart", "jump") and ranks[index] == held + 1
        if anew and 0 < first < index and ranks[first - 1] == held:
            yield range(first, index)


def _strikes(path: Path, heard: range) -> int:
    return sum(len(path.bars[at].strikes) + len(path.bars[at].ornaments) for at in heard)


def _right(bars: Sequence[BarVerdict], heard: range) -> float:
    """How much of the chords and basses of these bars was right."""
    scores = [
        part.score
        for at in heard
        for part in (bars[at].chord, bars[at].bass)
        if part.score is not None
    ]
    return fmean(scores) if scores else 1.0


def unjudged(bars: Sequence[BarVerdict], free: Sequence[range]) -> tuple[BarVerdict, ...]:
    """The verdicts with those on bars of a cadenza marked as not judged; `free` is what `cadenzas`
    found."""
    inside = {at for one in free for at in one}
    return tuple(replace(bar, judged=False) if at in inside else bar for at, bar in enumerate(bars))


def outside(
    form: Sequence[FormFinding], path: Path, free: Sequence[range]
) -> tuple[FormFinding, ...]:
    """The findings of the form that lie in no cadenza; `free` is what `cadenzas` found."""
    spans = [(path.bars[one.start - 1].end, path.bars[one.stop].start) for one in free]
    return tuple(
        finding
        for finding in form
        if not any(begins - AT_LINE <= finding.at <= ends + AT_LINE for begins, ends in spans)
    )
