"""When was nothing recorded although somebody may have been playing?

A piano whose cable comes out goes on sounding, and the recording has a hole. Takes that
this program recorded say so in a marker of the file, in words and with both times in
seconds, so that any program shows it to a person and no tempo map is needed to read it.
"""

import re
from dataclasses import dataclass
from typing import Final

from evaluator.take.model import Repair


@dataclass(frozen=True, slots=True)
class Gap:
    """Seconds of the take between which nothing could be heard."""

    start: float
    end: float


_MARK: Final = re.compile(rb"piano away from (\d{1,5}\.\d{3}) s to (\d{1,5}\.\d{3}) s")
SAY: Final = (
    "The piano was disconnected from {start} to {end}; what was played then is not in the "
    "take, and nothing is held against it."
)


def mark(gap: Gap) -> str:
    """The text of the marker."""
    return f"piano away from {gap.start:.3f} s to {gap.end:.3f} s"


def gaps_in(raw: bytes) -> tuple[Gap, ...]:
    """The gaps that a MIDI file tells of, in its order; none in other recorders' files."""
    found = (Gap(float(start), float(end)) for start, end in _MARK.findall(raw))
    return tuple(gap for gap in found if gap.end >= gap.start)


def told(gap: Gap) -> Repair:
    """The gap as something that must be known about the recording."""
    return Repair("gap", SAY.format(start=_clock(gap.start), end=_clock(gap.end)))


def _clock(seconds: float) -> str:
    return f"{int(seconds) // 60}:{int(seconds) % 60:02d}"
