"""Strikes and a bar graph to the path that the player took."""

from evaluator.follow.follow import follow
from evaluator.follow.path import Path, PlacedStrike, PlayedBar

__all__ = ["Path", "PlacedStrike", "PlayedBar", "follow"]
