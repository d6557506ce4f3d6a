"""Where is that, in the words of the lesson?

A place is named as it is named over the piano: the section, the number of the bar as
the chart is counted from its first bar, the words sung there, the beat.
"""

from collections.abc import Iterable, Sequence

from evaluator.chart.graph import Bar, BarGraph

NUMBER_WORDS = (
    *("no", "one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine", "ten", "eleven", "twelve"),
)
CUE_LENGTH = 36
"""Characters of the sung words that are quoted: enough to know the line by."""
NAMED_SECTIONS = 2
"""Places in more sections than this are told by their bar numbers alone."""
NAMED_ROW = 3
"""More sections in a row than this are told by the first and the last."""
NEARLY_ALL, LONG = 0.9, 20
"""Share of a song of so many bars from which on nobody wants to hear which of them it is."""
NAMED_RUNS = 5
"""Longer lists of bars end in `and 3 more`."""


def number_word(count: int) -> str:
    """`three`, `14`."""
    return NUMBER_WORDS[count] if 0 <= count < len(NUMBER_WORDS) else str(count)


def amount(count: int, noun: str) -> str:
    """`one bar`, `three bars`, `14 bars`."""
    word = number_word(count)
    return f"{word} {noun}" if count == 1 else f"{word} {noun}s"


def capital(words: str) -> str:
    """The same with a capital at the beginning, the rest as it is."""
    return words[:1].upper() + words[1:]


def amount_between(low: int, high: int | None, noun: str) -> str:
    """`eight bars`, `eight to ten bars`, `eight bars or more`."""
    if high is None:
        return f"{amount(low, noun)} or more"
    if low == high:
        return amount(low, noun)
    return f"{amount(low, noun).partition(' ')[0]} to {amount(high, noun)}"


def listed(words: Sequence[str], *, last: str = "and") -> str:
    """`a`, `a and b`, `a, b and c`."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def bar_numbers(numbers: Iterable[int]) -> str:
    """`bar 5`, `bars 5 and 9`, `bars 5 to 8, 13 and 17`."""
    ordered = sorted(set(numbers))
    runs: list[list[int]] = []
    for number in ordered:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    words: list[tuple[str, int]] = []
    for run in runs:
        if len(run) < 3:
            words += [(str(number), 1) for number in run]
        else:
            words.append((f"{run[0]} to {run[-1]}", len(run)))
    noun = "bar" if len(ordered) == 1 else "bars"
    told = [word for word, _ in words]
    if len(words) > NAMED_RUNS:
        rest = sum(count for _, count in words[NAMED_RUNS - 1 :])
        told = [*told[: NAMED_RUNS - 1], f"{rest} more"]
    return f"{noun} {listed(told)}"


def places(bars: Iterable[Bar]) -> str:
    """`Verse 1, bars 5 and 9; Verse 2, bar 20`, or only the numbers when there are many."""
    by_section: dict[int, list[Bar]] = {}
    for bar in sorted(bars, key=lambda bar: bar.number):
        by_section.setdefault(bar.section_index, []).append(bar)
    if len(by_section) > NAMED_SECTIONS:
        return bar_numbers(bar.number for group in by_section.values() for bar in group)
    return "; ".join(
        f"{group[0].section}, {bar_numbers(bar.number for bar in group)}"
        for group in by_section.values()
    )


def sections_in_words(graph: BarGraph, sections: Sequence[int]) -> str:
    """`Verse 2 and Chorus 1 to 3`; `Verse 1 to Bridge` for many in a row, `throughout` for all.

    `sections` are section indices.
    """
    labels = {graph.bars[at].section_index: graph.bars[at].section for at in graph.written}
    order = sorted(set(sections))
    if len(order) == len(labels) > 1:
        return "throughout"
    if len(order) > NAMED_ROW and order[-1] - order[0] == len(order) - 1:
        return f"{labels[order[0]]} to {labels[order[-1]]}"
    groups: dict[str, list[tuple[int, str]]] = {}
    for section in order:
        name, _, number = labels[section].rpartition(" ")
        if number.isdigit():
            groups.setdefault(name, []).append((int(number), labels[section]))
        else:
            groups.setdefault(labels[section], []).append((1, labels[section]))
    words: list[str] = []
    for name, found in groups.items():
        numbers = [number for number, _ in found]
        if len(numbers) > 2 and numbers == list(range(numbers[0], numbers[-1] + 1)):
            words.append(f"{name} {numbers[0]} to {numbers[-1]}")
        else:
            words += [label for _, label in found]
    return listed(words)


def where_in_words(graph: BarGraph, bars: Sequence[Bar]) -> str:
    """`Verse 1 and Chorus 1 to 3`; `Verse 2, bars 17 to 20` where it is not whole sections."""
    by_section: dict[int, set[int]] = {}
    for bar in bars:
        by_section.setdefault(bar.section_index, set()).add(bar.number)
    whole, parts = [], []
    for section, numbers in sorted(by_section.items()):
        written = [graph.bars[at] for at in graph.written]
        every = {bar.number for bar in written if bar.section_index == section}
        if numbers >= every:
            whole.append(section)
        else:
            parts.append((section, numbers))
    words = [sections_in_words(graph, whole)] if whole else []
    if len(parts) > 2:
        words.append(bar_numbers(number for _, numbers in parts for number in numbers))
    else:
        names = {bar.section_index: bar.section for bar in bars}
        words += [f"{names[section]}, {bar_numbers(numbers)}" for section, numbers in parts]
    return "; ".join(words)


def how_far_in_words(graph: BarGraph, bars: Sequence[Bar]) -> str:
    """`where_in_words`, and `nearly throughout` where few bars of a long song are left out."""
    count = len({bar.number for bar in bars})
    if graph.count >= LONG and NEARLY_ALL * graph.count <= count < graph.count:
        return "nearly throughout"
    return where_in_words(graph, bars)


def places_in_words(graph: BarGraph, bars: Sequence[Bar]) -> str:
    """`places`, or how far it goes where that is all of a long song, or nearly all."""
    words = how_far_in_words(graph, bars)
    long = graph.count >= LONG
    return words if long and words in ("throughout", "nearly throughout") else places(bars)


def quoted(cue: str) -> str:
    """The words of a line, in quotation marks and cut at a word if they are long."""
    if len(cue) <= CUE_LENGTH:
        return f'"{cue}"'
    head = cue[:CUE_LENGTH]
    return f'"{head.rpartition(" ")[0] or head} ..."'


def place(bar: Bar) -> str:
    """`Verse 1, bar 5 ("Down by the kettle")`."""
    where = f"{bar.section}, bar {bar.number}"
    return f"{where} ({quoted(bar.cue)})" if bar.cue else where


def beat_words(beat: float, graph: BarGraph, bar: Bar) -> str:
    """`beat 3`, `the and of 4` (also where the chart's swing puts it), `beat 2.25`.

    `beat` counts from 0; the words count from 1.
    """
    whole, part = divmod(round(beat, 3), 1)
    count = int(whole) + 1
    if part < 0.01:
        return f"beat {count}"
    off = float(graph.swing / (1 + graph.swing)) if graph.swing > 1 else 0.5
    # In 6/8 and its kin the counted beat is the eighth, and nobody counts its half `and`.
    if bar.meter.unit <= 4 and min(abs(part - off), abs(part - 0.5)) < 0.02:
        return f"the and of {count}"
    return f"beat {round(count + part, 2):g}"


def main_bar(graph: BarGraph, number: int) -> Bar:
    """The bar of the main line with this number in the expanded chart."""
    for index in graph.written:
        if graph.bars[index].number == number:
            return graph.bars[index]
    raise ValueError(f"the chart has no bar {number}")
