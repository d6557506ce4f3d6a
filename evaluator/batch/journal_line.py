"""How is what became of a file written down, and read again?

One line of text: a checksum, then JSON with everything that the class needs of the take and,
packed, its document. What was shown or written elsewhere as it came (its report, its page,
its entry in the history) is not in it.
"""

import json
import zlib
from base64 import b85decode, b85encode
from dataclasses import fields
from typing import Any, Final

from evaluator.batch.class_run import Outcome
from evaluator.judge.verdict import Marks
from evaluator.report.class_report import ClassTake, Stumble

SUM: Final = 8
"""Characters of the checksum, which is followed by a space."""
PLAIN: Final = tuple(
    one.name for one in fields(ClassTake) if one.name not in ("marks", "notes", "heard", "stumbles")
)
"""Fields that JSON knows as they are."""


def line(key: str, outcome: Outcome) -> bytes:
    """The line of an outcome, which is found again by its key."""
    take = outcome.take
    found: dict[str, Any] = {name: getattr(take, name) for name in PLAIN}
    found["notes"] = take.notes
    found["heard"] = sorted(take.heard)
    found["stumbles"] = [(s.bar, s.kind, s.cost, s.case, s.words) for s in take.stumbles]
    if take.marks is not None:
        found["marks"] = [take.marks.overall, dict(take.marks.parts)]
    packed = (
        b85encode(zlib.compress(outcome.document.encode())).decode() if outcome.document else ""
    )
    text = json.dumps([key, found, packed]).encode("ascii")
    return b"%0*x %b\n" % (SUM, zlib.crc32(text), text)


def key_of(raw: bytes) -> str | None:
    """The key of a line; None if it is no whole line of ours."""
    found = _read(raw)
    return None if found is None else str(found[0])


def outcome_of(raw: bytes) -> Outcome:
    """What the line says became of the file. Raises `ValueError` if it is none of ours."""
    found = _read(raw)
    if found is None:
        raise ValueError("a line that was written a moment ago is another one now")
    return Outcome(_take(found[1]), document=_unpacked(found[2]))


def document_of(raw: bytes) -> str:
    """The document alone; empty if there is none."""
    found = _read(raw)
    return "" if found is None else _unpacked(found[2])


def _read(raw: bytes) -> list[Any] | None:
    total, _, text = raw.rstrip(b"\n").partition(b" ")
    if len(total) != SUM or not raw.endswith(b"\n") or total != b"%0*x" % (SUM, zlib.crc32(text)):
        return None
    found: list[Any] = json.loads(text)
    return found


def _take(found: dict[str, Any]) -> ClassTake:
    marks = found.get("marks")
    return ClassTake(
        marks=None if marks is None else Marks(*marks),
        notes=tuple(found["notes"]),
        heard=frozenset(found["heard"]),
        stumbles=tuple(
            Stumble(bar, kind, cost, case, tuple((name, word) for name, word in words))
            for bar, kind, cost, case, words in found["stumbles"]
        ),
        **{name: found[name] for name in PLAIN},
    )


def _unpacked(packed: str) -> str:
    return zlib.decompress(b85decode(packed)).decode() if packed else ""
