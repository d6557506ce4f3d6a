"""Which bars of the song are meant by `21-24` or `Chorus 2`?

Bars are counted as in the report, through the whole song as it is written out; sections
are called as the report calls them, capitals or not, and a section that comes several
times by its plain name is its first time.
"""

import re
from difflib import get_close_matches

from evaluator.chart.graph import BarGraph
from evaluator.errors import UsageError

_BARS = re.compile(r"\s*(\d{1,6})\s*(?:[-–]\s*(\d{1,6})\s*)?")


def passage(graph: BarGraph, *, bars: str | None, section: str | None) -> tuple[int, ...]:
    """Indices of the bars, in order; all that are written if neither is given.

    Raises `UsageError` for bars that the chart does not have and for both at once.
    """
    if bars is not None and section is not None:
        raise UsageError("Give either bars or a section, not both.")
    if bars is not None:
        return _by_numbers(graph, bars)
    return graph.written if section is None else _by_section(graph, section)


def _by_numbers(graph: BarGraph, words: str) -> tuple[int, ...]:
    match = _BARS.fullmatch(words)
    if match is None:
        raise UsageError(f"Bars are given as 21-24, or one bar as 21, not as `{words}`.")
    first, last = int(match[1]), int(match[2] or match[1])
    if not 1 <= first <= last <= graph.count:
        raise UsageError(
            f"There are no bars {words.strip()}: the chart has bars 1 to {graph.count}, and the "
            "first comes before the last."
        )
    return tuple(i for i in graph.written if first <= graph.bars[i].number <= last)


def _by_section(graph: BarGraph, name: str) -> tuple[int, ...]:
    labels = {graph.bars[i].section: graph.bars[i].section_index for i in graph.written}
    asked = " ".join(name.split()).casefold()
    folded = {label.casefold(): label for label in labels}
    label = folded.get(asked) or folded.get(f"{asked} 1")
    if label is None:
        near = get_close_matches(asked, folded, n=2)
        hint = " or ".join(f"`{folded[one]}`" for one in near)
        known = f"Did you mean {hint}?" if near else f"There are: {', '.join(labels)}."
        raise UsageError(f"The chart has no section `{name}`. {known}")
    return tuple(i for i in graph.written if graph.bars[i].section_index == labels[label])
