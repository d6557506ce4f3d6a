"""Is this file a MusicXML score that can be read without harm?

A score handed in by anybody may be broken or made to do harm: an archive that grows
without end when it is unpacked, entities that multiply, an element inside an element ten
thousand deep. Everything that a reader would stumble over is measured here first: sizes
in the directory of the archive before anything is unpacked, then the text in one pass of
the parser, which keeps nothing.
"""

import io
import re
import zipfile
import zlib
from collections import Counter
from typing import Any, Final
from xml.parsers import expat

from evaluator.chart.utf_16 import has_utf_16_mark
from evaluator.notation.score import ScoreError

MOST_BYTES = 20_000_000
"""Of the XML text. A symphony is about ten million."""
MOST_FILES = 500
"""Of an archive; a score has two, and its pictures."""
MOST: dict[str, tuple[int, str]] = {
    "note": (12_000, "notes"),
    "harmony": (3_000, "chord symbols"),
    "measure": (10_000, "bars in all its parts"),
}
"""Of a score. A sonata with all its movements has about ten thousand notes; beyond these
numbers reading takes minutes."""
MOST_BARS = 2_000
"""Of a part; the time goes with their square."""
MOST_DEEP = 64
"""MusicXML nests about twelve elements."""
MOST_ELEMENTS = 1_500_000

LARGEST: dict[str, float] = {
    "divisions": 1e6,
    "duration": 1e9,
    "fifths": 7,
    "beats": 64,
    "beat-type": 64,
    "staves": 16,
    "octave": 9,
    "alter": 3,
    "root-alter": 3,
    "bass-alter": 3,
    "degree-value": 13,
    "degree-alter": 3,
    "actual-notes": 1000,
    "normal-notes": 1000,
    "chromatic": 48,
    "diatonic": 48,
    "octave-change": 4,
}
"""How large a number, or a sum of them, may be, either way: a key of a billion sharps would be
worked out sharp by sharp."""
MOST_TIMES = 100
"""Of an ending or a repeat; every time of a range would be written out."""
TEMPI: Final = (10.0, 1000.0)
"""Beats a minute; a player's own limits lie well within."""

_CONTAINER = "META-INF/container.xml"
_ROOTS = ("score-partwise", "score-timewise")
_BLOCK = 1 << 16
_LONGEST_NUMBER = 40
_ENCODING = re.compile(r"""(<\?xml[^>]*?)\s+encoding=(?:"[^"]*"|'[^']*')""")
_NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:[eE]\d{1,3})?")
_OF_A_METER = ("beats", "beat-type")
_BEATS = re.compile(r"(?:\d+(?:\s*\+\s*\d+)*)?")
"""A number or a sum; what is neither takes the library minutes: 9,1-9."""


def safe_score(raw: bytes) -> bytes:
    """The MusicXML text of a file, packed (`.mxl`) or plain.

    Raises:
        ScoreError: with a sentence about what the file is, or what is wrong with it.
    """
    text = _in_utf8(_unpacked(raw) if raw.startswith(b"PK") else raw)
    if len(text) > MOST_BYTES:
        raise ScoreError(f"This score is larger than {MOST_BYTES // 1_000_000} MB.")
    _Scan().check(text)
    return text


def _in_utf8(text: bytes) -> bytes:
    """The text itself, or what it says in UTF-16 as UTF-8, which is all that music21 reads."""
    if not has_utf_16_mark(text):  # without one, a score says its encoding itself
        return text
    try:
        plain = text.decode("utf-16")
    except UnicodeDecodeError as error:
        raise ScoreError("This score is damaged: its UTF-16 text cannot be read.") from error
    return _ENCODING.sub(r"\1", plain, count=1).encode()


def _unpacked(raw: bytes) -> bytes:
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            entries = archive.infolist()
            if len(entries) > MOST_FILES:
                raise ScoreError(f"This archive holds {len(entries)} files; that is not a score.")
            by_name = {entry.filename: entry for entry in entries}
            return _read(archive, _score_entry(archive, by_name))
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError) as error:
        raise ScoreError("This archive is damaged and cannot be unpacked.") from error
    except (NotImplementedError, RuntimeError) as error:
        raise ScoreError("This archive is locked or packed in an unusual way.") from error


def _score_entry(archive: zipfile.ZipFile, by_name: dict[str, zipfile.ZipInfo]) -> zipfile.ZipInfo:
    """The entry that the container names, or the only one that can be a score."""
    if _CONTAINER in by_name:
        named = _root_file(_read(archive, by_name[_CONTAINER]))
        if named in by_name:
            return by_name[named]
    likely = [
        entry
        for name, entry in by_name.items()
        if name.lower().endswith((".xml", ".musicxml")) and not name.startswith("META-INF/")
    ]
    if not likely:
        raise ScoreError("There is no MusicXML score in this archive.")
    return likely[0]


def _read(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    if entry.file_size > MOST_BYTES:
        size = f"{entry.file_size / 1_000_000:.0f}"
        raise ScoreError(f"This score would be {size} MB unpacked; that is too much.")
    with archive.open(entry) as file:
        # The directory may lie about the size, so that it is counted again.
        return file.read(MOST_BYTES + 1)


def _root_file(container: bytes) -> str:
    found: list[str] = []

    def start(name: str, attributes: dict[str, str]) -> None:
        if name.rpartition(":")[2] == "rootfile":
            found.append(attributes.get("full-path", ""))

    parser = _parser()
    parser.StartElementHandler = start
    try:
        parser.Parse(container, True)
    except expat.ExpatError as error:
        raise ScoreError("The container of this archive is damaged.") from error
    return found[0] if found else ""


def _parser() -> Any:
    parser = expat.ParserCreate()
    parser.EntityDeclHandler = _refuse_entity
    return parser


def _refuse_entity(*_: object) -> None:
    raise ScoreError("This score defines entities of its own, which no score needs.")


class _Scan:
    """Reads the text once and keeps nothing but counts."""

    def __init__(self) -> None:
        self._depth = 0
        self._elements = 0
        self._bars = 0
        """Of the part so far."""
        self._counts: Counter[str] = Counter()
        self._number = ""
        """What stands in an element whose number is looked at."""

    def check(self, text: bytes) -> None:
        """Raises `ScoreError`."""
        parser = _parser()
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._text
        try:
            for place in range(0, len(text), _BLOCK):
                parser.Parse(text[place : place + _BLOCK], False)
            parser.Parse(b"", True)
        except expat.ExpatError as error:
            if not self._elements:
                raise ScoreError(
                    "This file is not MusicXML. Scores are .musicxml or .mxl."
                ) from error
            reason = expat.errors.messages.get(error.code, "it is not well formed")
            raise ScoreError(f"This score is damaged in line {error.lineno}: {reason}.") from error
        except (LookupError, ValueError) as error:  # an encoding that nobody knows
            raise ScoreError("This score is written in an unknown encoding.") from error
        if not self._counts["measure"]:
            raise ScoreError("There is no bar in this score.")

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        if not self._elements and name not in _ROOTS:
            raise ScoreError(f"This file is not MusicXML; it begins with <{name[:40]}>.")
        self._elements += 1
        self._depth += 1
        self._number = ""
        if self._depth > MOST_DEEP or self._elements > MOST_ELEMENTS:
            raise ScoreError("This file is not a score: it is nested or filled beyond measure.")
        if name == "ending":
            _check_times(attributes.get("number", ""))
        elif name == "sound" and "tempo" in attributes:
            _check_tempo(attributes["tempo"])
        if name == "part":
            self._bars = 0
        elif name == "measure":
            self._bars += 1
        if self._bars > MOST_BARS:
            raise ScoreError(f"This score has more than {MOST_BARS:,} bars.")
        if name in MOST:
            self._counts[name] += 1
            most, what = MOST[name]
            if self._counts[name] > most:
                raise ScoreError(f"This score has more than {most:,} {what}.")

    def _text(self, text: str) -> None:
        if len(self._number) < _LONGEST_NUMBER:
            self._number += text

    def _end(self, name: str) -> None:
        self._depth -= 1
        if name == "ending":
            _check_times(self._number)
        elif name == "per-minute":
            _check_tempo(self._number)
        largest = LARGEST.get(name)
        if largest is None:
            return
        said = self._number.strip()
        numbers = [abs(float(number)) for number in _NUMBER.findall(said)]
        odd = name in _OF_A_METER and not _BEATS.fullmatch(said)
        if odd or len(said) > _LONGEST_NUMBER or sum(numbers) > largest:
            raise _no_sense(said, name)


def _check_times(said: str) -> None:
    """Raises `ScoreError` for times of an ending that nobody plays."""
    numbers = re.findall(r"\d+", said)
    if len(said) > 2 * _LONGEST_NUMBER or any(len(n) > 3 or int(n) > MOST_TIMES for n in numbers):
        raise _no_sense(said, "an ending")


def _check_tempo(said: str) -> None:
    """Raises `ScoreError` for a tempo that nobody plays; words are none."""
    said = said.strip()
    if _NUMBER.fullmatch(said) and not TEMPI[0] <= float(said) <= TEMPI[1]:
        raise _no_sense(said, "a tempo")


def _no_sense(said: str, what: str) -> ScoreError:
    shown = said if len(said) <= _LONGEST_NUMBER else f"{said[: _LONGEST_NUMBER - 3]}..."
    return ScoreError(f"This score says {shown} for {what}, which makes no sense.")
