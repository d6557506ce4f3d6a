"""What came from the piano, so that nothing of it can be lost?

A text file that is only ever added to, one line a message, written through to the
system as it comes: whatever happens to the program, the lines are there. A line says
what the driver said and when the program saw it, so that a better rule can give old
takes better times.

    evaluator journal 1 {"chart": "kettle_lane", "began": "2025-03-01T17:20:05"}
    open 512.000481 Digital Piano
    m 514.201877 0.000000 903c40       message: host seconds, driver's delta, bytes
    gone 530.118204                    the piano is no longer there
    open 541.730092 Digital Piano      and is back
    refused 541.9 ...                  it is there and cannot be opened
    echo 514.211902 903c2d             the piano sent back what it was told to play
    begin 515.350000                   what came before was no part of the take (a count-in)

A line that was cut off by a power cut, or is no such line, is left out when reading.
"""

import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final, Literal

MAGIC: Final = "evaluator journal 1 "

EntryKind = Literal["message", "open", "gone", "refused", "begin", "echo"]


@dataclass(frozen=True, slots=True)
class Entry:
    """One line: what came, or what became of the connection."""

    kind: EntryKind
    host: float
    """Seconds of the host's clock."""
    delta: float = 0.0
    """Seconds after the message before, by the driver's clock."""
    raw: bytes = b""
    """The message's bytes."""
    text: str = ""
    """Name of the port, why it could not be opened, or the bytes of an echo in hex."""


@dataclass(frozen=True, slots=True)
class Journal:
    """A journal as far as it can be read."""

    facts: dict[str, str]
    """What its first line says of the take: `chart`, `began`."""
    entries: tuple[Entry, ...]
    unreadable: int
    """Whole lines that were left out."""


def head(facts: dict[str, str]) -> str:
    """The first line."""
    return f"{MAGIC}{json.dumps(facts)}\n"


def line(entry: Entry) -> str:
    """The line of one entry."""
    if entry.kind == "message":
        return f"m {entry.host:.6f} {entry.delta:.6f} {entry.raw.hex()}\n"
    text = " ".join(entry.text.split())
    return f"{entry.kind} {entry.host:.6f} {text}".rstrip() + "\n"


_MESSAGE: Final = re.compile(r"m (\d+\.\d{6}) (\d+\.\d{6}) ((?:[0-9a-f]{2})+)")
_EVENT: Final = re.compile(r"(open|gone|refused|begin|echo) (\d+\.\d{6})(?: (.*))?")


def parse_line(text: str) -> Entry | None:
    """The entry of one whole line without its end; None if it is no such line."""
    if found := _MESSAGE.fullmatch(text):
        host, delta, raw = found.groups()
        return Entry("message", float(host), float(delta), bytes.fromhex(raw))
    if found := _EVENT.fullmatch(text):
        kind, host, name = found.groups()
        return Entry(_KINDS[kind], float(host), text=name or "")
    return None


_KINDS: Final[dict[str, EntryKind]] = {
    "open": "open",
    "gone": "gone",
    "refused": "refused",
    "begin": "begin",
    "echo": "echo",
}


def is_journal(raw: bytes) -> bool:
    """Whether these bytes begin as a journal does."""
    return raw.startswith(MAGIC.encode())


def read_journal(raw: bytes) -> Journal:
    """Everything that can be read in a journal's bytes."""
    first, *rest = raw.decode("utf-8", errors="replace").split("\n")
    # What follows the last line end is a line that was never finished. An editor, or the way
    # from one system to another, may have changed the ends.
    entries = [parse_line(text.removesuffix("\r")) for text in rest[:-1]]
    whole = tuple(entry for entry in entries if entry is not None)
    return Journal(_facts(first), whole, len(entries) - len(whole))


def _facts(first: str) -> dict[str, str]:
    try:
        found = json.loads(first.removeprefix(MAGIC))
    except ValueError:
        return {}
    if not isinstance(found, dict):
        return {}
    return {str(name): str(fact) for name, fact in found.items()}


class LineSplitter:
    """Cuts a growing text into whole lines and reads their entries."""

    __slots__ = ("_rest",)

    def __init__(self) -> None:
        self._rest = b""

    def push(self, more: bytes) -> Iterator[Entry]:
        """Entries of the lines that are whole now."""
        *lines, self._rest = (self._rest + more).split(b"\n")
        return _entries(lines)


def _entries(lines: Iterable[bytes]) -> Iterator[Entry]:
    for raw in lines:
        entry = parse_line(raw.decode("utf-8", errors="replace"))
        if entry is not None:
            yield entry
