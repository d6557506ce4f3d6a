"""Chart text to `Chart` to `BarGraph`: what a teacher typed, as the song that is expected.

parse_chart      text -> Chart, or a ChartError with every mistake and its place
compile_chart    Chart -> BarGraph
read_chart       both
decode_chart     bytes of a file -> text
"""

from evaluator.chart.compile import compile_chart
from evaluator.chart.graph import (
    Bar,
    BarGraph,
    ExpectedStrike,
    Hand,
    Meter,
    Span,
    StrikePart,
)
from evaluator.chart.lines import decode_chart
from evaluator.chart.model import Chart
from evaluator.chart.parse import parse_chart

__all__ = [
    "Bar",
    "BarGraph",
    "Chart",
    "ExpectedStrike",
    "Hand",
    "Meter",
    "Span",
    "StrikePart",
    "compile_chart",
    "decode_chart",
    "parse_chart",
    "read_chart",
]


def read_chart(text: str, *, file: str = "chart") -> BarGraph:
    """The song of a chart text.

    Raises:
        ChartError: with every mistake of the text, in its order.
    """
    return compile_chart(parse_chart(text, file=file))
