"""What does this chart text say?

Text in, `Chart` out, or all mistakes at once: the lines are parted at the first heading,
patterns are taken out of the upper part, the rest of it is the header, the lower part
is sections. A part with a mistake is noted and left out, so that the rest is read.
"""

from collections.abc import Sequence

from evaluator.chart import fit, german
from evaluator.chart.header import read_header
from evaluator.chart.lines import TextLine, split_lines
from evaluator.chart.mistakes import Mistakes
from evaluator.chart.model import Chart
from evaluator.chart.patterns import read_patterns, take_blocks
from evaluator.chart.sections import SectionReader

LONGEST_LINE = 2000
MOST_SECTIONS = 500
MOST_PATTERNS = 200


def parse_chart(text: str, *, file: str = "chart") -> Chart:
    """Read a chart text; `file` is what mistakes are said to stand in.

    Raises:
        ChartError: with every mistake of the text, in its order.
    """
    sources, lines = split_lines(text, file=file)
    mistakes = Mistakes(file, sources)
    lines = _readable(lines, mistakes)
    if not lines:
        mistakes.add(1, 1, "there is nothing in this chart", "begin with title: and tempo:")
        mistakes.settle()
    headings = [place for place, line in enumerate(lines) if line.kind == "heading"]
    first = headings[0] if headings else len(lines)
    if len(headings) > MOST_SECTIONS:
        number = lines[headings[MOST_SECTIONS]].number
        mistakes.add(number, 1, f"a song has at most {MOST_SECTIONS} sections")
        mistakes.settle()

    german.check(lines, mistakes)
    blocks, rest = take_blocks(_without_bars(lines[:first], mistakes))
    if len(blocks) > MOST_PATTERNS:
        number = blocks[MOST_PATTERNS].head.number
        mistakes.add(number, 1, f"a chart has at most {MOST_PATTERNS} patterns")
        mistakes.settle()
    names = list(dict.fromkeys(block.name for block in blocks))
    header = read_header(rest, names, mistakes)
    patterns = read_patterns(blocks, header.meter, mistakes)
    sections = SectionReader(names, mistakes).read(lines[first:]) if headings else ()
    if not headings:
        mistakes.add(lines[-1].number, 1, "the chart has no section", "write [Verse] and bars")
    chart = Chart(file, header, patterns, sections, text)
    fit.check(chart, mistakes)
    mistakes.settle()
    return chart


def _readable(lines: Sequence[TextLine], mistakes: Mistakes) -> list[TextLine]:
    """The lines that are not blank and not beyond all measure."""
    for line in lines:
        if len(line.text) > LONGEST_LINE:
            mistakes.add(line.number, LONGEST_LINE + 1, f"a line has at most {LONGEST_LINE} signs")
    return [line for line in lines if line.kind != "blank" and len(line.text) <= LONGEST_LINE]


def _without_bars(lines: Sequence[TextLine], mistakes: Mistakes) -> list[TextLine]:
    """The lines above the first heading; the first line of bars there is a mistake."""
    bars = [line for line in lines if line.kind != "other"]
    if bars:
        mistakes.add(
            bars[0].number,
            bars[0].column(),
            "these bars come before the first section",
            "write a heading above them: [Verse]",
        )
    return [line for line in lines if line.kind == "other"]
