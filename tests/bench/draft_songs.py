"""Invents songs as a teacher has them: a chart in the head, a sheet on paper, ten fingers.

    song = invent_song(17)      # its chart, its sheet, and the song played; always the same

The chart has what makes charts hard to draft: a vamp, verses of words alone, split bars, a
short bar, a bass rule, colours, tails of two, three and four bars, a held last chord. The
sheet is typed from it as people type: a chord that goes on is not typed again, choruses that
come again are only named, a vamp stands once; tempo and meter stand at the top, the tempo
as well as one says it by heart. The take is played by tidy hands. Words are nonsense.
"""

from dataclasses import dataclass, field

from evaluator.chart import read_chart
from evaluator.chart.graph import BarGraph
from tests.bench.dice import Dice
from tests.bench.harmony import NUMERALS, Palette, loop, palette
from tests.bench.patterns import grid, pattern
from tests.playing import Performance, play, to_midi

_METERS = {"4/4": 0.64, "3/4": 0.2, "6/8": 0.16}
_TEMPI = {"4/4": (66, 144), "3/4": (84, 160), "6/8": (126, 210)}
_SPLITS = {"4/4": ("{} {}", "{} / / {}"), "3/4": ("{} / {}",), "6/8": ("{} {}",)}
_BY_HEART = 0.08
"""A tempo that is said is off by so much at most."""
_SYLLABLES = ("bo", "la", "mi", "ren", "tu", "sal", "ko", "ve", "dar", "nim", "pe", "lo", "shu")
_COLOURS = {"": ("sus4", "sus2", "add9"), "m": ("m7",), "7": ("7sus4",), "m7": ("m9",)}


@dataclass(frozen=True, slots=True)
class TeachersSong:
    """A song three times over."""

    chart: str
    sheet: str
    graph: BarGraph
    """Of the chart, with everything as it was played."""
    performance: Performance
    raw: bytes
    """The take as a MIDI file."""


@dataclass(slots=True)
class _Writing:
    """Chart and sheet, written side by side."""

    dice: Dice
    palette: Palette
    meter: str
    chart: list[str] = field(default_factory=list)
    sheet: list[str] = field(default_factory=list)

    def heading(self, name: str, options: str = "") -> None:
        self.chart += ["", f"[{name}] {options}".rstrip()]
        self.sheet += ["", self.dice.pick((f"[{name}]", f"{name}:", name))]

    def line(self, bars: list[str], words: str, *, count: int = 1, typed: bool = True) -> None:
        """Bars as a chart has them; on the sheet the chords that change."""
        self.chart.append(f"| {' | '.join(bars)} |" + (f" x{count}" if count > 1 else ""))
        self.chart.append(f"  {words}" if words else "")
        names: list[str] = []
        for bar in bars:
            for sign in bar.split(":")[-1].split():
                name = sign.strip("<>")
                if sign != "/" and not sign.startswith("(") and names[-1:] != [name]:
                    names.append(name)
        if typed:
            self.sheet.append(self.dice.pick(("   ", " " * 7, "\t")).join(names))
        self.sheet.append(words)


def invent_song(seed: int) -> TeachersSong:
    """Song number `seed`."""
    dice = Dice(seed, 18)
    meter = dice.weigh(_METERS)
    writing = _Writing(dice, palette(dice), meter)
    tempo = round(dice.between(*_TEMPI[meter]))
    rule = _sections(writing)
    beats, _, unit = meter.partition("/")
    head = [f"title: Song {seed}", f"meter: {meter}", f"tempo: {tempo}", *rule, ""]
    head += [
        row
        for row in pattern(dice, "hands", grid(dice, (int(beats), int(unit)), tempo, swung=False))
        if "as written" not in row
    ]
    said = round(tempo * dice.between(1 - _BY_HEART, 1 + _BY_HEART))
    sheet = [f"Song {seed}", "", f"Tempo: {said}", f"Time: {meter}", *writing.sheet]
    chart = "\n".join([*head, *writing.chart]) + "\n"
    graph = read_chart(chart)
    performance = play(
        graph,
        seed=seed,
        tempo=dice.between(0.97, 1.03),
        jitter_ms=8.0,
        spread_ms=5.0,
        wander_pct=1.0,
        uneven=5.0,
        rolled=0.03,
        octaves=0.2,
        leaps=0.1,
        thinned=0.1,
        coloured=0.5,
        pedal=dice.pick(("none", "changed")),
    )
    return TeachersSong(chart, "\n".join(sheet) + "\n", graph, performance, to_midi(performance))


def _sections(song: _Writing) -> list[str]:
    """The whole form; returns the header line of the bass rule, if there is one."""
    dice = song.dice
    verse, chorus = loop(dice, song.palette), loop(dice, song.palette)
    vamp = [song.palette.home, dice.pick(("IV", "bVII"))]
    if dice.chance(0.7):
        song.heading("Intro")
        song.line(_plain(song, vamp), "", count=dice.count(2, 5))
    first = [_bars(song, verse) for _ in range(dice.count(2, 3))]
    song.heading("Verse 1")
    for bars in first:
        song.line(bars, _words(dice))
    lines = [_bars(song, chorus) for _ in range(dice.count(1, 2))]
    if song.meter == "4/4" and dice.chance(0.6):
        _shorten(song, lines[-1])
    home = song.palette.name(song.palette.home)
    song.heading("Chorus")
    for bars in lines:
        song.line(bars, _words(dice))
    song.line([home], "", count=dice.count(2, 4))
    song.heading("Verse 2")
    for bars in first:
        song.line(bars, _words(dice), typed=False)
    _chorus_again(song)
    if dice.chance(0.5):
        song.heading("Bridge")
        song.line(_bars(song, loop(dice, song.palette)), _words(dice))
        _chorus_again(song)
    song.heading("Ending")
    song.line([song.palette.name("IV"), f"<{home}>"], _words(dice))
    return _rule(song, {*verse, *chorus})


def _chorus_again(song: _Writing) -> None:
    song.chart += ["", f"[Chorus] tail x{song.dice.count(2, 4)}"]
    song.sheet += ["", song.dice.pick(("[Chorus]", "(repeat Chorus)", "Chorus"))]


def _shorten(song: _Writing, bars: list[str]) -> None:
    """One bar of a line of half the length, on a chord of its own: beside bars of the same
    chord nobody could hear which of them it is."""
    place = song.dice.count(1, len(bars) - 1)
    about = {*bars[place - 1].split(), *" ".join(bars[place + 1 : place + 2]).split()}
    about.add(song.palette.name(song.palette.home))
    for numeral in song.dice.shuffled(["V", "IV", "vi", "bVII"]):
        if song.palette.name(numeral) not in about:
            bars[place] = f"2/4: {song.palette.name(numeral)}"
            return


def _plain(song: _Writing, numerals: list[str]) -> list[str]:
    return [song.palette.name(numeral) for numeral in numerals]


def _bars(song: _Writing, numerals: list[str]) -> list[str]:
    """A bar a chord, one of them now and then split, another coloured or over its third."""
    dice, bars = song.dice, _plain(song, numerals)
    place = dice.count(0, len(bars) - 1)
    others = [name for name in bars if name != bars[place]]
    turn = dice.weigh({"plain": 2.0, "split": 1.0, "colour": 1.5, "slash": 0.8})
    if turn == "split" and others:
        bars[place] = dice.pick(_SPLITS[song.meter]).format(bars[place], dice.pick(others))
    elif turn == "slash" and (third := song.palette.third(numerals[place])):
        bars[place] += f"/{third}"
    elif turn == "colour":
        root = song.palette.root(numerals[place])
        quality = bars[place].removeprefix(root.text) if root else None
        if root and quality in _COLOURS:
            bars[place] += f" ({root.text}{dice.pick(_COLOURS[quality])})"
    return bars


def _rule(song: _Writing, used: set[str]) -> list[str]:
    """One of the song's chords on its third or fifth all through."""
    if not song.dice.chance(0.5):
        return []
    for numeral in song.dice.shuffled(sorted(used - {song.palette.home})):
        third = song.palette.third(numeral)
        plain = any(song.palette.name(numeral) in row.split() for row in song.chart)
        if plain and third and NUMERALS[numeral][2] in ("", "m"):
            return [f"bass: {song.palette.name(numeral)} = {third}"]
    return []


def _words(dice: Dice) -> str:
    """A line of nonsense."""
    words = ["".join(dice.pick(_SYLLABLES) for _ in range(dice.count(2, 3))) for _ in range(5)]
    return " ".join(words)
