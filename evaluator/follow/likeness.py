"""Is this take one of this song?

Asked of the chords in their order, never of the mark. Along the way that explains a take
best, the misfit is what the strikes under each sign of the chart lack of its chord, and what
the jumps that no chart allows cost, a strike. A song played with some wrong chords has little
of it and another song, or aimless playing, much; but how much depends on how alike the
song's chords are. So a doubtful take is followed through other songs as well, in which the
chart's chords stand in each other's places and everything else is as it was: what the take
reaches there, it reaches by chance. That a decision is held against what random exchanges
would give is the permutation test of the textbooks (Fisher, The Design of Experiments, 1935).

The bounds were chosen on invented songs (tests/bench/manners.py, the seeds for tuning).
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from evaluator.chart.graph import Bar, BarGraph, ExpectedStrike, Span
from evaluator.follow.follower import ORNAMENT, UNDER_A_SIGN, Follower
from evaluator.follow.path import Path
from evaluator.follow.positions import FREELY
from evaluator.follow.trace import Link

CERTAIN = 0.25
"""Misfit up to which nobody asks what chance would do, nats a strike; of the first way found:
a way that was sought twice must be better than what chance reaches in as many tries."""
STRANGE, STRANGE_IN_FEW_BARS = 0.55, 0.75
"""Misfit of what is no take of the song, or of so short a passage, whatever chance would do."""
BY_CHANCE = 0.85
"""Share of what the take misfits other songs that it may misfit its own."""
FEWEST_BARS = 8
"""Bars of a chart from which misfitting chords are a reason to doubt the tempo, or the song: of a
passage of two bars one wrong chord is half."""
FEWEST_CHORDS = 3
"""Chords of a song from which others can stand in their places."""


def misfit(chain: list[Link], jumps: int, follower: Follower) -> float:
    """How badly the strikes of a way fit the chords they stand under, nats a strike."""
    grid, costs = follower.grid, follower.costs
    lacking, weight, before = 0.0, 0.0, 0.0
    sign = -1
    for link in chain:
        if link.kind == ORNAMENT:
            continue
        amiss = float(follower.steps[link.strike].amiss[link.cell])
        bar, here = grid.bar[link.position], int(grid.span[link.position])
        same = here == sign and link.kind in UNDER_A_SIGN
        believed = 1.0 if grid.manner[bar] == FREELY else costs.trust / follower.trusted
        lacking += believed * (amiss - before if same else amiss)
        weight += follower.echo if same else 1.0
        before, sign = amiss, here
    return (lacking + costs.jump * jumps) / weight if weight else 0.0


def has_few_bars(graph: BarGraph) -> bool:
    """Whether a song, or a passage of it, is too short to be doubted for its chords."""
    return len(graph.written) < FEWEST_BARS


def is_certain(path: Path) -> bool:
    """Whether the chords of a path leave nothing to be asked."""
    return path.misfit <= CERTAIN


def is_song(path: Path, *, few_bars: bool = False) -> bool:
    """Whether a path is one through its song, not through any song of these chords.

    Where nobody asked what chance would do, it is.
    """
    strange = STRANGE_IN_FEW_BARS if few_bars else STRANGE
    return path.misfit < min(strange, BY_CHANCE * path.by_chance)


def exchanged(graph: BarGraph) -> Iterator[BarGraph]:
    """Other songs: the chart with its chords in each other's places.

    In a song of four chords that go round, neither of the orders is the song's own begun at
    another of them. None of a song with fewer than three chords.
    """
    signs = list({span.sound: span for bar in graph.bars for span in bar.spans if span.chord})
    count = len(signs)
    if count < FEWEST_CHORDS:
        return
    span_of = {span.sound: span for bar in graph.bars for span in bar.spans}
    half = count // 2
    orders = (
        (*range(count - 1, -1, -1),),
        (*(min(place ^ 1, count - 1) for place in range(count)),),
        (*range(half - 1, -1, -1), *range(count - 1, half - 1, -1)),
    )
    for order in dict.fromkeys(orders):
        instead = {sign: span_of[signs[order[at]]] for at, sign in enumerate(signs)}
        yield replace(graph, bars=tuple(_with(bar, instead) for bar in graph.bars))


def _with(bar: Bar, instead: Mapping[tuple[frozenset[int] | None, int | None], Span]) -> Bar:
    """A bar with other chords."""
    spans, up = [], []
    for span in bar.spans:
        other = instead.get(span.sound, span)
        spans.append(replace(span, chord=other.chord, bass=other.bass, colours=other.colours))
        up.append(_lowest(other) - _lowest(span))
    strikes = tuple(_moved(strike, up[strike.span]) for strike in bar.strikes)
    return replace(bar, spans=tuple(spans), strikes=strikes)


def _lowest(span: Span) -> int:
    if span.bass is not None:
        return span.bass
    return 0 if span.chord is None else span.chord.root.pc


def _moved(strike: ExpectedStrike, up: int) -> ExpectedStrike:
    return replace(strike, pitch_classes=frozenset((pc + up) % 12 for pc in strike.pitch_classes))
