"""What holds whatever people do, and whatever lies about?

Four promises in the manner of `tests.fuzz.promises`, for what the program is used with:

cut      pieces of a song in any order, skipped, looped, broken off: graded twice alike, as
         a whole, as a passage played round and round or for one hand, and followed live
folder   any files in the folder of the takes: none is changed or deleted but the journals
         that the program itself left behind, and of those nothing is lost
history  a history damaged anywhere: what can be read is read, a take is kept, and nothing
         is left once all is forgotten
pipe     an output that is closed after any number of bytes costs no file
"""

import io
import os
import stat
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Final
from unittest.mock import patch

from evaluator.chart import read_chart
from evaluator.cli.main import main
from evaluator.excerpt.song import Song
from evaluator.grading import prepare
from evaluator.history.entry import Entry
from evaluator.history.reading import entries, read
from evaluator.history.store import opened
from evaluator.history.trouble import HistoryError
from evaluator.judge.rubric import STEADY
from evaluator.live.journal import is_journal, read_journal
from evaluator.live.recover import finish, left_behind
from evaluator.live.session import Session, Settings
from evaluator.live.sound_file import recorded
from evaluator.take.midi_file import read_take
from tests.chart.test_kettle_lane import KETTLE_LANE
from tests.fuzz.promises import SONGS, check_graded
from tests.history.kept import entry, keep_all
from tests.live.stage import entries_of
from tests.playing import Fault, Pause, Restart, play, to_midi

CHARTS: Final = (*SONGS, KETTLE_LANE)
LONGEST_TAKE: Final = 60
"""Bars of a cut-up take."""
PIECE: Final = 3
"""Bytes of a piece: where it begins, how long it is, and what comes after it."""


def cut_up(raw: bytes) -> bool:
    """The first byte is the song, the second what of it is graded; then piece by piece."""
    if len(raw) < 2 + PIECE:
        return False
    song, live = _song(raw[0] % len(CHARTS), raw[1])
    graph = read_chart(CHARTS[raw[0] % len(CHARTS)])
    order: list[int] = []
    faults: list[Fault] = []
    for place in range(2, len(raw) - PIECE + 1, PIECE):
        start, length, then = raw[place : place + PIECE]
        start %= len(graph.written)
        order += graph.written[start : start + 1 + length % 12]
        beats = float(graph.bars[order[-1]].beats)
        if then % 4 == 1:
            faults.append(Pause(len(order) + 1, 0.0, 0.5 + then / 32))
        elif then % 4 == 2:
            faults.append(Restart(len(order), (0.05 + then / 300) * beats, then / 64))
        if len(order) >= LONGEST_TAKE:
            break
    parted = [one for one in faults if one.bar <= len(order) - isinstance(one, Restart)]
    take = to_midi(play(graph, order, faults=parted))
    if live:
        _listen(song, take)
    return check_graded(song, take, STEADY)


@cache
def _song(number: int, part: int) -> tuple[Song, bool]:
    """What is graded, and whether it is followed live first."""
    text = CHARTS[number]
    bars = read_chart(text).count
    first = 1 + (part >> 4) % bars
    has_pattern = any(bar.strikes for bar in read_chart(text).bars)
    hand = (None, None, "left", "right")[part % 4] if has_pattern else None
    if part & 4:
        return prepare(text, hand=hand, bars=f"{first}-{min(bars, first + part % 7)}"), False
    return prepare(text, hand=hand), hand is None and bool(part & 8)


def _listen(song: Song, take: bytes) -> None:
    session = Session(song, Settings())
    now = 0.0
    for one in entries_of(read_take(take)):
        now = one.host
        session.take_in(one, now)
        session.step(now)
    session.finish(now + 30.0)
    session.page(now + 30.0)


NAMES: Final = (
    *("Anna.journal", "Anna.mid", "Anna.log", "Anna-2.mid", "Anna.journal.unreadable"),
    *("Ben.journal", "Ben.mid", ".journal", "x.journal.journal"),
)
JOURNAL: Final = (
    b'evaluator journal 1 {"title": "Row"}\nopen 4.000000 Piano\n'
    b"m 5.000000 0.000000 903c40\nm 5.500000 0.500000 803c40\ngone 6.000000\n"
)


def takes_folder(raw: bytes) -> bool:
    """Files, each a byte for its name, one for its kind, one for its length, its bytes."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        _lay_out(folder, raw)
        before = _contents(folder)
        journals = left_behind(folder)
        assert all(is_journal(before[path.name]) for path in journals)
        taken = {path.name: finish(path) for path in journals}
        after = _contents(folder)
        for there, content in before.items():
            if there not in taken:
                assert after.pop(there) == content
        for there, finished in taken.items():
            journal = read_journal(before[there])
            begun = recorded(journal).begun
            assert begun == (finished.take is not None)
            assert finished.take is None or len(read_take(after.pop(finished.take.path.name)))
            assert bool(journal.unreadable) == (finished.aside is not None)
            assert finished.aside is None or after.pop(finished.aside.name) == before[there]
        assert not after
        return bool(taken)


def _lay_out(folder: Path, raw: bytes) -> None:
    place = 0
    while place + 3 <= len(raw):
        name, kind, length = raw[place : place + 3]
        content = raw[place + 3 : place + 3 + length]
        place += 3 + length
        path = folder / NAMES[name % len(NAMES)]
        if os.path.lexists(path):
            continue
        if kind % 8 == 0:
            path.symlink_to("elsewhere")
        elif kind % 8 == 1:
            os.mkfifo(path)
        elif kind % 8 == 2:
            path.mkdir()
        elif kind % 8 == 3:
            path.write_bytes(JOURNAL[: len(JOURNAL) * kind // 255] + content)
        else:
            path.write_bytes(content)


def _contents(folder: Path) -> dict[str, bytes]:
    """What every thing in the folder is and holds."""
    found = {}
    for path in folder.iterdir():
        mode = path.lstat().st_mode
        ordinary = stat.S_ISREG(mode)
        found[path.name] = path.read_bytes() if ordinary else b"%o" % stat.S_IFMT(mode)
    return found


KEPT: Final = tuple(
    entry(f"take-{number}", day=number, student="Wilhelmina" if number % 2 else "Bo")
    for number in range(40)
)


@cache
def _sound_history() -> bytes:
    with tempfile.TemporaryDirectory() as name:
        file = Path(name) / "history.db"
        keep_all(file, KEPT)
        with opened(file) as history:  # so that all of it is in the one file
            history._connection.execute("PRAGMA journal_mode = DELETE")
        return file.read_bytes()


def damaged_history(raw: bytes) -> bool:
    """Every four bytes a damage: where, in two of them, how long, and with what."""
    content = bytearray(_sound_history())
    for place in range(0, len(raw) - 3, 4):
        high, low, length, value = raw[place : place + 4]
        at = (high << 8 | low) * len(content) >> 16
        content[at : at + 1 + length] = bytes([value]) * len(content[at : at + 1 + length])
    with tempfile.TemporaryDirectory() as name:
        file = Path(name) / "history.db"
        file.write_bytes(content)
        try:
            readable = {_key(one) for one in read(file).entries}
        except HistoryError:
            readable = set()
        try:
            keep_all(file, [entry("new")])
            assert {*readable, _key(entry("new"))} <= {_key(one) for one in entries(file)}
            with opened(file) as history:
                history.forget(chart=None, student=None)
        except HistoryError as error:
            if "newer version" not in str(error):
                raise
            return False
        assert entries(file) == ()
        left = [path.name for path in file.parent.iterdir() if b"Wilhelmina" in path.read_bytes()]
        assert left == []
        return readable >= {_key(one) for one in KEPT}


def _key(one: Entry) -> tuple[object, ...]:
    """By which the history knows a take."""
    return one.chart, one.take, one.student, one.part, one.rubric, one.scoring


CALLS: Final = (
    ("grade", "row.txt", "a.mid", "--csv", "c.csv", "--json", "c.json", "--html", "pages"),
    ("grade", "row.txt", ".", "--csv", "c.csv", "--json", "c.json", "--html", "pages"),
    ("grade", "row.txt", ".", "--csv", "c.csv", "--json", "c.json", "--reports", "--plain"),
    ("grade", "row.txt", ".", "--csv", "-", "--json", "c.json"),
    ("grade", "row.txt", "a.mid", "--json", "-", "--csv", "c.csv"),
)


def broken_pipe(raw: bytes) -> bool:
    """A call, and after how many bytes its output is closed."""
    number, room = (raw[0] if raw else 0) % len(CALLS), int.from_bytes(raw[1:3], "big")
    found, status = _written(number, room)
    assert found == _whole(number)
    assert status == 0
    return True


@cache
def _whole(number: int) -> dict[str, bytes]:
    return _written(number, 1 << 30)[0]


class _Closing(io.RawIOBase):
    """A pipe that somebody closes after so many bytes."""

    def __init__(self, room: int) -> None:
        self.room = room
        self._nowhere = os.open(os.devnull, os.O_WRONLY)

    def writable(self) -> bool:
        return True

    def fileno(self) -> int:
        return self._nowhere

    def write(self, raw: bytes) -> int:  # type: ignore[override]
        if self.room <= 0:
            raise BrokenPipeError(32, "Broken pipe")
        taken = min(len(raw), self.room)
        self.room -= taken
        return taken

    def close(self) -> None:
        if not self.closed:
            os.close(self._nowhere)
        super().close()


def _written(number: int, room: int) -> tuple[dict[str, bytes], int]:
    """The files that a call writes, by name, and its exit status."""
    with _desk() as folder, _Closing(room) as pipe:
        buffer = io.BufferedWriter(pipe, 512)
        stream = io.TextIOWrapper(buffer, encoding="utf-8", write_through=True)
        before = set(folder.rglob("*"))
        with patch.object(sys, "stdout", stream), patch.object(sys, "stderr", io.StringIO()):
            status = main([*CALLS[number], "--no-history", "--jobs", "1"])
        pipe.room = 1 << 30
        stream.close()
        new = sorted(path for path in folder.rglob("*") if path not in before and path.is_file())
        return {str(path.relative_to(folder)): path.read_bytes() for path in new}, status


@contextmanager
def _desk() -> Iterator[Path]:
    """A folder with a chart and two takes to be in."""
    graph = read_chart(SONGS[0])
    here = Path.cwd()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "row.txt").write_text(SONGS[0], encoding="utf-8")
        (folder / "a.mid").write_bytes(to_midi(play(graph)))
        (folder / "b.mid").write_bytes(to_midi(play(graph, graph.written[:-1])))
        os.chdir(folder)
        try:
            yield folder
        finally:
            os.chdir(here)
