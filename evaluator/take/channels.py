"""Which channels of a recording are the player's keys, and which an accompaniment?

Digital pianos put the hands, a second voice or the notes below a split on channels of their
own, and those are all the player's; with an automatic accompaniment switched on they add
its bass, guitars and strings, which are not. What each channel sounds like is told by its
program, numbered by General MIDI Level 1 (MIDI Manufacturers Association, 1991), in eight
voices a family. Beside a piano another voice is the player's own if it doubles the keys (a
layer) or has one side of the keyboard for itself (a split); else it accompanies. Where no
programs say more, everything is taken, and what to do is said.

Units: channels from 0, as in the file; people count them from 1.
"""

from bisect import bisect_left
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from evaluator.errors import TakeError

FAMILIES: Final = (
    *("piano", "bells", "organ", "guitar", "bass", "strings", "ensemble", "brass"),
    *("reeds", "pipes", "lead", "pad", "effects", "ethnic", "percussion", "sounds"),
)
"""Families of the General MIDI programs, eight in each."""
KEYBOARDS: Final = ("piano", "organ")
"""Families that a piano student's own channel has, the likelier first."""
TOGETHER: Final = 0.03
"""Seconds; what doubles a key sounds with it."""
DOUBLED: Final = 0.8
"""Share of its notes that a layer doubles."""
LOW, HIGH = 52, 62
"""Keys (E3, D4): a hand that never goes below the one, or above the other, leaves that side
of the keyboard to a split voice. Common practice, no source."""

LEFT_OUT: Final = "An accompaniment was left on: {others} not judged, only {kept}."
UNCLEAR: Final = (
    "The recording has notes on {channels}, and all of them are judged. If one of these is an "
    "accompaniment, name the piano's channel with --channel."
)


@dataclass(frozen=True, slots=True)
class Sounded:
    """The notes of one channel."""

    onsets: Sequence[float]
    """Ascending, seconds."""
    pitches: Sequence[int]

    @property
    def lowest(self) -> int:
        """MIDI key below which at most a tenth of the notes lies."""
        return sorted(self.pitches)[len(self.pitches) // 10]

    @property
    def highest(self) -> int:
        """MIDI key above which at most a tenth of the notes lies."""
        return sorted(self.pitches)[len(self.pitches) - 1 - len(self.pitches) // 10]


@dataclass(frozen=True, slots=True)
class Chosen:
    """What is judged."""

    channels: frozenset[int]
    say: str = ""
    """One sentence, where something was left out or is not plain."""


def choose_channels(
    sounded: Mapping[int, Sounded], programs: Mapping[int, int], *, wanted: int | None = None
) -> Chosen:
    """The player's channels among those with notes; `programs` are the first ones told.

    `wanted` is the one that was asked for. Raises `TakeError` if nothing is on it.
    """
    every = frozenset(sounded)
    if wanted is not None:
        if wanted not in every:
            there = _named(every, programs)
            raise TakeError(f"Nothing is on channel {wanted + 1}; the notes are on {there}.")
        return Chosen(frozenset({wanted}))
    if len(every) == 1:
        return Chosen(every)
    families = {channel: _family(programs.get(channel)) for channel in every}
    keyboard = next((kind for kind in KEYBOARDS if kind in families.values()), None)
    if keyboard is None:
        return _all(every, programs)
    own = {channel for channel, family in families.items() if family == keyboard}
    others = {one for one in every - own if not _is_the_players(sounded, own, one)}
    if others:
        own = {min(own)} | {
            one for one in every - others - {min(own)} if _is_the_players(sounded, {min(own)}, one)
        }
        others = set(every - own)
        verb = "is" if len(others) == 1 else "are"
        say = LEFT_OUT.format(
            others=f"{_named(others, programs)} {verb}", kept=_named(own, programs)
        )
        return Chosen(frozenset(own), say[:1].upper() + say[1:])
    told = programs.keys() & every
    plain = len(told) == len(every) or _are_two_sides(sounded)
    return Chosen(every) if plain else _all(every, programs)


def _are_two_sides(sounded: Mapping[int, Sounded]) -> bool:
    """Whether there are two voices, of which one doubles the other or has its own side."""
    return len(sounded) == 2 and any(
        _is_the_players(sounded, sounded.keys() - {one}, one) for one in sounded
    )


def _all(every: frozenset[int], programs: Mapping[int, int]) -> Chosen:
    return Chosen(every, UNCLEAR.format(channels=_named(every, programs)))


def _family(program: int | None) -> str:
    """A channel of which nothing is told sounds like a piano."""
    return FAMILIES[(program or 0) // 8]


def _is_the_players(sounded: Mapping[int, Sounded], own: Collection[int], other: int) -> bool:
    """Whether a voice doubles the keys, or has one side of the keyboard for itself."""
    voice = sounded[other]
    keys = [sounded[channel] for channel in own if channel != other]
    if any(_doubles(voice, one) for one in keys):
        return True
    lowest, highest = min(one.lowest for one in keys), max(one.highest for one in keys)
    below = voice.highest < lowest and lowest >= LOW
    above = voice.lowest > highest and highest <= HIGH
    return below or above


def _doubles(voice: Sounded, keys: Sounded) -> bool:
    """Whether most notes of a voice sound with the same note of the keys, in any octave."""
    both = 0
    for onset, pitch in zip(voice.onsets, voice.pitches, strict=True):
        at = bisect_left(keys.onsets, onset - TOGETHER)
        while at < len(keys.onsets) and keys.onsets[at] <= onset + TOGETHER:
            if (keys.pitches[at] - pitch) % 12 == 0:
                both += 1
                break
            at += 1
    return both >= DOUBLED * len(voice.onsets)


def _named(channels: Collection[int], programs: Mapping[int, int]) -> str:
    """`channel 1 (piano)`, `channels 2 (bass) and 3 (strings)`."""
    words = [
        f"{channel + 1} ({_family(programs[channel])})" if channel in programs else f"{channel + 1}"
        for channel in sorted(channels)
    ]
    listed = words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
    return f"{'channel' if len(words) == 1 else 'channels'} {listed}"
