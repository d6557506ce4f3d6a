"""When has somebody practised enough, for now or for today?

Ten minutes on one passage and thirty in all are the usual advice for students; a pause of the
hands is part of practising. Common practice among teachers, no source: what is right for one
person's hands is for that person's teacher to say, and what to do about pain, for a doctor.
"""

from dataclasses import dataclass, replace
from typing import Final, Literal

ON_ONE_PASSAGE: Final = 600.0
"""Seconds of playing one passage,"""
IN_ALL: Final = 1800.0
"""and of playing at all, after which the hands are to rest."""

Rest = Literal["passage", "all"]


@dataclass(frozen=True, slots=True)
class Stint:
    """How long was played since the last rest, and how long the lesson lasts by now. Seconds."""

    on_passage: float = 0.0
    in_all: float = 0.0
    spent: float = 0.0

    def after(self, seconds: float, *, playing: bool = True) -> "Stint":
        """The same so much later; only playing makes hands tired."""
        played = seconds if playing else 0.0
        return Stint(self.on_passage + played, self.in_all + played, self.spent + seconds)

    @property
    def due(self) -> Rest | None:
        """Which rest is due, if any."""
        if self.in_all >= IN_ALL:
            return "all"
        return "passage" if self.on_passage >= ON_ONE_PASSAGE else None

    def rested(self) -> "Stint":
        """The same after the rest that was due."""
        rested = self.other_passage()
        return replace(rested, in_all=0.0) if self.due == "all" else rested

    def other_passage(self) -> "Stint":
        """The same when another passage is begun."""
        return replace(self, on_passage=0.0)
