"""Entries of a journal, made from what was played."""

from evaluator.live.journal import Entry

START = 1000.0
"""Host seconds at which things begin."""


def opened(at: float = 0.0, name: str = "Piano") -> Entry:
    return Entry("open", START + at, text=name)


def gone(at: float) -> Entry:
    return Entry("gone", START + at)


def message(at: float, *raw: int, delta: float | None = None, late: float = 0.0) -> Entry:
    """A message of which driver and host agree, unless told otherwise."""
    return Entry("message", START + at + late, at if delta is None else delta, bytes(raw))


def stroke(at: float, pitch: int, velocity: int = 64, *, lasts: float = 0.2) -> list[Entry]:
    """A key down and up; deltas are so long that the host's time counts."""
    return [message(at, 0x90, pitch, velocity), message(at + lasts, 0x80, pitch, 64)]


def in_order(*entries: Entry) -> list[Entry]:
    return sorted(entries, key=lambda entry: entry.host)
