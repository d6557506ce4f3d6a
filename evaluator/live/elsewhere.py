"""Was it another place of the song that was played?

Asked of what was nowhere right in the passage: if the song as a whole explains it, bar for bar,
and most of that lies outside the passage, another place was meant.
"""

from typing import Final

from evaluator.errors import TakeError
from evaluator.excerpt.song import Song
from evaluator.grading import grade_fully

LEAST, CLEARLY = 2, 0.75
"""Bars of another place, and their part of what was played, that must be right for that place
to be believed to have been meant. Common practice, no source."""
TOLD: Final = 16
"""More bars than this are most of the song, rather than a place."""


def elsewhere(whole: Song, passage: set[int], midi_bytes: bytes) -> list[int]:
    """The numbers of the bars outside the passage that were played instead of it.

    Empty if the passage itself was meant, or nothing can be told. `passage`: numbers of its bars.
    """
    try:
        found = grade_fully(whole, midi_bytes).report
    except TakeError:
        return []
    right = [
        bar.number
        for bar in found.bars
        if bar.verdict.judged and all(fault.kind == "slip" for fault in bar.faults)
    ]
    outside = [number for number in right if number not in passage]
    enough = len(outside) >= LEAST and len(outside) >= CLEARLY * len(found.bars)
    return outside if enough else []
