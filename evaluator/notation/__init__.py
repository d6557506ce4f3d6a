"""Chart <-> MusicXML: a score as a chart text, and a chart as a score.

import_score    bytes of a .musicxml or .mxl file -> ImportedChart
export_chart    Chart -> bytes of a .musicxml file
"""

from evaluator.chart import read_chart
from evaluator.chart.model import Chart
from evaluator.errors import ChartError
from evaluator.notation.carried import CHANGED, carried
from evaluator.notation.chart_text import ImportedChart, write_chart
from evaluator.notation.guard import safe_score
from evaluator.notation.reading import read_score
from evaluator.notation.score import MissingLibraryError, ScoreError
from evaluator.notation.writing import write_score

__all__ = ["ImportedChart", "MissingLibraryError", "ScoreError", "export_chart", "import_score"]


def import_score(raw: bytes, *, name: str) -> ImportedChart:
    """The chart of a score: a lead sheet's chords and words, the notes of two staves, or the
    chords that more parts sound together. Of a score that was written from a chart, and not
    changed since, that chart as it was.

    `name` is the title where the score has none.

    Raises:
        MissingLibraryError: music21 is not installed.
        ScoreError: a file that is no score, is damaged or beyond measure, or a score that
            no chart can hold.
    """
    xml = safe_score(raw)
    own = carried(xml)
    if own is not None and not own.changed and _reads(own.chart):
        return ImportedChart(own.chart, ())
    chart = write_chart(read_score(xml), name=name, notes=(CHANGED,) if own else ())
    try:
        read_chart(chart.text)
    except ChartError as error:
        first = error.mistakes[0]
        raise ScoreError(f"No chart can hold this score: {first.message}.") from error
    return chart


def _reads(text: str) -> bool:
    try:
        read_chart(text)
    except ChartError:
        return False
    return True


def export_chart(chart: Chart) -> bytes:
    """A chart as MusicXML, UTF-8: chords, words, form, and the pattern spelled out; its text
    goes along, so that it can be imported as it is.

    Raises:
        MissingLibraryError: music21 is not installed.
        ChartError: a form that cannot be laid out.
    """
    return write_score(chart)
