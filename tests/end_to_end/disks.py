"""Disks that take no more: by a limit that any system has, and a real one where it may be."""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final
from unittest import mock

from tests.cli.commands import UNCOMPILED, evaluator, program

FULL: Final = (
    "the disk is full",
    "it would be larger than files may be here",
    "the disk is read-only",
)
"""What is said of them."""


@dataclass(frozen=True, slots=True)
class Disk:
    """A folder in which nothing more than `room` bytes can be written, and a desk beside it."""

    folder: Path
    desk: Path
    limit: int | None = None
    """Bytes beyond which no file may grow, if that is what makes it full."""

    def evaluator(self, *words: str, **environment: str) -> subprocess.CompletedProcess[str]:
        """The command, run at the desk in this very process."""
        with _limited(self.limit):
            return evaluator(self.desk, *words, **UNCOMPILED, **environment)

    def program(self, *words: str) -> subprocess.CompletedProcess[str]:
        """The same in a process of its own."""
        with _limited(self.limit):
            return program(self.desk, *words, **UNCOMPILED)

    @property
    def names(self) -> list[str]:
        """What lies there, but for what fills it."""
        return sorted(path.name for path in self.folder.iterdir() if path.name != "filler")


@contextmanager
def _limited(size: int | None) -> Iterator[None]:
    """No file may grow beyond this here, nor where a process is started meanwhile."""
    if size is None:
        yield
        return
    import resource

    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        with mock.patch.object(sys, "dont_write_bytecode", True):
            yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


@contextmanager
def limited(desk: Path, room: int) -> Iterator[Disk]:
    """No file may be larger than `room`: `setrlimit` (POSIX)."""
    folder = desk / "disk"
    folder.mkdir()
    yield Disk(folder, desk, room)


@contextmanager
def mounted(desk: Path, room: int) -> Iterator[Disk]:
    """A file system in memory, filled but for about `room` bytes (whole pages of 4 kB)."""
    folder = desk / "disk"
    folder.mkdir()
    _mount(folder, 256)
    try:
        with (folder / "filler").open("wb", buffering=0) as filler:
            free = os.statvfs(folder).f_bavail * os.statvfs(folder).f_bsize
            filler.write(bytes(free - room))
        yield Disk(folder, desk)
    finally:
        subprocess.run(["umount", "--lazy", str(folder)], check=True)


@contextmanager
def read_only(desk: Path, _: int) -> Iterator[Disk]:
    """A file system in memory that is only there to be read."""
    folder = desk / "disk"
    folder.mkdir()
    _mount(folder, 16)
    try:
        subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
        yield Disk(folder, desk)
    finally:
        subprocess.run(["umount", "--lazy", str(folder)], check=True)


def _mount(folder: Path, kilobytes: int) -> None:
    words = ["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "tmpfs", str(folder)]
    subprocess.run(words, check=True, capture_output=True)


def may_mount() -> bool:
    """Whether this user may mount a file system here."""
    import tempfile

    if sys.platform != "linux":
        return False
    with tempfile.TemporaryDirectory() as folder:
        try:
            _mount(Path(folder), 16)
        except (OSError, subprocess.CalledProcessError):
            return False
        subprocess.run(["umount", "--lazy", folder], check=True)
    return True
