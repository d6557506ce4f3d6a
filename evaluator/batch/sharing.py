"""How does a class of many thousand takes fit into memory?

What each take has of its own is a few numbers and a sentence; the bars that were heard, the
things that went wrong and the notes are the same in many. Equal values are kept once.
"""

from dataclasses import replace
from typing import Any, TypeVar

from evaluator.report.class_report import ClassTake

Value = TypeVar("Value")


class Sharing:
    """Gives back takes that share what is equal."""

    def __init__(self) -> None:
        self._known: dict[Any, Any] = {}

    def __call__(self, take: ClassTake) -> ClassTake:
        """The same take."""
        return replace(
            take,
            heard=self._one(take.heard),
            stumbles=self._one(tuple(map(self._one, take.stumbles))),
            notes=self._one(tuple(map(self._one, take.notes))),
            headline=self._one(take.headline),
            reckoning=self._one(take.reckoning),
        )

    def _one(self, value: Value) -> Value:
        one: Value = self._known.setdefault(value, value)
        return one
