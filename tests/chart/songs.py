"""Charts of a few lines for the tests of this folder, and short ways to look at a song."""

from fractions import Fraction

from evaluator.chart import Bar, BarGraph, read_chart

HEADER = "title: Test\ntempo: 120\n"
EVERY_BEAT = "pattern plain\n  left  | x x x x |\n  right | x x x x |\n"


def song(body: str, *, header: str = "") -> BarGraph:
    """The song of some sections under a title, a tempo and further header lines."""
    return read_chart(HEADER + header + body)


def bars_in_order(graph: BarGraph) -> str:
    """What is written in each bar of the graph: `D A G`."""
    return " ".join(bar.text for bar in graph.bars)


def ways(graph: BarGraph) -> dict[int, tuple[int, ...]]:
    """The ways that are not simply on to the next bar."""
    last = len(graph.bars) - 1
    return {
        bar: successors
        for bar, successors in enumerate(graph.successors)
        if successors != ((bar + 1,) if bar < last else ())
    }


def strikes(bar: Bar, hand: str) -> list[tuple[Fraction, set[int]]]:
    """Beats and pitch classes of one hand's strikes."""
    return [(s.beat, set(s.pitch_classes)) for s in bar.strikes if s.hand == hand]


def beats(bar: Bar, hand: str) -> list[Fraction | float]:
    """Beats of one hand's strikes."""
    return [s.beat for s in bar.strikes if s.hand == hand]
