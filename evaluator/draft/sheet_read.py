"""Which sections does a sheet have, and which words belong to which chords?

Lines in order: chords open a line of the song, words belong to the chords above them, a
heading opens a section. A heading with no chords under it takes those of the section that
it names again, or of the one that is called the same but for its number: `Verse 2` with
words alone is sung to the chords of `Verse 1`. Whatever had to be assumed is said.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import takewhile

from evaluator.draft.chord_row import ChordRow, has_german_notes, read_chords, with_times
from evaluator.draft.sheet import Sheet, SheetError, SheetLine, SheetSection
from evaluator.draft.sheet_facts import facts_among, facts_beside, song_facts
from evaluator.draft.sheet_lines import (
    SheetText,
    check_sung,
    decode_sheet,
    known_as,
    names_like,
    split_sheet,
    stem,
)
from evaluator.theory.symbol import ChordSymbol

MOST_CHORDS = 1_000
"""Chords of a song with everything that comes again."""
UNNAMED = "Song"
_NUMBERED = re.compile(r"(\d{1,3})[.)]\s+(?=\S)")
_NOTED = re.compile(r"(.+?)\s+(?:[-–—]\s+|(?=w/|with\s))(.+)")
_BY = re.compile(
    r"(.+?)(?:\s+[-–—,(]+\s*|\s{2,})(?:(?:words|music|and|&)\s+)*by\s+([^)]+)\)?", re.I
)


@dataclass(slots=True)
class _Line:
    row: ChordRow | None
    """None for words without chords."""
    words: list[str] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)


@dataclass(slots=True)
class _Section:
    name: str
    times: int = 1
    lines: list[_Line] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    named: bool = True
    like: str = ""
    """The section whose chords it asks for."""
    ends_on: bool = False
    """A last chord, unless what came before has come to it already."""

    @property
    def has_chords(self) -> bool:
        return any(line.row for line in self.lines)


def read_sheet(raw: bytes, *, name: str) -> Sheet:
    """A sheet from the bytes of a text file; `name` stands for a title that is missing.

    Raises:
        SheetError: for a text in which no line or hardly any consists of chords, and for one far
            too long.
    """
    text = decode_sheet(raw)
    reader = _Reader(has_german_notes(text.splitlines()))
    lines = split_sheet(text)
    for line in lines:
        reader.take(line)
    check_sung(lines, sum(bool(one.row) for section in reader.sections for one in section.lines))
    given = [section for section in reader.sections if section.lines or section.named]
    remarks = list(reader.remarks)
    sections = tuple(_resolved(given, remarks))
    if sum(len(line.chords) * line.count for s in sections for line in s.lines) > MOST_CHORDS:
        raise SheetError(
            f"This sheet comes to more than {MOST_CHORDS} chords; that is too many for a song."
        )
    if reader.german:
        remarks.append("H and B are read as in German: B natural and B flat")
    title = reader.facts.get("title") or reader.title or name
    facts = song_facts(reader.facts, remarks)
    return replace(facts, title=title, sections=sections, remarks=tuple(remarks))


class _Reader:
    """Takes in the lines one after another."""

    def __init__(self, german: bool) -> None:
        self.german = german
        self.title = ""
        self.facts: dict[str, str] = {}
        self.sections: list[_Section] = [_Section(UNNAMED, named=False)]
        self.remarks: list[str] = []

    def take(self, line: SheetText) -> None:
        """One more line."""
        if line.kind in ("words", "chords"):
            line = self._named_before(line)
        getattr(self, f"_{line.kind}")(line)

    def _named_before(self, line: SheetText) -> SheetText:
        """The line, a heading if its name was one before, whatever it means."""
        name, times = with_times(line.text)
        known = {known_as(one.name) for one in self.sections if one.named}
        noted = _NOTED.fullmatch(name) if line.kind == "words" else None
        if noted and known_as(noted[1]) in known:
            return replace(line, kind="heading", name=noted[1], value=noted[2])
        if known_as(name) in known:
            return replace(line, kind="heading", name=name, times=times)
        return line

    @property
    def _open(self) -> _Section:
        return self.sections[-1]

    def _begun(self) -> bool:
        return len(self.sections) > 1 or bool(self._open.lines)

    def _blank(self, line: SheetText) -> None:
        """Parts nothing that headings and chords do not part."""

    def _facts(self, line: SheetText) -> None:
        for name, value in line.facts:
            self.facts.setdefault(name, value)

    def _heading(self, line: SheetText) -> None:
        self.sections.append(_Section(line.name or UNNAMED, line.times, like=line.like))
        if line.value:
            if row := read_chords(line.value, self.german):
                self._chords(replace(line, row=row, value=""))
            else:
                self._open.remarks.append(f"the sheet says: {line.value}")

    def _like(self, line: SheetText) -> None:
        """`(same as verse 1)` right below a heading; anywhere else they are words."""
        if self._open.named and not self._open.lines:
            self._open.like = line.like
        else:
            self._words(line)

    def _again(self, line: SheetText) -> None:
        if line.name:
            self.sections.append(_Section(line.name, max(1, line.times)))
        elif self._begun():
            self._open.times = max(2, line.times)

    def _ending(self, line: SheetText) -> None:
        """`End on D`."""
        self.sections.append(_Section("Ending", ends_on=True))
        self._chords(replace(line, row=read_chords(line.name, self.german)))

    def _chords(self, line: SheetText) -> None:
        assert line.row is not None
        found = _Line(line.row, [line.value] if line.value else [])
        for sign in (chord for bar in line.row.bars for chord in bar):
            if not sign.read and sign.chord is not None:
                found.remarks.append(f"{sign.text} is read as {sign.chord.text}")
        found.remarks += [f"{sign} is not a chord and was left out" for sign in line.row.unread]
        found.remarks += [f"the sheet says: {note}" for note in line.row.notes]
        self._open.lines.append(found)

    def _words(self, line: SheetText) -> None:
        if not self._begun():
            self._above(line.text)
            return
        text, section = line.text, self._open
        above = section.lines[-1:]
        if not above or above[0].words or not above[0].row:
            above = []
        if number := _NUMBERED.match(text):
            text, section = text[number.end() :], self._verse(number[1], above)
        if above:
            above[0].words.append(text)
        else:
            section.lines.append(_Line(None, [text]))

    def _verse(self, number: str, begun: list[_Line]) -> _Section:
        """The verse whose words have its number before them; `begun` is what is above them."""
        section = self._open
        if begun and section.named and len(section.lines) == 1:
            return section
        if begun:
            section.lines.pop()
        self.sections.append(_Section(f"Verse {number}", lines=begun))
        return self._open

    def _above(self, text: str) -> None:
        """Words above all chords: the title, who wrote it, and what nobody asked for."""
        if self.title or "title" in self.facts:
            self.remarks.append(f"above the first chords: {text}")
            facts = facts_among(text)
        else:
            self.title, facts = facts_beside(_NUMBERED.sub("", text))
            if by := _BY.fullmatch(self.title):
                self.title = by[1]
                facts = (("by", by[2].strip()), *facts)
        for name, value in facts:
            self.facts.setdefault(name, value)

    def _unclear(self, line: SheetText) -> None:
        if not any(sign.isalnum() for sign in line.text):
            return  # a ruled line
        remark = (
            f"line {line.number} of the sheet is neither chords nor words; what is it? {line.text}"
        )
        (self._open.remarks if self._begun() else self.remarks).append(remark)


def _resolved(sections: Sequence[_Section], remarks: list[str]) -> list[SheetSection]:
    """Sections in the order of the song, each with its chords, those that come again too."""
    written: dict[str, SheetSection] = {}
    song: list[SheetSection] = []
    for section in sections:
        found = _with_chords(section, written)
        if found is None:
            remarks.append(f"{section.name} has no chords, and none like it came before")
            remarks += [f"without chords: {word}" for line in section.lines for word in line.words]
            remarks += section.remarks
            continue
        if section.ends_on and song and _last_chord(song[-1]) == _last_chord(found):
            continue
        written.setdefault(known_as(found.name), found)
        written[stem(found.name)] = found
        song += [found] * section.times
    return song


def _last_chord(section: SheetSection) -> ChordSymbol | None:
    chords = [chord for line in section.lines for chord in line.chords]
    return chords[-1] if chords else None


def _with_chords(section: _Section, written: dict[str, SheetSection]) -> SheetSection | None:
    known = written.get(known_as(section.name))
    if known is not None and not section.lines:
        return replace(known, remarks=tuple(section.remarks))
    source = known or _source(section, written)
    bare = list(takewhile(lambda line: line.row is None, section.lines))
    own = section.lines
    before: list[SheetLine] = []
    remarks = list(section.remarks)
    if source is not None and (bare or not section.lines):
        before, left_over = _sung_to(source, [word for line in bare for word in line.words])
        own = own[len(bare) :]
        remarks.append(
            f"no chords on the sheet above these words; those of {source.name} are taken"
        )
        remarks += [f"without chords: {word}" for word in left_over]
    elif not section.has_chords:
        return None
    return SheetSection(section.name, (*before, *_lines(own)), tuple(remarks))


def _source(section: _Section, written: dict[str, SheetSection]) -> SheetSection | None:
    """The section whose chords are taken: the one that is asked for, or one of like name."""
    names = (*names_like(section.like), *names_like(section.name))
    return next((written[one] for one in names if one in written), None)


def _sung_to(source: SheetSection, words: Sequence[str]) -> tuple[list[SheetLine], Sequence[str]]:
    """The lines of another section under these words, and the words that are left over."""
    lines = [
        replace(line, words=words[place] if place < len(words) else "", remarks=())
        for place, line in enumerate(source.lines)
    ]
    return lines, words[len(lines) :]


def _lines(lines: Sequence[_Line]) -> list[SheetLine]:
    """Lines of chords; words without chords go under the line before them."""
    found: list[SheetLine] = []
    before: list[str] = []
    for line in lines:
        if line.row is None:
            if not found:
                before += line.words
                continue
            remarks = (*found[-1].remarks, "the sheet has no chords above its last words here")
            words = " ".join([found[-1].words, *line.words]).strip()
            found[-1] = replace(found[-1], words=words, remarks=tuple(dict.fromkeys(remarks)))
            continue
        bars = tuple(tuple(sign.chord for sign in bar) for bar in line.row.bars)
        remarks = (*line.remarks, *(f"without chords above: {word}" for word in before))
        before = []
        beats = tuple(tuple(sign.beats for sign in bar) for bar in line.row.bars)
        words = " ".join(line.words)
        found.append(SheetLine(bars, line.row.barred, words, line.row.count, remarks, beats))
    return found
