"""Which marks stand on the page while the song is played?

Those of the bars that are over; but a mark that is taken back is worse than one that comes a bar
late. So nothing stands while next to nothing of the take fits the song. What is wrong with a bar
is put up, and a mark that stands is changed, when two judgings in a row agree on it, as a rule a
bar apart: a chord struck ahead of its bar is wrong until that bar is heard, and the way so far may
turn for a bar and turn back. A bar with nothing wrong is put up at once.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import zip_longest
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.judge.verdict import BarVerdict
from evaluator.live.following import Following
from evaluator.live.picture import live_bar
from evaluator.report.faults import bar_faults
from evaluator.report.layout import lay_out
from evaluator.report.model import LayoutSection
from evaluator.show.live_page import LiveBar

YOUNG: Final = 10
"""Strikes after a bar before which not having followed it is not said."""
DOUBTED: Final = frozenset({"chord", "bass", "incomplete", "rhythm"})
"""What is wrong with a bar."""

Marked = tuple[BarVerdict, LiveBar]


class Marks:
    """The bars that were judged, as the page shows them."""

    def __init__(self, graph: BarGraph) -> None:
        self.sections: tuple[LayoutSection, ...] = ()
        self._graph = graph
        self._judged: tuple[Marked, ...] = ()
        """As they were judged last,"""
        self._shown: tuple[Marked, ...] = ()
        """and as they stand."""
        self._kept: tuple[Marked, ...] = ()
        """What stood before following began again."""

    @property
    def bars(self) -> tuple[LiveBar, ...]:
        """Every bar that stands, in the order of playing."""
        return tuple(bar for _, bar in (*self._kept, *self._shown))

    def begin_again(self) -> None:
        """Following begins anew; the marks so far stand."""
        self._kept += self._shown
        self._judged = self._shown = ()

    def put(self, following: Following, *, over: bool) -> None:
        """Put up what has been judged; `over`: nothing more will come."""
        judgement = following.judged.judgement
        if not (over or following.believed):
            judgement = replace(judgement, bars=(), form=())
        before, self._judged = self._judged, self._marked(judgement.bars, following, over=over)
        self._shown = self._judged if over else _agreed(self._shown, before, self._judged)
        kept = len(self._kept)
        later = (replace(one, played=place) for place, (one, _) in enumerate(self._shown, kept + 1))
        bars = (*(verdict for verdict, _ in self._kept), *later)
        self.sections = lay_out(self._graph, replace(judgement, bars=bars))

    def _marked(
        self, verdicts: Sequence[BarVerdict], following: Following, *, over: bool
    ) -> tuple[Marked, ...]:
        path, strikes = following.judged.path, len(following.strikes)
        bars = []
        for place, verdict in enumerate(verdicts):
            if place < len(self._judged) and self._judged[place][0] is verdict:
                bars.append(self._judged[place])
                continue
            on_way = path.bars[place]
            last = on_way.strikes[-1].strike if on_way.strikes else strikes
            young = strikes - last <= YOUNG and not over
            bars.append((verdict, self._live_bar(verdict, young=young)))
        return tuple(bars)

    def _live_bar(self, verdict: BarVerdict, *, young: bool) -> LiveBar:
        bar = self._graph.bars[verdict.bar]
        faults = bar_faults(verdict, self._graph)
        if not verdict.judged and young:
            faults = ()
        return live_bar(bar.number, bar.section, faults)


def _agreed(
    shown: Sequence[Marked], before: Sequence[Marked], judged: Sequence[Marked]
) -> tuple[Marked, ...]:
    """What stands now: what was judged alike `before`, or else what stood there, or else what has
    nothing wrong in it."""
    bars: list[Marked] = []
    for now, then, stands in zip_longest(judged, before, shown):
        if now is not None and then is not None and _alike(now, then):
            bars.append(now)
        elif stands is not None and (now is not None or then is not None):
            bars.append(stands)
        elif now is not None and DOUBTED.isdisjoint(now[1].kinds):
            bars.append(now)
        else:
            break
    return tuple(bars)


def _alike(one: Marked, other: Marked) -> bool:
    return (one[1].number, one[1].kinds) == (other[1].number, other[1].kinds)
