"""With which strike does each bar begin?

The way places a strike where it comes nearest to being due. A hand that looks for its chord, a
breath before the line or a tempo that bends brings the first strike of a bar so late that it
lies nearer to some place behind the bar line, where this player strikes nothing as a rule. A
musician hears the bar begin with it, as nothing of the bar was struck before. Where the strike
before the line is at such a place, and misses the chord there, it is the one that begins the bar;
but chords that are pushed time and again come before bars that begin when they were due.
"""

from collections import Counter
from itertools import pairwise

from evaluator.follow.follower import BESIDE, Follower
from evaluator.follow.grid import Grid
from evaluator.follow.positions import WANTED
from evaluator.follow.trace import Link, begins_anew
from evaluator.follow.visits import Visit

LATEST, EARLIEST = 1.0, 0.5
"""Beats behind the bar line, and before it, within which a bar may begin."""
OWN = 0.4
"""Share of the bars from which a place that is struck in them is one of the player's own. Chosen
on tuning seeds of hands that search and on the tuning half of the real songs."""
PUSHED = 0.2
"""The same of the places before a bar line: a chord that is struck ahead of it again and again is
pushed, and the bar begins where it was due. Chosen on tuning seeds 3 to 5 of players who push, of
hands that search and of rhythms of one's own."""
MISSES = 0.2
"""Nats that a strike lacks of its chord, as most right ones lack nothing. Chosen on tuning seeds
of players of any rhythm."""


def begin_with_first(found: list[Visit], follower: Follower) -> None:
    """Put the strikes with which bars begin on their bar lines."""
    grid = follower.grid
    struck = [{float(grid.beat[link.position]) for link in _own(visit)} for visit in found]
    times = Counter(beat for beats in struck for beat in beats)
    own, pushed = (
        {beat for beat, often in times.items() if often >= share * len(found)}
        for share in (OWN, PUSHED)
    )
    for before, visit in pairwise([None, *found]):
        assert visit is not None
        strikes, line = _own(visit), int(grid.first[visit.bar])
        if not strikes or line == strikes[0].position or grid.kind[line] not in WANTED:
            continue
        early = _own(before)[-1:] if before is not None and not begins_anew(strikes[0]) else []
        if before is not None and early and _is_early(early[0], pushed, follower):
            _move(early[0], before, visit, line)
        elif _is_late(strikes[0], own, grid):
            _move(strikes[0], visit, visit, line)


def _own(visit: Visit) -> list[Link]:
    """The strikes of a bar that are no pieces of others."""
    return [link for link in visit.links if link.kind != BESIDE]


def _is_late(link: Link, own: set[float], grid: Grid) -> bool:
    """Whether a strike comes soon behind the bar line, at a place that nobody strikes there."""
    beat = float(grid.beat[link.position])
    return beat <= LATEST and beat not in own and grid.kind[link.position] not in WANTED


def _is_early(link: Link, pushed: set[float], follower: Follower) -> bool:
    """Whether a strike comes just before the bar line, at such a place, and misses its chord."""
    grid = follower.grid
    beat = float(grid.beat[link.position])
    left = float(grid.chart_bar(int(grid.bar[link.position])).beats) - beat
    nobodys = beat not in pushed and grid.kind[link.position] not in WANTED
    return left <= EARLIEST and nobodys and _lack(link, follower) > MISSES


def _lack(link: Link, follower: Follower) -> float:
    """What a strike lacks of the chord under which it was placed, nats."""
    step, span = follower.steps[link.strike], follower.grid.span
    lacking, back = float(step.amiss[link.cell]), int(step.back[link.cell])
    if back < 0:
        return lacking
    before = follower.steps[link.strike - 1]
    same = span[before.position[back]] == span[link.position]
    return lacking - float(before.amiss[back]) if same else lacking


def _move(strike: Link, before: Visit, visit: Visit, line: int) -> None:
    """Put a strike and its pieces, of a bar or the one before it, on the bar line."""
    moved = [link for link in before.links if link.position == strike.position]
    before.links[:] = [link for link in before.links if link.position != strike.position]
    visit.links[:0] = [link._replace(position=line) for link in moved]
