"""Where is a take kept, and how does it survive?

Beside the take's place lies its journal while it is recorded. At the end the take is
written from the journal, to another name first and then renamed, so that a reader finds
the whole of it or nothing; only then the journal goes. A journal that lies there when no
program writes it was left behind by a crash or a power cut: its take is written then.
"""

import os
import re
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

from evaluator.live.journal import MAGIC, is_journal, read_journal
from evaluator.live.record import TICKS
from evaluator.live.sound_file import recorded, to_midi
from evaluator.live.writer import in_use

SUFFIX: Final = ".journal"
LONGEST: Final = 180
"""Bytes of a song's name in the name of a file; file systems take 255 in all."""


@dataclass(frozen=True, slots=True)
class Saved:
    """A take in its file."""

    path: Path
    notes: int
    seconds: float


def journal_for(folder: Path, song: str, now: datetime) -> Path:
    """A free name for the journal of a take: date, time, song."""
    plain = re.sub(r"[^\w-]+", "_", song).strip("_").encode()[:LONGEST].decode(errors="ignore")
    stem = f"{now:%Y-%m-%d_%H-%M-%S}_{plain or 'take'}"
    path = folder / f"{stem}{SUFFIX}"
    number = 2
    while path.exists() or path.with_suffix(".mid").exists():
        path = folder / f"{stem}-{number}{SUFFIX}"
        number += 1
    return path


def save(journal: Path) -> Saved | None:
    """Write the take of a journal beside it; None if nothing was played. Raises `OSError`."""
    raw = journal.read_bytes()
    record = recorded(raw)
    if not record.begun:
        return None
    path = journal.with_suffix(".mid")
    write_whole(path, to_midi(record, title=read_journal(raw).facts.get("title", "")))
    track = record.track()
    notes = sum(velocity > 0 for _, _, velocity in track.notes)
    return Saved(path, notes, track.ticks / TICKS)


def finish(journal: Path) -> Saved | None:
    """The same, and the journal has done its work."""
    saved = save(journal)
    journal.unlink()
    return saved


def recover(folder: Path) -> Iterator[Saved]:
    """Finish the journals in a folder that nobody writes any more. Raises `OSError`."""
    for journal in sorted(folder.glob(f"*{SUFFIX}")):
        if in_use(journal) or not _is_ours(journal):
            continue
        saved = finish(journal)
        with suppress(OSError):
            journal.with_suffix(".log").unlink()
        if saved is not None:
            yield saved


def _is_ours(journal: Path) -> bool:
    """Whether this program wrote it, if only its beginning; another may use the same ending."""
    with journal.open("rb") as file:
        raw = file.read(64)
    return is_journal(raw) or MAGIC.encode().startswith(raw)


def write_whole(path: Path, raw: bytes) -> None:
    """Write a file so that nobody ever finds half of it. Raises `OSError`."""
    beside = path.with_name(f".{os.getpid()}-{time.time_ns():x}.part")
    try:
        with beside.open("xb") as file:
            file.write(raw)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
