"""How does a section of a score become lines of a chart: bars, rows of notes, words?"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from evaluator.chart.graph import HANDS, Meter
from evaluator.chart.typed import NO_CHORD, as_words, signs
from evaluator.notation.cells import cell, ends_sounding
from evaluator.notation.naming import halfway, name_harmonies
from evaluator.notation.passages import Passage
from evaluator.notation.score import Harmony, Score, ScoreBar
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
    """Columns of the right and of the left hand; empty in a lead sheet."""

    @property
    def width(self) -> int:
        columns = zip(*self.cells, strict=False) if _alike(self.cells) else ()
        aligned = sum(1 + max(map(len, column)) for column in columns) - 1
        longest = max((len(" ".join(one)) for one in self.cells), default=0)
        return max(len(self.chords), aligned, longest)


class Liner:
    """Writes the lines of a score's sections; knows which chord holds at every bar."""

    def __init__(self, score: Score, *, flats: bool) -> None:
        self._score = score
        self._flats = flats
        self._by_systems = any(bar.new_line for bar in score.bars[1:])
        self._has_chords = any(bar.harmonies for bar in score.bars)
        self._hands = [hand for hand in HANDS[::-1] if hand in score.bars[0].hands]
        self._held: str | None = None
        """The last chord symbol of the score, which holds until the next."""
        self._named: str | None = None
        """The last chord that was found in the notes."""
        self.remarks: list[str] = []

    def lines(self, part: Passage, meter: Meter) -> tuple[Line, ...]:
        """The lines of one section; `meter` is the one that its heading names."""
        bars = list(self._bars(part, meter))
        words = _Words(self._score, part)
        return tuple(
            Line(tuple(self._rows(line)), words.under([bar.step for bar in line]))
            for line in self._broken(bars)
        )

    def _bars(self, part: Passage, meter: Meter) -> Iterator[_Bar]:
        before = ""
        sounding = dict.fromkeys(self._hands, False)
        for step in part.steps:
            bar = self._score.bars[step.bar]
            harmonies = self._harmonies(bar)
            chords = self._signs(bar, harmonies)
            own = f"{bar.meter}: " if bar.meter != meter else ""
            again = not bar.harmonies and not self._hands and chords == before
            cells = []
            for hand in self._hands:
                tones = bar.hands.get(hand, ())
                cells.append(cell(tones, bar.meter, sounding=sounding[hand]))
                sounding[hand] = ends_sounding(tones, bar.meter)
            yield _Bar(step, own + ("%" if again else chords), tuple(cells))
            before = chords if " " not in chords else ""

    def _harmonies(self, bar: ScoreBar) -> tuple[Harmony, ...]:
        """The chords of a bar with the one that holds from before, by beats."""
        named = bar.harmonies
        if self._hands and not (self._has_chords and (named or self._held)):
            half = halfway(bar)
            named = name_harmonies(
                bar.hands, bar.length, half, flats=self._flats, before=self._named
            )
            self._named = named[-1].chord
        by_beat = {Fraction(0): self._held, **self._on_beats(named, bar)}
        if self._has_chords and bar.harmonies:
            self._held = by_beat[max(by_beat)]
        beats = sorted(by_beat)
        return tuple(
            Harmony(beat, by_beat[beat])
            for place, beat in enumerate(beats)
            if not place or by_beat[beat] != by_beat[beats[place - 1]]
        )

    def _on_beats(self, harmonies: Sequence[Harmony], bar: ScoreBar) -> dict[Fraction, str | None]:
        """Chords by their beats. One between two beats is drawn to the nearer that is free;
        an anticipated one, half a beat ahead, to the beat that it is meant for."""
        placed = [(harmony.offset * bar.meter.unit / 4, harmony.chord) for harmony in harmonies]
        by_beat = {beat: chord for beat, chord in placed if beat.denominator == 1}
        for exact, chord in placed:
            if exact in by_beat:
                continue
            nearest = math.floor(exact + Fraction(1, 2))
            other = math.floor(exact) if nearest > exact else nearest + 1
            free = [b for b in (nearest, other) if b < bar.meter.beats and b not in by_beat]
            said = f"{chord or NO_CHORD} comes between two beats"
            if free:
                by_beat[Fraction(free[0])] = chord
                self._remark(bar, f"{said}; it is written at beat {free[0] + 1}")
            else:
                self._remark(bar, f"{said}, both with chords of their own; it is left out")
        return by_beat

    def _remark(self, bar: ScoreBar, text: str) -> None:
        remark = f"bar {bar.label}: {text}"
        if remark not in self.remarks:
            self.remarks.append(remark)

    def _signs(self, bar: ScoreBar, harmonies: Sequence[Harmony]) -> str:
        """Chords between two bar lines, with slashes where they do not share it evenly."""
        beats = bar.meter.beats
        starts = [int(harmony.offset) for harmony in harmonies]
        lengths = [b - a for a, b in zip(starts, [*starts[1:], beats], strict=True)]
        names = [harmony.chord or NO_CHORD for harmony in harmonies]
        return signs(names, lengths)

    def _broken(self, bars: Sequence[_Bar]) -> Iterator[Sequence[_Bar]]:
        system: list[_Bar] = []
        for bar in bars:
            begins = self._score.bars[bar.step.bar].new_line
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
        return (9 if self._hands else 1) + sum(bar.width + 3 for bar in line)

    def _rows(self, line: Sequence[_Bar]) -> Iterator[str]:
        indent = "        " if self._hands else ""
        yield indent + _between([bar.chords for bar in line], line)
        for place, hand in enumerate(self._hands):
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
