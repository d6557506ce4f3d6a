"""Which sections are played, one after another, and with what options?

Below the header a chart is headings, lines of bars, `or` lines, rows of notes and words.
Rows and words belong to the line of bars above them. A heading with no bars under it
plays an earlier section of its name again; its options are its own, except that a meter
that was given together with the bars stays with them.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from evaluator.chart.bare_row import with_bar_lines
from evaluator.chart.bars import BarReader
from evaluator.chart.graph import HANDS
from evaluator.chart.header import header_name
from evaluator.chart.headings import Heading, option_in_name, read_heading
from evaluator.chart.lines import TextLine
from evaluator.chart.mistakes import Mistakes, did_you_mean
from evaluator.chart.model import Count, Line, Section, Way, WrittenBar
from evaluator.chart.rows import near_hand, read_row, row_hand


@dataclass(slots=True)
class _DraftWay:
    bars: tuple[WrittenBar, ...]
    words: list[str] = field(default_factory=list)


@dataclass(slots=True)
class _DraftLine:
    line: int
    ways: list[_DraftWay]
    count: Count | None


@dataclass(slots=True)
class _DraftSection:
    heading: Heading
    lines: list[_DraftLine] = field(default_factory=list)
    before: WrittenBar | None = None
    """The bar before the last line: what a `%` at the beginning of an `or` line repeats."""
    last: WrittenBar | None = None
    """What a `%` at the beginning of the next line repeats."""


class SectionReader:
    """Reads the lines below the header into sections as they are played."""

    def __init__(self, patterns: Sequence[str], mistakes: Mistakes) -> None:
        self._patterns = patterns
        self._mistakes = mistakes
        self._bars = BarReader(mistakes)
        self._drafts: list[_DraftSection] = []
        self._readers: dict[str, Callable[[TextLine, _DraftSection], None]] = {
            "bars": self._line_of_bars,
            "or": self._or_line,
            "other": self._words,
        }

    def read(self, lines: Sequence[TextLine]) -> tuple[Section, ...]:
        """The playings in the order of the song; the first line is a heading."""
        for line in lines:
            if line.kind == "heading":
                heading = read_heading(line, self._patterns, self._mistakes)
                self._drafts.append(_DraftSection(heading))
            elif line.kind != "blank":
                self._readers[line.kind](line, self._drafts[-1])
        return _Playings(self._patterns, self._mistakes).resolve(self._drafts)

    def _line_of_bars(self, line: TextLine, draft: _DraftSection) -> None:
        offset = line.text.index("|")
        bars, count = self._bars.read(line, offset, draft.last)
        draft.lines.append(_DraftLine(line.number, [_DraftWay(bars)], count))
        draft.before, draft.last = draft.last, bars[-1] if bars else draft.last

    def _or_line(self, line: TextLine, draft: _DraftSection) -> None:
        offset = line.text.index("|")
        if not draft.lines:
            self._mistakes.add(
                line.number,
                line.column(),
                "`or` has no line of bars above it in this section",
                "write the line itself first, then `or | ... |` under it",
            )
            return
        bars, count = self._bars.read(line, offset, draft.before)
        if count:
            self._mistakes.add(
                line.number,
                line.text.rindex("|") + 2,
                "an `or` line has no count of its own",
                "it takes the count of the line above; write the bars out",
            )
        draft.lines[-1].ways.append(_DraftWay(bars))

    def _words(self, line: TextLine, draft: _DraftSection) -> None:
        if row_hand(line.text) in HANDS:
            self._row(line, draft)
            return
        refusal = self._not_words(line.text)
        if refusal:
            self._mistakes.add(line.number, line.column(), *refusal)
        elif not draft.lines and (barred := with_bar_lines(line.text)):
            message = "this line of chord names has no bar lines"
            hint = f"put | between the bars: {barred}"
            self._mistakes.add(line.number, line.column(), message, hint)
        elif not draft.lines:
            self._mistakes.add(
                line.number,
                line.column(),
                "these words have no line of bars above them in this section",
                "words go under the bars they are sung over; # starts a comment",
            )
        else:
            draft.lines[-1].ways[-1].words += line.text.split()

    def _row(self, line: TextLine, draft: _DraftSection) -> None:
        if not draft.lines:
            self._mistakes.add(
                line.number,
                line.column(),
                "this row has no line of bars above it in this section",
                "exact notes go under their bars; a pattern goes above the first section",
            )
            return
        way = draft.lines[-1].ways[-1]
        way.bars = read_row(line, way.bars, self._mistakes)

    def _not_words(self, text: str) -> tuple[str, str] | None:
        """Why a line that is neither bars nor heading is not words either."""
        word = row_hand(text)
        if word == "count":
            return "a count row belongs to a pattern", "leave it out, or move the pattern up"
        if word and near_hand(word):
            return f"`{word}` is not a row of notes", near_hand(word)
        if "|" in text:
            return "a line of bars begins with |", f"write | {text.strip()}"
        name = header_name(text)
        if name:
            return (
                f"`{name}:` is a header line and belongs above the first section",
                "for one section write the option in its heading: [Verse] tempo 80",
            )
        return None


class _Playings:
    """Finds the bars of headings that have none, and makes the sections."""

    def __init__(self, patterns: Sequence[str], mistakes: Mistakes) -> None:
        self._patterns = patterns
        self._mistakes = mistakes
        self._written: dict[str, list[_DraftSection]] = {}

    def resolve(self, drafts: Sequence[_DraftSection]) -> tuple[Section, ...]:
        sections: list[Section] = []
        for draft in drafts:
            if draft.lines:
                self._written.setdefault(draft.heading.folded, []).append(draft)
                sections.append(self._section(draft, draft))
                continue
            source = self._earlier(draft.heading, drafts)
            if source:
                sections.append(self._section(draft, source))
        return tuple(sections)

    def _earlier(self, heading: Heading, drafts: Sequence[_DraftSection]) -> _DraftSection | None:
        versions = self._written.get(heading.folded, [])
        if not versions:
            self._unknown(heading, drafts)
            return None
        if any(_bars(version) != _bars(versions[0]) for version in versions):
            lines = ", ".join(str(version.heading.line) for version in versions)
            self._mistakes.add(
                heading.line,
                heading.column,
                f"[{heading.name}] was written with different bars (lines {lines}); "
                "which are to be played again?",
                "give one of them another name, or write the bars out here",
            )
        return versions[-1]

    def _unknown(self, heading: Heading, drafts: Sequence[_DraftSection]) -> None:
        later = [d.heading for d in drafts if d.lines and d.heading.folded == heading.folded]
        hint = did_you_mean(heading.name, [v[0].heading.name for v in self._written.values()])
        misplaced = option_in_name(heading.name, self._patterns)
        if misplaced:
            hint = misplaced[1]
        if later:
            hint = f"its bars are in line {later[0].line}; write them where it is first played"
        self._mistakes.add(
            heading.line,
            heading.column,
            f"[{heading.name}] has no bars, and no section of that name came before",
            hint or "write its bars under it",
        )

    def _section(self, draft: _DraftSection, source: _DraftSection) -> Section:
        heading = draft.heading
        lines = tuple(
            Line(
                tuple(Way(way.bars, " ".join(way.words)) for way in line.ways if way.bars),
                line.count,
                line.line,
            )
            for line in source.lines
            if line.ways[0].bars
        )
        section = Section(
            name=self._written[heading.folded][0].heading.name,
            lines=lines,
            pattern=heading.pattern,
            other_patterns=heading.other_patterns,
            held=heading.end,
            meter=heading.meter or source.heading.meter,
            key=heading.key,
            tempo=heading.tempo,
            optional=heading.optional,
            tail=heading.tail,
            line=heading.line,
        )
        if heading.tail and lines and section.tail_line is None:
            self._mistakes.add(
                heading.line,
                heading.column,
                f"[{heading.name}] has no counted line, so `tail` has nothing to count",
                "write a count after its last line: | D | x4",
            )
        self._check_held(heading, section)
        return section

    def _check_held(self, heading: Heading, section: Section) -> None:
        """The bar that is held must be one that the song has in any case."""
        if not heading.end or not section.lines:
            return
        count = section.count_of(len(section.lines) - 1)
        if count.high != count.low:
            self._mistakes.add(
                heading.line,
                heading.column,
                f"[{heading.name}] ends in a line played any number of times, so its "
                f"last bar is not known",
                "write the bar that is held under it: | <D> |",
            )


def _bars(draft: _DraftSection) -> object:
    """What is played under a heading, whatever the words."""
    return draft.heading.meter, [
        (line.count, [[_content(bar) for bar in way.bars] for way in line.ways])
        for line in draft.lines
    ]


def _content(bar: WrittenBar) -> object:
    notes = [(written.hand, written.struck) for written in bar.hands]
    return bar.signs, bar.meter, sorted(notes, key=lambda one: one[0])
