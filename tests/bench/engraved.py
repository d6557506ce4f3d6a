"""How is an invented piano piece printed as MusicXML?

A piece is a list of bars, each with the voices of two staves; the same value is printed here
and played by `tests.bench.engraved_player`, so what is written and what is struck are known
without any reader of scores. Elements and their order as in MusicXML 4.0 (W3C).

Lengths are quarter notes; keys are MIDI key numbers.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

DIVISIONS = 10080
"""A quarter note; every tuplet up to ten comes out even."""
SHARPS = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
FLATS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
ORNAMENTS = {
    "trill": "trill-mark",
    "mordent": "mordent",
    "upper mordent": "inverted-mordent",
    "turn": "turn",
    "inverted turn": "inverted-turn",
    "late turn": "delayed-turn",
    "schleifer": "schleifer",
}
STEADY_TYPES = {4: "whole", 2: "half", 1: "quarter", 0.5: "eighth", 0.25: "16th", 0.125: "32nd"}


@dataclass(frozen=True, slots=True)
class Item:
    """What a voice has for a while: keys struck together, or a rest."""

    length: Fraction
    keys: tuple[int, ...] = ()
    tied: bool = False
    """Held on in the next item."""
    graces: tuple[int, ...] = ()
    slashed: bool = True
    """The grace notes are short ones."""
    after: tuple[int, ...] = ()
    """Small notes at its end."""
    sign: str = ""
    """A key of `ORNAMENTS`, or fermata, roll, roll down, tremolo, tremolo with, staccato,
    glissando to the next one, or its end."""
    partner: tuple[int, ...] = ()
    """The keys with which a tremolo goes to and fro."""
    other_staff: bool = False
    """Printed on the staff of the other hand."""
    shown: bool = True
    cue: bool = False
    """In small print: an ossia's, or another instrument's."""


@dataclass(slots=True)
class Bar:
    """A bar as printed."""

    voices: dict[int, list[list[Item]]]
    """By staff, 1 the upper."""
    meter: tuple[int, int] = (4, 4)
    fifths: int = 0
    words: str = ""
    """Over its first note."""
    tempo: float | None = None
    """Printed over it, quarters a minute."""
    repeat_start: bool = False
    repeat_end: bool = False
    ending: str = ""
    ending_begins: bool = False
    ending_ends: bool = False
    jump: str = ""
    """`D.C. al Fine` and the like, at its end."""
    again: bool = False
    """Printed as the sign that the bar before comes again, which it does."""
    octave_up: bool = False
    """The upper staff under an 8va."""
    clef_octave: int = 0

    @property
    def length(self) -> Fraction:
        """Quarters of its longest voice."""
        return max(
            (
                sum((one.length for one in voice), Fraction())
                for v in self.voices.values()
                for voice in v
            ),
            default=Fraction(4 * self.meter[0], self.meter[1]),
        )


@dataclass(slots=True)
class Piece:
    """An invented piece."""

    title: str
    bars: list[Bar]
    order: list[int]
    """The printed bars as they are played with everything that the signs ask for."""
    short_order: list[int] = field(default_factory=list)
    """As they are played by one who takes no repeats; empty where that is the same."""


def print_piece(piece: Piece) -> bytes:
    """The piece as MusicXML."""
    shown: dict[str, object] = {"meter": None, "fifths": None, "clef": 0, "up": False, "last": {}}
    shown["again"] = False
    measures = "".join(
        _measure(number, bar, shown, last=number == len(piece.bars))
        for number, bar in enumerate(piece.bars, 1)
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0">'
        f"<work><work-title>{piece.title}</work-title></work>"
        '<part-list><score-part id="P1"><part-name>Piano</part-name></score-part></part-list>'
        f'<part id="P1">{measures}</part></score-partwise>'
    ).encode()


def _measure(number: int, bar: Bar, shown: dict[str, object], *, last: bool) -> str:
    body = "".join(_left_line(bar)) + _attributes(number, bar, shown) + _directions(bar, shown)
    whole = bar.length
    printed = {staff: [[Item(whole)]] for staff in bar.voices} if bar.again else bar.voices
    rows = [
        (staff, 4 * (staff - 1) + place, voice)
        for staff, voices in sorted(printed.items())
        for place, voice in enumerate(voices, 1)
    ]
    for place, (staff, voice, items) in enumerate(rows):
        if place:
            body += f"<backup><duration>{round(whole * DIVISIONS)}</duration></backup>"
        body += "".join(_voice(items, staff, voice, (bar, shown["last"])))
        filled = sum((one.length for one in items), Fraction())
        if filled < whole:
            body += f"<forward><duration>{round((whole - filled) * DIVISIONS)}</duration></forward>"
    if bar.jump:
        body += f"<direction><direction-type><words>{bar.jump}</words></direction-type>"
        body += f"<sound {_sound(bar.jump)}/></direction>"
    body += "".join(_right_line(bar, last=last))
    pickup = number == 1 and whole < Fraction(4 * bar.meter[0], bar.meter[1])
    implicit = ' implicit="yes"' if pickup else ""
    return f'<measure number="{0 if pickup else number}"{implicit}>{body}</measure>'


def _sound(jump: str) -> str:
    return 'fine="yes"' if jump == "Fine" else 'dacapo="yes"'


def _left_line(bar: Bar) -> Iterator[str]:
    if bar.repeat_start or bar.ending_begins:
        yield '<barline location="left">'
        if bar.ending_begins:
            yield f'<ending number="{bar.ending}" type="start"/>'
        if bar.repeat_start:
            yield '<repeat direction="forward"/>'
        yield "</barline>"


def _right_line(bar: Bar, *, last: bool) -> Iterator[str]:
    if bar.repeat_end or bar.ending_ends or last:
        yield '<barline location="right">'
        yield "<bar-style>light-heavy</bar-style>" if last or bar.repeat_end else ""
        if bar.ending_ends:
            yield f'<ending number="{bar.ending}" type="stop"/>'
        if bar.repeat_end:
            yield '<repeat direction="backward"/>'
        yield "</barline>"


def _attributes(number: int, bar: Bar, shown: dict[str, object]) -> str:
    said = f"<divisions>{DIVISIONS}</divisions>" if number == 1 else ""
    if shown["fifths"] != bar.fifths:
        said += f"<key><fifths>{bar.fifths}</fifths></key>"
    if shown["meter"] != bar.meter:
        said += f"<time><beats>{bar.meter[0]}</beats><beat-type>{bar.meter[1]}</beat-type></time>"
    if number == 1:
        said += "<staves>2</staves>"
    if number == 1 or shown["clef"] != bar.clef_octave:
        octave = (
            f"<clef-octave-change>{bar.clef_octave}</clef-octave-change>" if bar.clef_octave else ""
        )
        said += f'<clef number="1"><sign>G</sign><line>2</line>{octave}</clef>'
        said += '<clef number="2"><sign>F</sign><line>4</line></clef>' if number == 1 else ""
    if bar.again != shown["again"]:
        kind = '"start">1' if bar.again else '"stop">'
        said += f"<measure-style><measure-repeat type={kind}</measure-repeat></measure-style>"
    shown.update(meter=bar.meter, fifths=bar.fifths, clef=bar.clef_octave, again=bar.again)
    return f"<attributes>{said}</attributes>" if said else ""


def _directions(bar: Bar, shown: dict[str, object]) -> str:
    said = ""
    if bar.tempo is not None:
        mark = f"<beat-unit>quarter</beat-unit><per-minute>{bar.tempo:g}</per-minute>"
        said += f"<direction><direction-type><metronome>{mark}</metronome></direction-type>"
        said += f'<sound tempo="{bar.tempo:g}"/></direction>'
    if bar.words:
        said += (
            f"<direction><direction-type><words>{bar.words}</words></direction-type></direction>"
        )
    if bar.octave_up != shown["up"]:
        kind = "down" if bar.octave_up else "stop"
        said += f'<direction><direction-type><octave-shift type="{kind}" size="8"/>'
        said += "</direction-type><staff>1</staff></direction>"
        shown["up"] = bar.octave_up
    return said


def _voice(
    items: Sequence[Item], staff: int, voice: int, at: tuple[Bar, dict[int, Item]]
) -> Iterator[str]:
    """`at`: the bar, and the last item of each voice before it."""
    bar, last = at
    on = f"<voice>{voice}</voice>"
    before = last.pop(voice, None)
    for item in items:
        where = f"<staff>{3 - staff if item.other_staff else staff}</staff>"
        for key in item.graces:
            slash = ' slash="yes"' if item.slashed else ""
            pitch = _pitch(key, bar.fifths)
            yield f"<note><grace{slash}/>{pitch}{on}<type>16th</type>{where}</note>"
        yield from _note(item, before, (on, where), bar.fifths)
        for key in item.after:
            yield f"<note><grace/>{_pitch(key, bar.fifths)}{on}<type>16th</type>{where}</note>"
        before = item
    last[voice] = items[-1]


def _note(item: Item, before: Item | None, at: tuple[str, str], fifths: int) -> Iterator[str]:
    on, where = at
    duration = f"<duration>{round(item.length * DIVISIONS)}</duration>"
    kind, tuplet = _type(item.length)
    hidden = "" if item.shown else ' print-object="no"'
    small = "<cue/>" if item.cue else ""
    if not item.keys:
        held = "<notations><fermata/></notations>" if item.sign == "fermata" else ""
        yield f"<note{hidden}>{small}<rest/>{duration}{on}{kind}{tuplet}{where}{held}</note>"
        return
    held = before is not None and before.tied and before.keys == item.keys
    ties = ('<tie type="stop"/>' if held else "") + ('<tie type="start"/>' if item.tied else "")
    for place, key in enumerate(item.keys):
        chord = "<chord/>" if place else ""
        notations = _notations(item, first=not place)
        notations += ('<tied type="stop"/>' if held else "") + (
            '<tied type="start"/>' if item.tied else ""
        )
        notations = f"<notations>{notations}</notations>" if notations else ""
        yield (
            f"<note{hidden}>{small}{chord}{_pitch(key, fifths)}{duration}{ties}{on}{kind}{tuplet}"
            f"{where}{notations}</note>"
        )


def _notations(item: Item, *, first: bool) -> str:
    if item.sign == "roll":
        return "<arpeggiate/>"
    if item.sign == "roll down":
        return '<arpeggiate direction="down"/>'
    if not first:
        return ""
    if item.sign in ORNAMENTS:
        return f"<ornaments><{ORNAMENTS[item.sign]}/></ornaments>"
    if item.sign == "tremolo":
        return '<ornaments><tremolo type="single">3</tremolo></ornaments>'
    if item.sign in ("tremolo start", "tremolo stop"):
        return f'<ornaments><tremolo type="{item.sign[8:]}">3</tremolo></ornaments>'
    if item.sign in ("glissando", "glissando end"):
        kind = "stop" if item.sign.endswith("end") else "start"
        return f'<glissando type="{kind}" number="1" line-type="wavy"/>'
    if item.sign == "staccato":
        return "<articulations><staccato/></articulations>"
    return "<fermata/>" if item.sign == "fermata" else ""


def _type(length: Fraction) -> tuple[str, str]:
    """The printed note value, and of which tuplet it is."""
    for value, name in STEADY_TYPES.items():
        plain = Fraction(value)
        for dots, factor in (("", Fraction(1)), ("<dot/>", Fraction(3, 2))):
            if length == plain * factor:
                return f"<type>{name}</type>{dots}", ""
        for actual, normal in ((3, 2), (5, 4), (6, 4), (7, 4), (7, 8), (9, 8), (2, 3), (4, 3)):
            if length == plain * normal / actual:
                return f"<type>{name}</type>", (
                    f"<time-modification><actual-notes>{actual}</actual-notes>"
                    f"<normal-notes>{normal}</normal-notes></time-modification>"
                )
    return "", ""


def _pitch(key: int, fifths: int) -> str:
    name = (FLATS if fifths < 0 else SHARPS)[key % 12]
    alter = {"#": 1, "b": -1}.get(name[1:], 0)
    return (
        f"<pitch><step>{name[0]}</step><alter>{alter}</alter>"
        f"<octave>{key // 12 - 1}</octave></pitch>"
    )
