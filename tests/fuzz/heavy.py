"""What would make a careless reader slow?

Families of input that each say one thing n times over, made so that a reader which goes
back to the beginning for every new piece has to do it n times. `HEAVY` names the reader,
the families, and how many bytes it reads at most.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from evaluator.batch.students import read_roster
from evaluator.chart import read_chart
from evaluator.judge.rubric_text import read_rubric
from evaluator.take.gaps import gaps_in
from evaluator.take.midi_file import read_take
from evaluator.take.strike import strikes
from tests.take.build import chunk, control, end, header, meta, midi, off, on, tempo

HELD: Final = b"".join(
    on(0, pitch, channel=channel) for channel in range(16) if channel != 9 for pitch in range(128)
)
"""Every key of every channel struck, and none let go."""
NOTE: Final = on(0, 60) + off(1, 60)
TORN: Final = 0xFFFFFFFF

MIDI: Final[Mapping[str, Callable[[int], bytes]]] = {
    "notes": lambda n: midi((on(1, 60) + off(1, 60)) * n),
    "a key struck and never let go": lambda n: midi(on(1, 60) * n),
    "a key struck often, then let go as often": lambda n: midi(on(1, 60) * n + off(1, 60) * n),
    "everything at one instant": lambda n: midi(b"".join(on(0, p % 128) for p in range(n))),
    "all keys held, then silence again and again": lambda n: midi(HELD + control(0, 123, 0) * n),
    "silences in turn, and a key that is never let go": lambda n: midi(
        HELD + b"".join(on(0, 60, channel=k % 9) + control(0, 123, 0, k % 9) for k in range(n))
    ),
    "pedal up and down": lambda n: midi(
        on(0, 60) + (control(1, 64, 127) + control(1, 64, 0)) * n + off(0, 60)
    ),
    "tempo changes": lambda n: midi(on(0, 60) + tempo(1, 5) * n),
    "messages that have no place": lambda n: midi(b"\0\xf4" * n + NOTE),
    "data without a message": lambda n: midi(b"\0\x10\xf4" * n + NOTE),
    "markers of gaps": lambda n: midi(meta(0, 6, b"piano away from 0.000 s to 1.000 s") * n + NOTE),
    "tracks": lambda n: header(min(n, 1000)) + chunk(b"MTrk", NOTE + end()) * n,
    "tracks of no length": lambda n: header(min(n, 1000)) + chunk(b"MTrk", NOTE + end(), 0) * n,
    "tracks without an end": lambda n: header(min(n, 1000)) + chunk(b"MTrk", NOTE, TORN) * n,
    "track marks": lambda n: header(min(n, 1000)) + b"MTrk" * n,
    "unknown chunks": lambda n: header(1) + chunk(b"ABCD", b"") * n + midi(NOTE)[14:],
    "junk of many kinds": lambda n: header(1) + b"AB\0\1MTr\xff\xff\xff\xff" * n + midi(NOTE)[14:],
    "RIFF chunks": lambda n: (
        b"RIFF\0\0\0\0RMID" + b"abcd\0\0\0\0" * n + b"data\0\0\1\0" + midi(NOTE)
    ),
    "line ends": lambda n: midi(meta(0, 1, b"\n" * n) + NOTE).replace(b"\n", b"\r\n"),
}

TOP: Final = "title: Tin Bird\ntempo: 90\n"
ALL: Final = TOP + "[A]\n"

CHART: Final[Mapping[str, Callable[[int], str]]] = {
    "lines": lambda n: ALL + "| C | D |\n" * n,
    "one long line": lambda n: ALL + "|" + " C |" * n,
    "bars with exact notes": lambda n: ALL + "| C |\n right | C4 E4 |\n" * n,
    "grace notes": lambda n: ALL + "| C |\n right | {" + "D4," * n + "D4}C4 |\n",
    "braces": lambda n: ALL + "| C |\n right | " + "{" * n + "C4 |\n",
    "signs behind a note": lambda n: ALL + "| C |\n right | C4" + "~tr" * n + " |\n",
    "counted lines": lambda n: ALL + "| C | x2\n" * n,
    "lines that may be played from once to four times": lambda n: ALL + "| C | x1-4\n" * n,
    "lines without an upper count": lambda n: ALL + "| C | x2+\n" * n,
    "one count": lambda n: ALL + f"| C | x{n}\n",
    "a range of counts": lambda n: ALL + f"| C | x1-{n}\n",
    "other ways": lambda n: ALL + "| C |\n" + "or | D |\n" * n,
    "other ways, counted": lambda n: ALL + f"| C | x{n}\n" + "or | D |\n" * 5,
    "a section again": lambda n: ALL + "| C |\n" + "[A]\n" * n,
    "sections": lambda n: TOP + "".join(f"[A{k}]\n| C |\n" for k in range(n)),
    "optional sections": lambda n: TOP + "".join(f"[A{k}] optional\n| C |\n" for k in range(n)),
    "sections that are not there": lambda n: TOP + "".join(f"[A{k}]\n" for k in range(n)),
    "versions of a section": lambda n: (
        TOP + "".join(f"[A]\n| C | x{k % 7 + 1}\n" for k in range(n)) + "[A]\n" * n
    ),
    "patterns": lambda n: (
        TOP + "".join(f"pattern p{k}\n left | x |\n" for k in range(n)) + "[A]\n| C |\n"
    ),
    "columns of a pattern": lambda n: TOP + "pattern p\n left | " + "x " * n + "|\n[A]\n| C |\n",
    "bass rules": lambda n: TOP + "bass: " + ", ".join(["C = D"] * n) + "\n[A]\n| C |\n",
    "header lines": lambda n: TOP + "tempo: 90\n" * n + "[A]\n| C |\n",
    "mistakes": lambda n: ALL + "| Q |\n" * n,
    "parentheses": lambda n: ALL + "| C " + "(" * n + " |",
    "colours": lambda n: ALL + "| C (" + "D(b5) " * n + ") |",
    "slashes": lambda n: ALL + "| C" + " /" * n + " |",
    "a chord": lambda n: ALL + "| C" + "7(b5)" * n + " |",
    "letters that are no chord": lambda n: ALL + "| C" + "x" * n + " |",
    "brackets": lambda n: TOP + "[" * n,
    "options": lambda n: TOP + "[A] " + "optional " * n + "\n| C |",
    "words": lambda n: ALL + "| C |\n" + "la la\n" * n,
    "spaces before a bar line": lambda n: ALL + "| C |\nor" + " " * n + "x\n",
    "digits": lambda n: "title: x\ntempo: " + "9" * n + "\n[A]\n| C |",
    "lines that say nothing": lambda n: "la\n" * n,
    "carriage returns": lambda n: ALL + "| C |\n" + "\r" * n,
}

ROSTER: Final[Mapping[str, Callable[[int], str]]] = {
    "students": lambda n: "pattern,name\n" + "".join(f"a{k}*,Student {k}\n" for k in range(n)),
    "rows without a name": lambda n: "pattern,name\n" + "x,\n" * n,
    "columns": lambda n: "pattern,name" + ",x" * n,
    "an open quotation mark": lambda n: 'pattern,name\n"' + "x\n" * n,
}

RUBRIC: Final[Mapping[str, Callable[[int], str]]] = {
    "keys": lambda n: "".join(f"k{k} = 1\n" for k in range(n)),
    "tables": lambda n: "".join(f"[t{k}]\n" for k in range(n)),
    "keys of a table": lambda n: "[counts]\n" + "".join(f"k{k} = 1\n" for k in range(n)),
    "lists within lists": lambda n: "name = " + "[" * n,
    "a dotted key": lambda n: "a" + ".a" * n + " = 1",
    "quotation marks": lambda n: "name = " + '"' * n,
}


def _read_notes(raw: bytes) -> None:
    gaps_in(raw)
    strikes(read_take(raw))


@dataclass(frozen=True, slots=True)
class Reader:
    """One reader with what is heavy for it."""

    read: Callable[..., object]
    families: Mapping[str, Callable[[int], bytes | str]]
    most: int
    """Bytes that it is given at most."""


HEAVY: Final[Mapping[str, Reader]] = {
    "midi": Reader(_read_notes, MIDI, 20_000_000),
    "chart": Reader(read_chart, CHART, 1_000_000),
    "roster": Reader(read_roster, ROSTER, 1_000_000),
    "rubric": Reader(read_rubric, RUBRIC, 20_000),
}
