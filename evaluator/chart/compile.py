"""What is this chart as a song: which bars, and what is expected in each?

`Chart` in, `BarGraph` out. The form says in which orders the bars come; here each bar
gets its number, its label, its chords with the basses that the rules want, and the
strikes of its pattern. The same written bar in the same surroundings is worked out once.
"""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from evaluator.chart import fit
from evaluator.chart.graph import Bar, BarGraph, ExpectedStrike, Hand, Meter, Span
from evaluator.chart.model import Chart, Section, WrittenBar
from evaluator.chart.strikes import choose, expected_strikes
from evaluator.chart.values import FREE
from evaluator.chart.ways import Place, Ways, lay_out
from evaluator.chart.written import held_over, ringing_on, slack_at, with_written_notes

_ORDINALS = {1: "st", 2: "nd", 3: "rd"}


def compile_chart(chart: Chart) -> BarGraph:
    """The song of a chart.

    Raises:
        ChartError: for a form with more ways through it than can be followed.
    """
    form = lay_out(chart)
    header = chart.header
    bars = tuple(_Compiler(chart, form).bars())
    return BarGraph(
        title=header.title,
        bars=bars,
        successors=form.successors,
        starts=form.starts,
        finals=form.finals,
        written=tuple(i for i, place in enumerate(form.places) if place.way == 0),
        meter=header.meter,
        bpm=header.tempo,
        tempo_stated=header.tempo_stated,
        swing=header.swing,
        has_patterns=bool(chart.patterns) or any(bar.exact for bar in bars),
    )


@dataclass(frozen=True, slots=True)
class _Playing:
    """A section as it is played: what all its bars share."""

    section: Section
    label: str
    occurrence: int
    meter: Meter
    seconds_per_whole: float
    pattern: str | None


class _Compiler:
    def __init__(self, chart: Chart, form: Ways) -> None:
        self._chart = chart
        self._form = form
        self._playings = _playings(chart)
        self._basses = {rule.chord: rule.note.pc for rule in chart.header.bass}
        self._contents: dict[object, tuple[tuple[Span, ...], tuple[ExpectedStrike, ...]]] = {}

    def bars(self) -> Iterator[Bar]:
        first, last = 1, 0
        section, slack = -1, False
        ringing: dict[Hand, frozenset[int]] = {}
        for index, place in enumerate(self._form.places):
            if place.section != section:
                section, slack = place.section, False
            main = self._playings[place.section].section.lines[place.line].ways[0].bars
            if place.way == 0 and place.bar == 0:
                first, last = last + 1, last + len(main)
            written = self._written(place)
            bar = self._bar(index, min(first + place.bar, last), place, slack=slack)
            held = held_over(written, bar.meter, ringing)
            yield replace(bar, held_ornaments=held) if held else bar
            slack = slack_at(written, Fraction(1), slack=slack)
            ringing = ringing_on(written, ringing)

    def _written(self, place: Place) -> WrittenBar:
        section = self._playings[place.section].section
        bars = section.lines[place.line].ways[place.way].bars
        bar = bars[place.bar]
        copies = section.count_of(place.line).written
        last = (place.line, place.copy, place.bar) == (
            len(section.lines) - 1,
            copies - 1,
            len(bars) - 1,
        )
        return _held(bar) if section.held and last and bar.signs else bar

    def _bar(self, index: int, number: int, place: Place, *, slack: bool) -> Bar:
        playing = self._playings[place.section]
        section = playing.section
        ways = section.lines[place.line].ways
        written = self._written(place)
        meter = written.meter or playing.meter
        spans, strikes = self._content(written, meter, playing.pattern, slack=slack)
        others = [
            self._content(written, meter, name, slack=slack)[1] for name in section.other_patterns
        ]
        return Bar(
            index=index,
            number=number,
            section=playing.label,
            section_index=place.section,
            occurrence=playing.occurrence,
            line=place.line,
            copy=place.copy,
            place=place.bar,
            alternative=place.way,
            tail=place.line == section.tail_line,
            meter=meter,
            seconds_per_beat=playing.seconds_per_whole / meter.unit,
            key=section.key or self._chart.header.key,
            cue=ways[place.way].cue or ways[0].cue,
            text=written.text,
            spans=spans,
            strikes=strikes,
            exact=frozenset(notes.hand for notes in written.hands),
            others=tuple(others),
            free=playing.pattern == FREE and not written.hands,
        )

    def _content(
        self, bar: WrittenBar, meter: Meter, pattern_name: str | None, *, slack: bool
    ) -> tuple[tuple[Span, ...], tuple[ExpectedStrike, ...]]:
        surroundings = (bar.line, bar.column, bar.signs[-1:], meter, pattern_name, slack)
        known = self._contents.get(surroundings)
        if known is None:
            spans = tuple(self._spans(bar, meter))
            pattern = choose(self._chart.patterns, pattern_name, meter)
            swing = self._chart.header.swing
            strikes = expected_strikes(pattern, meter, spans, swing) if pattern else ()
            strikes = with_written_notes(strikes, bar, meter, spans, swing=swing, slack=slack)
            known = self._contents[surroundings] = (spans, strikes)
        return known

    def _spans(self, bar: WrittenBar, meter: Meter) -> Iterator[Span]:
        shares = fit.sign_beats(bar, meter)
        assert shares is not None  # a chart that was read fits its meters
        beat = 0
        for sign, beats in zip(bar.signs, shares, strict=True):
            chord = sign.chord
            rule = self._basses.get(chord) if chord else None
            yield Span(
                beat=Fraction(beat),
                beats=Fraction(beats),
                chord=chord,
                bass=rule if rule is not None else chord.bass_pc if chord else None,
                colours=sign.colours,
                held=sign.held,
                ruled=rule is not None,
            )
            beat += beats


def _held(bar: WrittenBar) -> WrittenBar:
    """The bar with its last chord struck once and held."""
    *before, last = bar.signs
    text = f"<{bar.text}>" if len(bar.signs) == 1 and last.chord and not last.held else bar.text
    return replace(bar, signs=(*before, replace(last, held=last.chord is not None)), text=text)


def _playings(chart: Chart) -> list[_Playing]:
    header = chart.header
    played: Counter[str] = Counter()
    playings = []
    for section, label in zip(chart.sections, _labels(chart), strict=True):
        played[section.name] += 1
        meter = section.meter or header.meter
        tempo, unit = (
            (section.tempo, meter.unit) if section.tempo else (header.tempo, header.meter.unit)
        )
        playings.append(
            _Playing(
                section,
                label,
                played[section.name],
                meter,
                60 / tempo * unit,
                section.pattern or header.pattern,
            )
        )
    return playings


def _labels(chart: Chart) -> list[str]:
    """A name for every playing: `Verse`, `Chorus 2`, or `Verse 1, 2nd time`."""
    names = [section.name for section in chart.sections]
    totals = Counter(names)
    folded = {name.casefold() for name in names}
    taken = {name: _ends_in_number(name, total, folded) for name, total in totals.items()}
    played: Counter[str] = Counter()
    labels = []
    for name in names:
        played[name] += 1
        if totals[name] == 1 or (taken[name] and played[name] == 1):
            labels.append(name)
        elif taken[name]:
            labels.append(f"{name}, {_ordinal(played[name])} time")
        else:
            labels.append(f"{name} {played[name]}")
    return labels


def _ends_in_number(name: str, total: int, folded: set[str]) -> bool:
    """Whether a number behind the name would be a second one, or another section's name."""
    numbered = {f"{name} {n}".casefold() for n in range(1, total + 1)}
    return bool(re.search(r"\d$", name) or folded & numbered)


def _ordinal(number: int) -> str:
    teens = number % 100 in (11, 12, 13)
    return f"{number}{'th' if teens else _ORDINALS.get(number % 10, 'th')}"
