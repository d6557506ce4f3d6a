"""How is a chart printed on paper for the music stand?

One page, complete in itself, that a browser prints: the chart as it is written.
"""

from evaluator.show.chart_lines import StandChart
from evaluator.show.pages.render import render


def chart_page(chart: StandChart) -> str:
    """The page as HTML.

    Raises `UsageError` where jinja2 is not installed.
    """
    return render("chart.html", script="", chart=chart)
