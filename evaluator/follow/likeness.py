"""Does this way leave a doubt?

Along the way that explains a take best, the misfit is what the strikes under each sign of the
chart lack of its chord, and what the jumps that no chart allows cost, a strike. A way that
misfits is sought again: in other keys, from other tempi, in any rhythm. Whether the take is
one of the song at all is asked of the verdicts (`evaluator.judge.agreement`).
"""

from evaluator.chart.graph import BarGraph
from evaluator.follow.follower import ORNAMENT, UNDER_A_SIGN, Follower
from evaluator.follow.path import Path
from evaluator.follow.positions import FREELY
from evaluator.follow.trace import Link

CERTAIN = 0.25
"""Misfit up to which no other way is sought, nats a strike. Chosen on invented songs
(tests/bench/manners.py, the seeds for tuning)."""
FEWEST_BARS = 8
"""Bars of a chart from which misfitting chords are a reason to doubt the tempo, or the song: of a
passage of two bars one wrong chord is half."""

AS_WELL = 0.02
"""Another way may misfit the chords by so much more, nats a strike."""

ASTRAY, ASTRAY_SHARE, POOR_FIT = 4, 0.08, 0.4
"""Jumps and restarts, at least, and as a share of the bars or at a poor fit, from which more
keys and single tempi are tried."""


def misfit(chain: list[Link], jumps: int, follower: Follower) -> float:
    """How badly the strikes of a way fit the chords they stand under, nats a strike."""
    grid, costs = follower.grid, follower.costs
    lacking, weight, before = 0.0, 0.0, 0.0
    sign = -1
    positions = [link.position for link in chain]
    signs = grid.span[positions].tolist()
    freely = (grid.manner[grid.bar[positions]] == FREELY).tolist()
    in_pattern = costs.trust / follower.trusted
    for link, here, own in zip(chain, signs, freely, strict=True):
        if link.kind == ORNAMENT:
            continue
        same = here == sign and link.kind in UNDER_A_SIGN
        believed = 1.0 if own else in_pattern
        lacking += believed * (link.amiss - before if same else link.amiss)
        weight += follower.echo if same else 1.0
        before, sign = link.amiss, here
    return (lacking + costs.jump * jumps) / weight if weight else 0.0


def has_few_bars(graph: BarGraph) -> bool:
    """Whether a song, or a passage of it, is too short to be doubted for its chords."""
    return len(graph.written) < FEWEST_BARS


def is_certain(path: Path) -> bool:
    """Whether the chords of a path leave nothing to be asked."""
    return path.misfit <= CERTAIN


def is_astray(path: Path) -> bool:
    """Whether the way jumps again and again."""
    often = path.fit < POOR_FIT or path.strays >= ASTRAY_SHARE * len(path.bars)
    return path.strays >= ASTRAY and often


def suits_as_well(other: Path, path: Path) -> bool:
    """Whether the chords of another way are borne out about as well."""
    return other.misfit <= path.misfit + AS_WELL


def goes_as_well(other: Path, path: Path) -> bool:
    """Whether another way suits the chords as well and goes as straight."""
    return suits_as_well(other, path) and other.strays <= path.strays
