"""What of a take lies outside the song, though it sounds like a part of it?

Students count in aloud and strike one key with each beat: that has the song's tempo, so it is
followed as a first bar, which then comes again. Before the song they warm up, fall silent, and
begin; at its end they strike the last chord once or twice more, to close. Common practice of
teaching, no source.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from evaluator.follow.follower import BREATH
from evaluator.follow.path import Path
from evaluator.take.strike import Strike

FEWEST_IN_COUNT: Final = 3
"""Strikes of a count, as of a waltz."""
MOST_TO_CLOSE: Final = 2
"""Strikes of the last chord that close a song: more are a bar that is played again."""
FEWEST_BEFORE: Final = 8
"""Strikes that can be told from the song: fewer fit some of its bars by chance."""
SOON: Final = 60.0
"""Seconds within which the song is begun by who warms up."""


def song_alone(path: Path, strikes: Sequence[Strike]) -> Path:
    """The path without a count before the song, and without the strikes that close it."""
    return _without_close(_without_count_in(path, strikes), strikes)


def _without_count_in(path: Path, strikes: Sequence[Strike]) -> Path:
    """The path without a first bar in which one key was struck again and again, if the same bar
    comes again after it."""
    if len(path.bars) < 2:
        return path
    count, song = path.bars[:2]
    inside = count.struck
    again = song.bar == count.bar and song.entry in ("jump", "restart")
    keys = {pitch for at in inside for pitch in strikes[at].pitches}
    if not again or len(inside) < FEWEST_IN_COUNT or len(keys) > 1:
        return path
    begun = replace(song, entry="start", pause=0.0, pause_beat=0.0)
    return replace(path, bars=(begun, *path.bars[2:]), before=(*path.before, *inside))


def _without_close(path: Path, strikes: Sequence[Strike]) -> Path:
    """The path without a last bar that comes again, if nothing but its chord was struck there,
    once or twice, and not as it had been struck before: that would be the bar once more."""
    if len(path.bars) < 2:
        return path
    song, close = path.bars[-2:]
    inside, chord = close.struck, song.struck[-1:]
    again = song.bar == close.bar and close.entry == "jump"
    keys = {strikes[at].pitches for at in (*inside, *chord)}
    as_before = [one.beat for one in close.strikes] == [one.beat for one in song.strikes]
    few = len(inside) <= MOST_TO_CLOSE and len(keys) == 1
    if not (again and chord and few and path.complete) or as_before:
        return path
    return replace(path, bars=path.bars[:-1], after=(*inside, *path.after))


def after_silence(path: Path, strikes: Sequence[Strike]) -> int:
    """The strike that follows the deepest silence near the beginning of a path, as a multiple of
    the longest one before it; 0 if none is as long as a breath."""
    if not path.bars:
        return 0
    times = np.array([strike.time for strike in strikes])
    silences = np.diff(times[times < times[0] + SOON])
    before, later = silences[: FEWEST_BEFORE - 1], silences[FEWEST_BEFORE - 1 :]
    if not len(later):
        return 0
    longest = np.maximum.accumulate(np.concatenate(([before.max()], later[:-1])))
    deepest = int(np.argmax(later / np.maximum(longest, 1e-3)))
    begins = deepest + FEWEST_BEFORE
    heard = path.bars[0].start < times[begins - 1]
    return begins if heard and later[deepest] >= BREATH else 0
