"""Where does the search for hostile input begin? With files that this project makes itself.

Sound and damaged MIDI files from the tests of the reader, charts that come with the program
and charts of the tests, and a few bars played as notes for `grade`.
"""

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Final

import numpy as np

from evaluator.chart import read_chart
from tests.against.test_midi_files_damaged import KEPT, REFUSED
from tests.bench.invent import invent
from tests.chart.test_kettle_lane import KETTLE_LANE
from tests.fuzz.drafts import SHEETS
from tests.fuzz.promises import LATE, SHORT, SONGS
from tests.playing import play
from tests.take.random_files import Habits, random_file

LONGEST: Final[Mapping[str, int]] = {
    "midi": 2000,
    "chart": 3000,
    "grade": 600,
    "cut": 64,
    "draft": 600,
    "folder": 400,
    "history": 40,
    "pipe": 3,
    "score": 12,
    "sheet": 3000,
}
"""Bytes of one input: small ones are tried quickly, and read by people."""
TYPED_OTHERWISE: Final = (
    b"Row\r\n\r\n[Verse 1]\r\n| C / G / | Am | % | N.C. | x2\r\nla la\r\n(repeat Verse 1)\r\n",
    "Lied\nStrophe: Am  E7  H7\nB  H  Em (let ring)\nla\n\nChorus x2\nF  C  G\n".encode("utf-16"),
    b"Verse\nG\tD/F#\tEm\nwords\nVerse 2\nothers\nChorus (same as Verse)\nlo\nEnd on G\n",
    b"no chord anywhere\nin this text\n",
)
CHARTS: Final = Path(__file__).parents[2] / "charts"


def _midi() -> Iterator[bytes]:
    yield from (raw for _, raw, _, _ in KEPT)
    yield from (raw for _, raw, _ in REFUSED)
    habits = Habits(overlaps=True, marks_in_any_track=True)
    yield from (random_file(seed, habits) for seed in range(40))


def _chart() -> Iterator[bytes]:
    texts = [KETTLE_LANE, *SONGS, *map(invent, range(10))]
    texts += [path.read_text(encoding="utf-8") for path in sorted(CHARTS.glob("*.txt"))]
    for text in texts:
        yield text.encode()
        # A song that is cut off after a heading is short enough to be played.
        head, *sections = text.split("\n[")
        for section in sections:
            lines = section.split("\n")[:3]
            yield (head + "\n[" + "\n".join(lines) + "\n").encode()


def _grade() -> Iterator[bytes]:
    for number, text in enumerate(SONGS):
        graph = read_chart(text)
        for seed in range(4):
            bars = graph.written[: min(SHORT, len(graph.written) - seed % 2)]
            take = play(graph, bars, seed=seed, tempo=0.8 + 0.2 * seed, jitter_ms=8.0 * seed)
            raw, before = bytearray([number]), 0.0
            for note in take.notes:
                since = round(255 * (max(0.0, note.onset - before) / LATE) ** 0.5)
                length = round(255 * ((note.offset - note.onset) / LATE) ** 0.5)
                before += LATE * (since / 255) ** 2
                raw += bytes((since, note.pitch, note.velocity, min(255, length)))
            yield bytes(raw)


def _cut() -> Iterator[bytes]:
    rng = np.random.default_rng(15)
    for seed in range(30):
        yield bytes((seed, rng.integers(256))) + rng.bytes(3 * (seed % 9))
    # Some bars are skipped and gone back for, and soon after it is over.
    yield bytes((len(SONGS), 0, 0, 11, 0, 14, 3, 2, 4, 2, 0))


def _draft() -> Iterator[bytes]:
    rng = np.random.default_rng(18)
    for seed in range(20):
        count = seed % 5
        yield bytes((seed, count)) + rng.bytes(3 * count)


def _sheet() -> Iterator[bytes]:
    yield from (sheet.encode() for sheet in SHEETS)
    yield from TYPED_OTHERWISE
    yield from (path.read_bytes() for path in sorted((CHARTS / "sheets").glob("*.txt")))
    # Texts of another kind, with chords in them.
    yield from _chart()


def _folder() -> Iterator[bytes]:
    rng = np.random.default_rng(13)
    for seed in range(24):
        kinds = (int(one) for one in rng.integers(0, 256, 4))
        others = (bytes(((seed + kind) % 256, kind, 20)) + rng.bytes(20) for kind in kinds)
        yield b"".join((bytes((5, 251, 0)) if seed % 2 else b"", *others))
    yield from (bytes((name, 251, 0)) for name in range(9))


def _history() -> Iterator[bytes]:
    rng = np.random.default_rng(12)
    yield b""
    yield from (rng.bytes(4 * (1 + seed % 3)) for seed in range(16))


def _pipe() -> Iterator[bytes]:
    yield from (bytes((call, 0, room)) for call in range(5) for room in (0, 90))


def _score() -> Iterator[bytes]:
    yield b""
    yield from (bytes((place, what, 7 * what % 256)) for what in range(28) for place in (what, 80))


SEEDS: Final[Mapping[str, Callable[[], Iterator[bytes]]]] = {
    "midi": _midi,
    "chart": _chart,
    "grade": _grade,
    "cut": _cut,
    "draft": _draft,
    "folder": _folder,
    "history": _history,
    "pipe": _pipe,
    "score": _score,
    "sheet": _sheet,
}

WORDS: Final[Mapping[str, tuple[bytes, ...]]] = {
    "midi": (
        *(b"MThd", b"MTrk", b"RIFF", b"RMID", b"data", b"\r\n", b"\0\xff\x2f\0", b"\xff\x51\3"),
        *(b"\xf0", b"\xf7", b"\x90", b"\x80", b"\xb0\x40\x7f", b"\xb0\x7b\0", b"\xff\xff\xff\x7f"),
        *(b"piano away from 0.000 s to 1.000 s", b"\xef\xbf\xbd"),
    ),
    "chart": (
        *(b"title: ", b"tempo: ", b"meter: ", b"key: ", b"bass: ", b"feel: swing ", b"pattern "),
        *(b"\n  left | ", b"\n  right | ", b"\n  count | ", b"bass: as written", b"\n[", b"]"),
        *(b" optional", b" tail x", b"\nor | ", b" | ", b"x2-4", b"x2+", b"N.C.", b"<C>", b"%"),
        *(b"2/4: ", b"6/8", b"(Gsus4)", b"m7b5", b"maj7", b"7(#9)", b"/F#", b"32/32", b"1/32"),
        *(
            b"C4+E4",
            b"D4,E4,F4",
            b"{D4,E4}",
            b"~tr",
            b"~rit",
            "♯".encode(),
            "Δ".encode(),
            b"\xff\xfe",
        ),
    ),
    "grade": (),
    "cut": (),
    "draft": (),
    "folder": (b"evaluator journal 1 {}", b"\nm 7.000000 0.500000 903c40\n", b"MThd", b"\r\n"),
    "history": (),
    "pipe": (),
    "score": (),
    "sheet": (
        *(
            b"\n[",
            b"]\n",
            b"Chorus:",
            b"(repeat Verse)",
            b"x2",
            b" x3",
            b"|",
            b"%",
            b"N.C.",
            b" / ",
        ),
        *(b"H7", b"Am7/G", b"Bbmaj7", b"F#m", b"(Gsus4)", b"\t", b"\r\n", b"End on C", b"\xff\xfe"),
        *(
            b"Key: A minor",
            b"Tempo: 90",
            b"Time: 3/4",
            b"Capo 2",
            b"like Verse",
            b"A- ",
            b"(let ring)",
        ),
    ),
}
"""Pieces that chance alone would hardly put together."""
