"""How do charts and takes come in, and reports go out?

The only place that opens them. Sizes are limited while reading, so that a file that
never ends does no harm; whatever cannot be read is told in a sentence that says what is
there instead. Files are written beside their place and then renamed, so that nobody ever
finds half a report.
"""

import errno
import os
import stat
from collections.abc import Iterable
from pathlib import Path
from typing import Final, Literal

from evaluator.errors import EvaluatorError
from evaluator.errors.system import reason
from evaluator.live.rights import write_whole

Role = Literal["chart", "take", "score", "rubric", "roster", "sheet"]

LIMITS: Final[dict[Role, int]] = {
    "chart": 1_000_000,
    "take": 20_000_000,
    "score": 20_000_000,
    "rubric": 1_000_000,
    "roster": 1_000_000,
    "sheet": 1_000_000,
}
"""Bytes: a chart is a page or two of text, a take of an hour is below one megabyte, a
symphony in MusicXML is about ten."""

NEAR: Final = 3
"""Names that are suggested for one that is not there."""
MOST_NAMES: Final = 5_000
"""Names of a folder that are compared for that."""


SCORE: Final = "a MusicXML score"
"""As `evaluator.take.foreign` calls it."""


class FileError(EvaluatorError):
    """A file that cannot be read or written; says which, why and what to do."""


def _quoted(path: str) -> str:
    """A path as a shell takes it in a command to be copied."""
    import shlex

    return shlex.quote(shown(path))


def read_chart_text(path: str) -> str:
    """The text of a chart file. Raises `FileError`, or `ChartError` if it is no text."""
    raw = _read(path, "chart")
    from evaluator.chart.lines import decode_chart
    from evaluator.take.foreign import text_kind

    kind = _kind(raw)
    if text_kind(_in_utf_8(raw)) == SCORE:
        kind = SCORE
    if kind:
        remedy = "A chart is a plain text file."
        if kind == SCORE:
            remedy = f"Make one of it: evaluator chart import {_quoted(path)} -o CHART"
        raise FileError(f"{shown(path)} is {kind}, not a chart. {remedy}")
    text = decode_chart(raw, file=shown(path))
    if not text.strip():
        raise FileError(f"{shown(path)} is empty.")
    return text


def read_take_bytes(path: str) -> bytes:
    """The bytes of a take; of a journal, as its file would be. Raises `FileError`."""
    raw = _read(path, "take")
    if _is_midi(raw):
        return raw
    from evaluator.live.journal import is_journal

    if not is_journal(raw):
        return raw
    from evaluator.live.sound_file import as_midi

    return as_midi(raw)


def read_score_bytes(path: str) -> bytes:
    """The bytes of a MusicXML score. Raises `FileError` for what can be seen to be none."""
    raw = _read(path, "score")
    kind = _kind(raw)
    if kind and not raw.startswith(b"PK"):
        raise FileError(f"{shown(path)} is {kind}, not a score. Scores are .musicxml or .mxl.")
    return raw


def read_sheet_bytes(path: str) -> bytes:
    """The bytes of a sheet with chords. Raises `FileError` for what can be seen to be none."""
    raw = _read(path, "sheet")
    kind = _kind(raw)
    if kind:
        remedy = "A sheet is a plain text file."
        if _is_midi(raw):
            remedy = f"A take is given as --take {_quoted(path)}"
        raise FileError(f"{shown(path)} is {kind}, not a sheet. {remedy}")
    return raw


def read_text(path: str, role: Role) -> str:
    """The text of a rubric or a roster. Raises `FileError`."""
    try:
        return _read(path, role).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileError(f"{shown(path)} is not UTF-8 text; save it as UTF-8.") from None


def are_swapped(chart: str, take: str) -> bool:
    """Whether the chart is a MIDI file and the take is text: they were given in the wrong order."""
    try:
        first, second = _read(chart, "take"), _read(take, "take")
    except FileError:
        return False
    from evaluator.take.foreign import text_kind

    return _is_midi(first) and text_kind(_in_utf_8(second)) is not None


def _in_utf_8(raw: bytes) -> bytes:
    """Bytes of a text in UTF-8; others as they are."""
    from evaluator.chart.utf_16 import decode_utf_16

    wide = decode_utf_16(raw, errors="replace")
    return raw if wide is None else wide.encode()


def write_text(path: str, text: str, *, private: bool = False) -> None:
    """Write a whole text as `write_pieces` does."""
    write_pieces(path, (text.encode("utf-8"),), private=private)


def write_bytes(path: str, content: bytes) -> None:
    """Write a whole file as `write_pieces` does."""
    write_pieces(path, (content,))


def write_pieces(path: str, pieces: Iterable[bytes], *, private: bool = False) -> None:
    """Write a whole file piece by piece, by another name first. Raises `FileError`.

    What is no ordinary file (a pipe, a device) is written to as it is. `private`: a new
    file is nobody else's to read, since there are names and marks in it; whoever has
    given a file other rights is left to it.
    """
    try:
        if _is_pipe_or_device(path):
            with open(path, "wb") as file:
                file.writelines(pieces)
            return
        target = Path(os.path.realpath(path))
        _check_writable(target)
        write_whole(target, pieces, own=private)
    except BrokenPipeError:
        raise
    except (OSError, ValueError) as error:
        raise FileError(f"{shown(path)} could not be written: {reason(error)}.") from None


def _is_pipe_or_device(path: str) -> bool:
    """Asked by the name as it was given: a pipe such as `/dev/fd/3` has no real one."""
    return os.path.exists(path) and not os.path.isfile(path) and not os.path.isdir(path)


def _check_writable(target: Path) -> None:
    """A file that its owner has locked stays: renaming would not ask. Raises `OSError`.

    `target` is a real path; a link that is left in it leads round in a circle.
    """
    if target.is_symlink():
        raise OSError(errno.ELOOP, "")
    if target.is_dir():
        raise IsADirectoryError(errno.EISDIR, "")
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, "")


def shown(path: str) -> str:
    """A file name as text; bytes that are none become a replacement sign."""
    try:
        return os.fsencode(path).decode("utf-8", errors="replace")
    except UnicodeEncodeError:  # a text that is no name in this locale
        return path.encode("utf-8", errors="replace").decode("utf-8")


def inside(folder: str, name: str) -> str:
    """The path of a file with a name of the program's own, in a locale of any encoding."""
    return os.path.join(folder, os.fsdecode(name.encode("utf-8")))


def _read(path: str, role: Role) -> bytes:
    limit = LIMITS[role]
    try:
        mode = os.stat(path).st_mode
        if stat.S_ISDIR(mode):
            raise FileError(f"{shown(path)} is a folder; give the {role} inside it.")
        if not (stat.S_ISREG(mode) or stat.S_ISFIFO(mode)):
            raise FileError(f"{shown(path)} is a device, not a file with a {role}.")
        with open(path, "rb") as file:
            raw = file.read(limit + 1)
    except FileNotFoundError:
        raise FileError(_not_there(path, role)) from None
    except (OSError, ValueError) as error:
        raise FileError(f"{shown(path)} could not be read: {reason(error)}.") from None
    if len(raw) > limit:
        raise FileError(
            f"{shown(path)} is larger than {limit // 1_000_000} MB; that is not a {role}."
        )
    if not raw:
        raise FileError(f"{shown(path)} is empty.")
    return raw


def _kind(raw: bytes) -> str | None:
    """What these bytes are, where that can be seen, and no text."""
    from evaluator.take.foreign import foreign_kind

    return "a MIDI file" if _is_midi(raw) else foreign_kind(raw)


def _is_midi(raw: bytes) -> bool:
    return raw.startswith(b"MThd") or (raw.startswith(b"RIFF") and raw[8:12] == b"RMID")


def _not_there(path: str, role: Role) -> str:
    folder = os.path.dirname(path) or "."
    if not os.path.isdir(folder):
        return f"There is no {role} {shown(path)}: the folder {shown(folder)} does not exist."
    near = _near(folder, os.path.basename(path))
    hint = f" Did you mean {' or '.join(shown(name) for name in near)}?" if near else ""
    return f"There is no {role} {shown(path)}.{hint}"


def _near(folder: str, name: str) -> list[str]:
    """Paths in the folder whose names come near, the nearest first."""
    from difflib import get_close_matches
    from itertools import islice

    try:
        with os.scandir(folder) as entries:
            names = [entry.name for entry in islice(entries, MOST_NAMES) if not entry.is_dir()]
    except OSError:
        return []
    by_folded = {there.casefold(): there for there in sorted(names)}
    near = get_close_matches(name.casefold(), by_folded, n=NEAR, cutoff=0.7)
    prefix = "" if folder == "." else folder
    return [os.path.join(prefix, by_folded[one]) for one in near]
