"""Chance that comes out the same each time: one seed, one course of events."""

from collections.abc import Mapping, Sequence
from typing import TypeVar

import numpy as np

T = TypeVar("T")


class Dice:
    """A seeded generator with the few throws that songs and students need."""

    def __init__(self, *seed: int) -> None:
        self.rng = np.random.default_rng(seed)

    def chance(self, share: float) -> bool:
        """True in that share of throws."""
        return bool(self.rng.random() < share)

    def pick(self, items: Sequence[T]) -> T:
        """One of the items, all alike likely."""
        return items[int(self.rng.integers(len(items)))]

    def weigh(self, weights: Mapping[T, float]) -> T:
        """One of the keys, each as likely as its weight says."""
        shares = np.cumsum(list(weights.values()))
        place = int(np.searchsorted(shares, self.rng.random() * shares[-1], side="right"))
        return list(weights)[min(place, len(weights) - 1)]

    def between(self, low: float, high: float) -> float:
        """A number from an interval, evenly."""
        return float(self.rng.uniform(low, high))

    def count(self, low: int, high: int) -> int:
        """A whole number from `low` to `high`, both included."""
        return int(self.rng.integers(low, high + 1))

    def shuffled(self, items: Sequence[T]) -> list[T]:
        """The items in another order."""
        return [items[int(place)] for place in self.rng.permutation(len(items))]
