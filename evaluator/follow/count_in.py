"""Did the player count in on a key before the song?

Students count in aloud and strike one key with each beat. That has the song's tempo, so it is
followed as a first bar, which then comes again; nothing of it is the song. Common practice of
teaching, no source.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from evaluator.follow.path import Path
from evaluator.take.strike import Strike

FEWEST: Final = 3
"""Strikes of a count, as of a waltz."""


def without_count_in(path: Path, strikes: Sequence[Strike]) -> Path:
    """The path without a first bar in which one key was struck again and again, if the same bar
    comes again after it."""
    if len(path.bars) < 2:
        return path
    count, song = path.bars[:2]
    inside = sorted((*(one.strike for one in count.strikes), *count.ornaments))
    again = song.bar == count.bar and song.entry in ("jump", "restart")
    keys = {pitch for at in inside for pitch in strikes[at].pitches}
    if not again or len(inside) < FEWEST or len(keys) > 1:
        return path
    begun = replace(song, entry="start", pause=0.0, pause_beat=0.0)
    return replace(path, bars=(begun, *path.bars[2:]), before=(*path.before, *inside))
