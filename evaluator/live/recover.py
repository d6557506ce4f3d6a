"""Where is a take kept, and how does it survive?

Beside the take's place lies its journal while it is recorded. At the end the take is
written from the journal, to another name first and then renamed, so that a reader finds
the whole of it or nothing; only then the journal goes. A journal that lies there when no
program writes it was left behind by a crash or a power cut: its take is written then.

The folder may hold other things. Only journals of this program are touched, no take is
ever written over another, and a journal that cannot be read as a whole is put aside.
"""

import os
import re
import stat
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

from evaluator.live.journal import Journal, is_journal, read_journal
from evaluator.live.record import TICKS
from evaluator.live.rights import write_whole
from evaluator.live.sound_file import recorded, to_midi
from evaluator.live.writer import in_use

SUFFIX: Final = ".journal"
ASIDE: Final = ".unreadable"
"""What is added to the name of a journal that is put aside."""
HEAD: Final = 22
"""Bytes of a sound file of one track before its first event,"""
END_OF_TRACK: Final = b"\x00\xff\x2f\x00"
"""and the last ones (Standard MIDI Files 1.0)."""
LONGEST: Final = 180
"""Bytes of a song's name in the name of a file; file systems take 255 in all."""


@dataclass(frozen=True, slots=True)
class Saved:
    """A take in its file."""

    path: Path
    notes: int
    seconds: float


@dataclass(frozen=True, slots=True)
class Finished:
    """What became of a journal."""

    take: Saved | None
    """None if nothing was played."""
    aside: Path | None = None
    """Where the journal lies now, if not all of it could be read."""


def journal_for(folder: Path, song: str, now: datetime) -> Path:
    """A free name for the journal of a take: date, time, song."""
    plain = re.sub(r"[^\w-]+", "_", song).strip("_").encode()[:LONGEST].decode(errors="ignore")
    stem = f"{now:%Y-%m-%d_%H-%M-%S}_{plain or 'take'}"
    path = folder / f"{stem}{SUFFIX}"
    number = 2
    while os.path.lexists(path) or os.path.lexists(path.with_suffix(".mid")):
        path = folder / f"{stem}-{number}{SUFFIX}"
        number += 1
    return path


def save(journal: Path) -> Saved | None:
    """Write the take of a journal beside it; None if nothing was played. Raises `OSError`."""
    return _save(journal, read_journal(journal.read_bytes()))


def _save(journal: Path, content: Journal) -> Saved | None:
    record = recorded(content)
    if not record.begun:
        return None
    raw = to_midi(record, title=content.facts.get("title", ""))
    path = _place(journal, raw)
    write_whole(path, [raw], own=True)
    track = record.track()
    notes = sum(velocity > 0 for _, _, velocity in track.notes)
    return Saved(path, notes, track.ticks / TICKS)


def _place(journal: Path, raw: bytes) -> Path:
    """The journal's name as a take's, with a number if somebody else's take has it."""
    path, number = journal.with_suffix(".mid"), 2
    while os.path.lexists(path) and not _is_earlier(path, raw):
        path = journal.with_name(f"{journal.stem}-{number}.mid")
        number += 1
    return path


def _is_earlier(path: Path, raw: bytes) -> bool:
    """Whether a file is the take of these bytes as far as it was played when saved before."""
    if not stat.S_ISREG(path.lstat().st_mode):
        return False
    there = path.read_bytes()
    # Between the head, which has the track's length, and the end of the track.
    played = there[HEAD : -len(END_OF_TRACK)]
    return there.endswith(END_OF_TRACK) and raw[HEAD:].startswith(played) and bool(played)


def finish(journal: Path) -> Finished:
    """The same, and the journal has done its work. Raises `OSError`."""
    content = read_journal(journal.read_bytes())
    saved = _save(journal, content)
    if content.unreadable:
        return Finished(saved, _put_aside(journal))
    journal.unlink()
    return Finished(saved)


def _put_aside(journal: Path) -> Path:
    aside, number = journal.with_name(journal.name + ASIDE), 2
    while os.path.lexists(aside):
        aside = journal.with_name(f"{journal.name}{ASIDE}-{number}")
        number += 1
    return journal.rename(aside)


def left_behind(folder: Path) -> list[Path]:
    """The journals in a folder that this program wrote and writes no more."""
    return [path for path in sorted(folder.glob(f"*{SUFFIX}")) if _is_left_behind(path)]


def _is_left_behind(path: Path) -> bool:
    try:
        # A pipe would keep waiting whoever opens it; what a link leads to lies elsewhere.
        if not stat.S_ISREG(path.lstat().st_mode):
            return False
        with path.open("rb") as file:
            ours = is_journal(file.read(64))
    except OSError:
        return False
    return ours and not in_use(path)
