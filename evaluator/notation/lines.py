"""How does a section of a score become lines of a chart: bars, rows of notes, words?"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from evaluator.chart.graph import HANDS, Meter
from evaluator.chart.typed import NO_CHORD, as_words, signs
from evaluator.notation.accompaniment import Kind
from evaluator.notation.cells import cell, ends_sounding
from evaluator.notation.passages import Passage
from evaluator.notation.played import PlayedBar
from evaluator.notation.score import Score
from evaluator.notation.unroll import Step

BARS_A_LINE = 4
MOST_BARS_A_LINE = 6
"""Of a system of the score that has more; it is cut evenly."""
WIDTH = 100
"""Columns of text; a line of bars with rows is broken before it grows wider."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line of bars, its rows, and the words under it."""

    rows: tuple[str, ...]
    """The line of bars first, then the rows of the hands."""
    words: str


@dataclass(frozen=True, slots=True)
class _Bar:
    """A bar in text."""

    step: Step
    chords: str
    cells: tuple[tuple[str, ...], ...]
    """Columns of the right and of the left hand; empty where no notes are written."""

    @property
    def width(self) -> int:
        columns = zip(*self.cells, strict=False) if _alike(self.cells) else ()
        aligned = sum(1 + max(map(len, column)) for column in columns) - 1
        longest = max((len(" ".join(one)) for one in self.cells), default=0)
        return max(len(self.chords), aligned, longest)


class Liner:
    """Writes the lines of a score's sections."""

    def __init__(self, score: Score) -> None:
        self._score = score
        self._by_systems = any(bar.new_line for bar in score.bars[1:])
        self._hands = [hand for hand in HANDS[::-1] if hand in score.bars[0].hands]

    def lines(
        self, part: Passage, played: Sequence[PlayedBar], kinds: Sequence[Kind], meter: Meter
    ) -> tuple[Line, ...]:
        """The lines of one section; `meter` is the one that its heading names."""
        bars = list(self._bars(played, kinds, meter))
        words = _Words(self._score, part)
        return tuple(
            Line(tuple(self._rows(line)), words.under([bar.step for bar in line]))
            for line in self._broken(bars)
        )

    def _bars(
        self, played: Sequence[PlayedBar], kinds: Sequence[Kind], meter: Meter
    ) -> Iterator[_Bar]:
        before = ""
        sounding = dict.fromkeys(self._hands, False)
        for one, kind in zip(played, kinds, strict=True):
            bar = one.bar
            written = bool(self._hands) and kind == "notes"
            chords = self._signs(one)
            chords = f"<{chords}>" if kind == "held" else chords
            own = f"{bar.meter}: " if bar.meter != meter else ""
            again = not bar.harmonies and not written and chords == before
            cells = []
            for hand in self._hands:
                tones = bar.hands.get(hand, ())
                cells.append(cell(tones, bar.meter, sounding=sounding[hand]))
                sounding[hand] = ends_sounding(tones, bar.meter)
            yield _Bar(one.step, own + ("%" if again else chords), tuple(cells) if written else ())
            before = chords if " " not in chords else ""

    def _signs(self, one: PlayedBar) -> str:
        """Chords between two bar lines, with slashes where they do not share it evenly."""
        starts = [int(harmony.offset) for harmony in one.chords]
        ends = [*starts[1:], one.bar.meter.beats]
        lengths = [end - start for start, end in zip(starts, ends, strict=True)]
        names = [harmony.chord or NO_CHORD for harmony in one.chords]
        return signs(names, lengths)

    def _broken(self, bars: Sequence[_Bar]) -> Iterator[Sequence[_Bar]]:
        system: list[_Bar] = []
        for bar in bars:
            begins = self._score.bars[bar.step.bar].new_line
            begins |= bool(system) and bool(bar.cells) != bool(system[-1].cells)
            if system and (begins or (not self._by_systems and len(system) == BARS_A_LINE)):
                yield from self._evenly(system)
                system = []
            system.append(bar)
        yield from self._evenly(system)

    def _evenly(self, system: Sequence[_Bar]) -> Iterator[Sequence[_Bar]]:
        """A system in as few lines as its width takes, of about as many bars each."""
        for lines in range(math.ceil(len(system) / MOST_BARS_A_LINE), len(system) + 1):
            bars = math.ceil(len(system) / lines)
            cut = [system[place : place + bars] for place in range(0, len(system), bars)]
            if bars == 1 or all(self._width(line) <= WIDTH for line in cut):
                yield from cut
                return

    def _width(self, line: Sequence[_Bar]) -> int:
        return (9 if line[0].cells else 1) + sum(bar.width + 3 for bar in line)

    def _rows(self, line: Sequence[_Bar]) -> Iterator[str]:
        hands = self._hands if line[0].cells else []
        indent = "        " if hands else ""
        yield indent + _between([bar.chords for bar in line], line)
        for place, hand in enumerate(hands):
            cells = [_aligned(bar.cells, place) for bar in line]
            yield f"  {hand:<5} " + _between(cells, line)


def _between(texts: Sequence[str], line: Sequence[_Bar]) -> str:
    cells = [text.ljust(bar.width) for text, bar in zip(texts, line, strict=True)]
    return f"| {' | '.join(cells)} |"


def _aligned(cells: Sequence[Sequence[str]], place: int) -> str:
    """One hand's columns; under each other where both hands have the same number."""
    if not _alike(cells):
        return " ".join(cells[place])
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    return " ".join(s.ljust(width) for s, width in zip(cells[place], widths, strict=True)).rstrip()


def _alike(cells: Sequence[Sequence[str]]) -> bool:
    return len(cells) == 2 and len(cells[0]) == len(cells[1])


class _Words:
    """The words of a section, of the verse whose turn it is."""

    def __init__(self, score: Score, part: Passage) -> None:
        self._bars = score.bars
        sung = [self._bars[step.bar].words for step in part.steps]
        self._verses = {number for words in sung for number in words}

    def under(self, steps: Sequence[Step]) -> str:
        """The words of these bars in one line."""
        text = ""
        for step in steps:
            for syllable in self._bars[step.bar].words.get(self._verse(step), ()):
                text += syllable.text + ("\0" if syllable.goes_on else " ")
        text = text.removesuffix("\0") + ("-" if text.endswith("\0") else "")
        return as_words(text.replace("\0", ""))

    def _verse(self, step: Step) -> int:
        """The verse of that time; the first where the bar, or the section, has no other."""
        bar = self._bars[step.bar]
        only = bar.marks.endings or step.time not in self._verses
        return min(bar.words, default=1) if only and step.time not in bar.words else step.time
