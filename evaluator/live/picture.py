"""What does a student see of the song at this moment, in a take as in a lesson?"""

from collections.abc import Iterable
from dataclasses import replace

from evaluator.chart.graph import BarGraph
from evaluator.live.following import Place
from evaluator.report.model import BarFault
from evaluator.show.live_page import LiveBar, LivePage

REFUSED = (
    "The piano cannot be opened; another program may be holding it. Close that program. ({why})"
)


def live_bar(number: int, section: str, faults: Iterable[BarFault]) -> LiveBar:
    """A bar that is over, with what is the matter with it."""
    found = tuple(faults)
    kinds = tuple(fault.kind for fault in found)
    return LiveBar(number, section, kinds, tuple(fault.say for fault in found))


def placed(page: LivePage, graph: BarGraph, place: Place, *, again: bool = False) -> LivePage:
    """The page with the player where they are; `again`: the song is played round and round."""
    bar = graph.bars[place.bar]
    following = graph.successors[place.bar] or (graph.starts if again else ())
    sections = sorted({one.section_index for one in graph.bars})
    return replace(
        page,
        section=sections.index(bar.section_index),
        here=bar.number,
        then=graph.bars[following[0]].number if following else None,
        beat=int(place.beat) + 1,
        beats=bar.meter.beats,
        bpm=round(place.bpm),
        chart_bpm=60.0 / bar.seconds_per_beat,
    )


def counted(since: float, beat: float, bars: int, beats: int) -> tuple[int, int]:
    """Bars of a count-in that are still to go and the beat of this one, so many seconds after its
    first beat; `beats`: of a bar."""
    gone = int(since / beat) if since >= 0.0 else -1
    bar, at = divmod(min(max(gone, 0), bars * beats - 1), beats)
    return bars - bar, at + 1 if gone >= 0 else 0
