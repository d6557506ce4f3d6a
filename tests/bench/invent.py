"""Invents charts: songs that nobody wrote, in the form that teachers write down.

    text = invent(17)      # the text of a chart; the same every time

A song has a key and a style (`harmony`), patterns for two hands (`patterns`), loops for
its verse, chorus and bridge, and a form with the quirks that make charts hard to follow:
tails that differ from chorus to chorus, verses with lines more, an odd bar, a solo that
may be left out, lines with another way to play them, vamps of so many times or more.
Titles and words are nonsense. 40 to 120 bars, written out in full.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from tests.bench.dice import Dice
from tests.bench.harmony import BLUES, NUMERALS, Palette, loop, palette
from tests.bench.patterns import grid, pattern

FEWEST, MOST = 40, 120

_METERS = {"4/4": 0.58, "3/4": 0.16, "6/8": 0.12, "2/4": 0.07, "5/4": 0.07}
_TEMPI = {"4/4": (66, 152), "3/4": (84, 176), "6/8": (126, 220), "2/4": (76, 126), "5/4": (84, 144)}
_ODD_BARS = {
    "4/4": ("2/4", "3/4"),
    "3/4": ("2/4",),
    "6/8": ("3/8",),
    "2/4": ("3/4",),
    "5/4": ("4/4",),
}
_SPLITS = {
    "4/4": ("{} {}", "{} / {} /", "{} / / {}"),
    "3/4": ("{} / {}",),
    "6/8": ("{} {}", "{} / / / {} /"),
    "2/4": ("{} {}",),
    "5/4": ("{} / / {} /",),
}
_COLOURS = {"": ("sus4", "sus2", "add9"), "m": ("m7", "madd9"), "7": ("7sus4", "9"), "m7": ("m9",)}
_SWING = ("2:1", "3:2", "3:1", "5:3")
_PATTERN_NAMES = ("stroll", "amble", "sway", "rill", "tread", "lilt")
_SYLLABLES = (
    "bo",
    "la",
    "mi",
    "ren",
    "tu",
    "sal",
    "ko",
    "ve",
    "dar",
    "nim",
    "pe",
    "lo",
    "shu",
    "fi",
)


@dataclass(frozen=True, slots=True)
class Section:
    """Lines of a section as they are typed, and how many bars they are when played."""

    name: str
    lines: tuple[str, ...] = ()
    bars: int = 0
    tail_bars: int = 0
    """Of `bars`, those of the counted last line."""
    tail_length: int = 0
    """Bars in one copy of the counted last line."""
    options: str = ""

    def typed(self) -> list[str]:
        """Heading and lines."""
        return ["", f"[{self.name}] {self.options}".rstrip(), *self.lines]

    def again(self, options: str = "", count: int | None = None) -> "Section":
        """The heading alone, which plays the section once more; `count` for its tail."""
        bars = self.bars
        if count is not None:
            bars += count * self.tail_length - self.tail_bars
        return replace(self, lines=(), options=options, bars=bars)


@dataclass(slots=True)
class _Song:
    """What stays the same from section to section."""

    dice: Dice
    palette: Palette
    meter: str
    quirks: float
    """How full of slashes, colours and split bars the song is: 0 plain to 1."""
    loops: dict[str, list[str]] = field(default_factory=dict)

    def phrase(self, name: str) -> list[str]:
        """A line of numerals for that kind of section; most lines are its loop."""
        if name not in self.loops or self.dice.chance(0.15):
            found = loop(self.dice, self.palette)
            self.loops.setdefault(name, found)
            return found
        return self.loops[name]


def invent(seed: int) -> str:
    """The text of chart number `seed`."""
    for attempt in range(100):
        dice = Dice(seed, attempt)
        song = _Song(dice, palette(dice), dice.weigh(_METERS), dice.between(0, 1))
        sections = _FORMS[_form(song)](song)
        if FEWEST <= sum(section.bars for section in sections) <= MOST:
            header = _header(song, seed, sections)
            return "\n".join(header + [line for s in sections for line in s.typed()]) + "\n"
    raise RuntimeError(f"no song of {FEWEST} to {MOST} bars came of seed {seed}")


def _form(song: _Song) -> str:
    if song.palette.style == "blues":
        return "blues"
    return song.dice.weigh({"chorus song": 5.0, "strophes": 2.0, "aaba": 1.0})


def _chorus_song(song: _Song) -> list[Section]:
    dice = song.dice
    first = _section(song, "Verse 1", lines=dice.count(1, 3))
    chorus = _section(song, "Chorus", lines=dice.count(1, 3), tail=True)
    second = _verse_again(song, first)
    sections = [_intro(song)] if dice.chance(0.7) else []
    sections += [first, chorus, second, _with_tail(song, chorus)]
    if dice.chance(0.5):
        sections.append(_section(song, "Solo", lines=dice.count(1, 2), options="optional"))
    if dice.chance(0.6):
        sections.append(_bridge(song))
    sections.append(_with_tail(song, chorus))
    return [*sections, _ending(song)]


def _strophes(song: _Song) -> list[Section]:
    """A verse sung over and over, with a refrain for its last line."""
    dice = song.dice
    verse = _section(song, "Verse", lines=dice.count(2, 4), tail=True)
    sections = [_intro(song), verse, _with_tail(song, verse), _with_tail(song, verse)]
    if dice.chance(0.5):
        sections.append(_section(song, "Interlude", lines=1, options=dice.pick(("", "optional"))))
    sections += [_with_tail(song, verse) for _ in range(dice.count(1, 2))]
    return [*sections, _ending(song)]


def _aaba(song: _Song) -> list[Section]:
    a = _section(song, "A", lines=2, tail=song.dice.chance(0.5))
    b = _section(song, "B", lines=2)
    whole = [a, a.again(), b, a.again()]
    return [_intro(song), *whole, *(s.again() for s in whole), _ending(song)]


def _blues(song: _Song) -> list[Section]:
    dice, rows = song.dice, BLUES.split()
    if dice.chance(0.4):
        rows[1] = "IV"

    def chorus(name: str, options: str = "") -> Section:
        lines = [_bar_line(song, rows[at : at + 4]) for at in (0, 4, 8)]
        typed = [line for text in lines for line in (text, _words(dice))]
        return Section(name, tuple(typed), 12, options=options)

    verse = chorus("Verse")
    sections = [_intro(song), verse, verse.again(), chorus("Solo", "optional"), verse.again()]
    sections += [verse.again() for _ in range(dice.count(0, 3))]
    return [*sections, _ending(song)]


_FORMS: dict[str, Callable[[_Song], list[Section]]] = {
    "chorus song": _chorus_song,
    "strophes": _strophes,
    "aaba": _aaba,
    "blues": _blues,
}


def _section(
    song: _Song, name: str, *, lines: int, tail: bool = False, options: str = ""
) -> Section:
    """Lines of four bars with their quirks; with a `tail`, a counted line at the end."""
    dice, kind = song.dice, name.split()[0]
    typed: list[str] = []
    bars = 0
    for place in range(lines):
        numerals = list(song.phrase(kind))
        if dice.chance(0.08 + 0.1 * song.quirks):
            numerals = numerals[: dice.count(2, 3)] if dice.chance(0.5) else numerals + numerals[:1]
        text = _bar_line(song, numerals)
        count = 1
        last = place == lines - 1
        if dice.chance(0.12) and not (last and not tail):
            count = 2
            text += f" x{count}"
        if dice.chance(0.12 * song.quirks) and last and count == 1:
            text += f" {dice.pick(_ODD_BARS[song.meter])}: {song.palette.name(numerals[-1])} |"
            bars += 1
        typed += [text, _words(dice)]
        if count == 1 and dice.chance(0.1):
            typed.append(_other_way(song, numerals))
        bars += count * len(numerals)
    section = Section(name, tuple(typed), bars, options=options)
    return _tailed(song, section) if tail else section


def _tailed(song: _Song, section: Section) -> Section:
    """The home chord, so many bars of it."""
    dice, home = song.dice, song.palette.home
    row = [home] if dice.chance(0.75) else [home, "V" if dice.chance(0.6) else "IV"]
    count = dice.count(2, 4) if len(row) == 1 else dice.count(1, 3)
    text = f"| {' | '.join(song.palette.name(numeral) for numeral in row)} | x{count}"
    bars = count * len(row)
    return replace(
        section,
        lines=(*section.lines, text),
        bars=section.bars + bars,
        tail_bars=bars,
        tail_length=len(row),
    )


def _with_tail(song: _Song, section: Section) -> Section:
    """The section once more, often with a tail of another length; now and then a free one."""
    dice = song.dice
    if not dice.chance(0.6):
        return section.again()
    count = dice.count(1, 4)
    kind = dice.weigh({"exact": 5.0, "range": 1.0, "open": 1.0})
    if kind == "range":
        return section.again(f"tail x{count}-{count + 2}", count + 2)
    return section.again(f"tail x{count}" + ("+" if kind == "open" else ""), count)


def _verse_again(song: _Song, first: Section) -> Section:
    """Verse 2: the first one's lines, often with a line or two more."""
    dice = song.dice
    typed, bars = list(first.lines), first.bars
    for _ in range(dice.count(0, 2)):
        numerals = song.phrase("Verse")
        typed += [_bar_line(song, numerals), _words(dice)]
        bars += len(numerals)
    options = f"pattern {_PATTERN_NAMES[1]}" if dice.chance(0.25) else ""
    return Section("Verse 2", tuple(typed), bars, options=options)


def _intro(song: _Song) -> Section:
    dice = song.dice
    numerals = song.phrase(dice.pick(("Verse", "Chorus")))
    count = dice.weigh({"": 5.0, " x2": 3.0, " x1-2": 1.0, " x2+": 0.7})
    times = {"": 1, " x1-2": 2}.get(count, 2)
    text = _bar_line(song, numerals) + count
    lines = [text] if dice.chance(0.9) else ["| N.C. |", text]
    return Section("Intro", tuple(lines), times * len(numerals) + len(lines) - 1)


def _bridge(song: _Song) -> Section:
    dice = song.dice
    options = f"pattern {_PATTERN_NAMES[1]}" if dice.chance(0.4) else ""
    section = _section(song, "Bridge", lines=dice.count(1, 2), options=options)
    if dice.chance(0.15):
        section = replace(section, lines=(*section.lines, "| N.C. |"), bars=section.bars + 1)
    return section


def _ending(song: _Song) -> Section:
    home = song.palette.name(song.palette.home)
    if song.dice.chance(0.3):
        return Section("Ending", (f"| {home} | <{home}> |",), 2)
    return Section("Ending", (f"| <{home}> |",), 1)


def _bar_line(song: _Song, numerals: list[str]) -> str:
    """A line of bars: most of one plain chord."""
    bars: list[str] = []
    for place, numeral in enumerate(numerals):
        if place and numeral == numerals[place - 1] and song.dice.chance(0.3):
            bars.append("%")
        else:
            bars.append(_bar(song, numeral, numerals))
    return f"| {' | '.join(bars)} |"


def _bar(song: _Song, numeral: str, numerals: list[str]) -> str:
    dice, palette = song.dice, song.palette
    name = palette.name(numeral)
    turn = dice.weigh(
        {
            "plain": 4.0,
            "slash": 0.5 * song.quirks,
            "colour": 0.6 * song.quirks,
            "split": 0.7 * song.quirks,
        }
    )
    if turn == "slash":
        bass = palette.third(numeral) if dice.chance(0.6) else palette.fifth(numeral)
        return f"{name}/{bass}" if bass else name
    if turn == "colour":
        return _coloured(song, numeral)
    if turn == "split":
        others = [palette.name(other) for other in numerals if palette.name(other) != name]
        second = dice.pick(others) if others else palette.name("IV")
        if second != name:
            return dice.pick(_SPLITS[song.meter]).format(name, second)
    return name


def _coloured(song: _Song, numeral: str) -> str:
    """`D (Dsus2)`: a colour that suits the chord as it is written."""
    name, root = song.palette.name(numeral), song.palette.root(numeral)
    quality = name.removeprefix(root.text) if root else name
    if root is None or quality not in _COLOURS:
        return name
    return f"{name} ({root.text}{song.dice.pick(_COLOURS[quality])})"


def _other_way(song: _Song, numerals: list[str]) -> str:
    """An `or` line: some chord of it is another, or a bar is missing or added."""
    dice, other = song.dice, list(numerals)
    others = [n for n in ("ii", "IV", "vi", "V", "bVII", "iv", "bVI") if n != other[1]]
    other[1] = dice.pick(others)
    if dice.chance(0.3):
        other.append(other[-1])
    return "or | " + " | ".join(song.palette.name(numeral) for numeral in other) + " |"


def _header(song: _Song, seed: int, sections: list[Section]) -> list[str]:
    dice, key = song.dice, song.palette.key
    tempo = round(dice.between(*_TEMPI[song.meter]))
    swung = song.meter == "4/4" and dice.chance(0.6 if song.palette.style == "blues" else 0.12)
    lines = [
        f"title: Song {seed}",
        f"key: {key.tonic.text} {key.mode}",
        f"meter: {song.meter}",
        f"tempo: {tempo}",
    ]
    if swung:
        lines.append(f"feel: swing {dice.pick(_SWING)}")
    # A chord whose every bar was made odd stands nowhere as it is in the loop.
    written = {word for section in sections for line in section.lines for word in line.split()}
    lines += [rule for rule in _bass_rules(song) if rule.split()[1] in written]
    beats, _, unit = song.meter.partition("/")
    columns = grid(dice, (int(beats), int(unit)), tempo, swung=swung)
    used = " ".join(section.options for section in sections)
    for name in _PATTERN_NAMES[: 2 if _PATTERN_NAMES[1] in used else 1]:
        lines += ["", *pattern(dice, name, columns)]
    return lines


def _bass_rules(song: _Song) -> list[str]:
    """Now and then one of the song's chords stands on another note all through."""
    dice, palette = song.dice, song.palette
    if not dice.chance(0.3):
        return []
    used = {numeral for line in song.loops.values() for numeral in line} - {palette.home}
    for numeral in dice.shuffled(sorted(used)):
        bass = palette.third(numeral) if dice.chance(0.7) else palette.fifth(numeral)
        if bass and NUMERALS[numeral][2] in ("", "m"):
            return [f"bass: {palette.name(numeral)} = {bass}"]
    return []


def _words(dice: Dice) -> str:
    words = ["".join(dice.pick(_SYLLABLES) for _ in range(dice.count(1, 3))) for _ in range(5)]
    return "  " + " ".join(words)
