"""What of a class is graded already, so that a run that was broken off goes on where it stopped?

A file that is only ever added to, a line an outcome (`evaluator.batch.journal_line`), written
to the system as it comes and to the disk every second: the program may be killed at any moment,
and at most what was under way just then is done again. A line that was cut off, or is no such line,
is left out when reading. A line is found again only by the same program, chart, rubric, file,
name and bytes, so a chart or a take that was changed in between is graded anew.

The outcomes wait on the disk until all are there, not in memory; what is kept here of each is
its key and its place.
"""

import os
from collections import deque
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import asdict, dataclass, replace
from hashlib import sha256
from io import UnsupportedOperation
from time import monotonic
from typing import BinaryIO, Final

from evaluator.batch.class_run import ClassSetting, HandedIn, Outcome, grade_class
from evaluator.batch.crew import Crew
from evaluator.batch.journal_line import document_of, key_of, line, outcome_of
from evaluator.batch.program import fingerprint
from evaluator.errors import EvaluatorError

MAGIC: Final = b"evaluator run 1\n"
SYNC_SECONDS: Final = 1.0
"""What a failure of the power may cost."""


class JournalError(EvaluatorError):
    """The file is somebody else's."""


class Journal:
    """The file, open for reading and adding. Raises `JournalError`, `OSError`."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file
        self._places: dict[str, int] = {}
        self._order: list[int] = []
        self._synced = monotonic()
        self._read()

    def __len__(self) -> int:
        return len(self._places)

    def __contains__(self, key: str) -> bool:
        return key in self._places

    def outcome(self, key: str) -> Outcome:
        """What became of a file that is in the journal."""
        place = self._places[key]
        self._order.append(place)
        return outcome_of(self._line(place))

    def add(self, key: str, outcome: Outcome) -> None:
        """Put down what became of a file, for good."""
        place = self._file.seek(0, os.SEEK_END)
        self._file.write(line(key, outcome))
        self._file.flush()
        self._places[key] = place
        self._order.append(place)
        if monotonic() - self._synced >= SYNC_SECONDS:
            with suppress(UnsupportedOperation):  # it is in memory
                os.fsync(self._file.fileno())
            self._synced = monotonic()

    def documents(self) -> Iterator[str]:
        """The documents of this run, in the order in which its outcomes came."""
        for place in self._order:
            yield document_of(self._line(place))

    def _line(self, place: int) -> bytes:
        self._file.seek(place)
        return self._file.readline()

    def _read(self) -> None:
        """Learn what is there already, and begin a file that is new."""
        self._file.seek(0)
        first = self._file.readline()
        if not MAGIC.startswith(first):
            raise JournalError("it holds something else")
        raw = first
        place = len(first)
        while raw := self._file.readline():
            key = key_of(raw)
            if key is not None:
                self._places[key] = place
            place += len(raw)
        if first != MAGIC:  # new, or cut off in its first moment
            self._file.write(MAGIC[len(first) :])
        elif place:
            self._end_line(place)

    def _end_line(self, size: int) -> None:
        """What comes must not be joined to a line that was cut off."""
        self._file.seek(size - 1)
        if self._file.read(1) != b"\n":
            self._file.write(b"\n")


@dataclass(frozen=True, slots=True)
class Done:
    """What became of a file, and whether that was known from a run before."""

    key: str
    outcome: Outcome
    known: bool = False


def graded(
    setting: ClassSetting, files: Iterable[HandedIn], crew: Crew, journal: Journal
) -> Iterator[Done]:
    """One outcome for each file, in their order; only what is not in the journal is graded.

    Whoever uses an outcome adds it to the journal when it has done so.
    """
    same = _setting_key(setting)
    waiting: deque[tuple[str, HandedIn | None]] = deque()
    """Keys in the order of the files; with a file (without its bytes) if it is known."""

    def new() -> Iterator[HandedIn]:
        for file in files:
            key = _key(same, file)
            known = key in journal
            waiting.append((key, replace(file, content=b"") if known else None))
            if not known:
                yield file

    def known() -> Iterator[Done]:
        while waiting and (file := waiting[0][1]) is not None:
            key, _ = waiting.popleft()
            yield Done(key, _named(journal.outcome(key), file), known=True)

    for outcome in grade_class(setting, new(), crew):
        yield from known()
        key, _ = waiting.popleft()
        yield Done(key, outcome)
    yield from known()


def _named(outcome: Outcome, file: HandedIn) -> Outcome:
    """What is known from before, with what may have changed beside the take."""
    take = outcome.take
    page = file.page if take.page else ""
    return replace(outcome, take=replace(take, same_as=file.same_as, page=page))


def _setting_key(setting: ClassSetting) -> str:
    wanted = asdict(setting)
    wanted["rubric"]["counts"] = sorted(setting.rubric.counts)
    wanted["reports"] = wanted["kept"] = None  # shown and kept as they come
    return sha256(repr((fingerprint(), sorted(wanted.items()))).encode()).hexdigest()


def _key(same: str, file: HandedIn) -> str:
    named = repr((file.file, file.student, file.problem))
    return sha256(f"{same}\n{named}\n".encode("utf-8", "replace") + file.content).hexdigest()[:32]
