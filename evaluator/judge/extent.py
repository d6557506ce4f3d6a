"""How much of the song was played?

Bars skipped in the middle are findings of the form. The bars before the first one played and
after the last one were not reached: those on the shortest legal way to and from there, except
for bars that were played at some other time or that a finding already names. The extent of a
take is the share of the song's bars that it has.
"""

from collections.abc import Sequence

from evaluator.chart.graph import BarGraph
from evaluator.judge.song_form import SongForm
from evaluator.judge.verdict import BarVerdict, Extent, FormFinding


def extent_of(
    graph: BarGraph, verdicts: Sequence[BarVerdict], form: Sequence[FormFinding]
) -> Extent | None:
    """How much of the song was played, in bars; None if nothing was."""
    if not verdicts:
        return None
    played = {verdict.bar for verdict in verdicts}
    judged = {verdict.bar for verdict in verdicts if verdict.judged}
    told = {number for finding in form for number in finding.bars}
    missing = {n for finding in form if finding.kind == "missing" for n in finding.bars}
    numbers = {graph.bars[bar].number for bar in played}
    unreached = [
        bar
        for bar in _outside(graph, verdicts)
        if bar not in played and graph.bars[bar].number not in told
    ]
    return Extent(
        first=min(numbers),
        last=max(numbers),
        bars=len(played) + len(missing - numbers) + len(unreached),
        unreached=len(unreached),
        played=len(played),
        judged=len(judged),
    )


def _outside(graph: BarGraph, verdicts: Sequence[BarVerdict]) -> list[int]:
    """Bars before the first played bar and behind the last, on the shortest legal way."""
    song = SongForm(graph)
    return [*_before(song, verdicts[0].bar), *_behind(song, verdicts[-1].bar)]


def _before(song: SongForm, first: int) -> tuple[int, ...]:
    """From the nearest beginning of the song that leads to a bar."""
    if first in song.graph.starts:
        return ()
    for start in sorted(song.graph.starts, key=song.rank, reverse=True):
        way = song.between(start, {first}) if song.rank(start) <= song.rank(first) else None
        if way is not None:
            return (start, *way)
    return ()


def _behind(song: SongForm, last: int) -> tuple[int, ...]:
    """To the nearest bar with which the song may end."""
    finals = song.graph.finals
    way = None if last in finals else song.between(last, finals)
    if way is None:
        return ()
    final = min(set(song.graph.successors[(way or (last,))[-1]]).intersection(finals))
    return (*way, final)
