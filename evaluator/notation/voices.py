"""Which chords do the parts of a choir or a quartet sound together?

One or two a bar, found in the notes of all parts as they are in those of two hands
(`evaluator.notation.naming`); the lowest part, which stands at the bottom of the score,
has the bass. The notes themselves are no pianist's, and are let go. Common practice of
playing from a full score, no source.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import chain

from evaluator.chart.graph import Hand
from evaluator.notation.naming import halfway, name_harmonies
from evaluator.notation.score import ScoreBar, Tone

Voice = Mapping[int, tuple[Tone, ...]]
"""The notes of one part in each bar, by its index."""


def with_chords(bars: Sequence[ScoreBar], voices: Sequence[Voice]) -> tuple[ScoreBar, ...]:
    """The bars with the chords that all voices sound together; `voices` from the top."""
    key = next((bar.key for bar in bars if bar.key), None)
    flats = key is not None and key.flats
    before: str | None = None
    found = []
    for place, bar in enumerate(bars):
        half = halfway(bar)
        sounding: dict[Hand, tuple[Tone, ...]] = {
            "right": tuple(chain.from_iterable(voice.get(place, ()) for voice in voices[:-1])),
            "left": voices[-1].get(place, ()),
        }
        named = name_harmonies(sounding, bar.length, half, flats=flats, before=before)
        goes_on = place > 0 and [one.chord for one in named] == [before]
        before = named[-1].chord
        found.append(replace(bar, harmonies=() if goes_on else named))
    return tuple(found)
