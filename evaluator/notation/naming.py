"""What would a chart call the harmony of a bar that only has notes?

The plainest chord (major, minor, seventh, diminished) that holds most of what sounds,
weighted by how long it sounds; notes outside are passing notes. A bar that falls apart
into halves with clearly different chords gets two. The bass is the left hand's lowest
note, if it belongs to the chord; where the left hand is silent the chord before goes on,
as long as it may. Common practice of harmony lessons, no source; the name is
`evaluator.theory.naming`'s. The parts of a choir or a quartet are read as two hands: the lowest,
at the bottom of the score, has the bass. Their notes are no pianist's, and are let go.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import chain

from evaluator.chart.graph import Hand
from evaluator.notation.score import Harmony, ScoreBar, Tone
from evaluator.theory.naming import name_chord
from evaluator.theory.symbol import parse_chord

_SHAPES: tuple[tuple[frozenset[int], float], ...] = (
    (frozenset({0, 4, 7}), 0.0),
    (frozenset({0, 3, 7}), 0.02),
    (frozenset({0, 4, 7, 10}), 0.1),
    (frozenset({0, 3, 7, 10}), 0.16),
    (frozenset({0, 3, 6}), 0.14),
)
"""Semitones above the root, and how much less plain the chord is, as a share of the sound."""
_ROOT, _THIRD, _FIFTH = 0.12, 0.08, 0.03
"""A chord of which these sound is likelier; less so the fifth, which may be left out."""
_BASS = 0.12
"""A chord whose root lies in the bass is likelier."""
_GOES_ON = 0.25
"""Under a silent left hand the chord of the bar before is likelier."""
_HALVES = 0.22
"""Two chords must hold so much more of the sound than one."""


@dataclass(frozen=True, slots=True)
class _Sound:
    """What sounds over a stretch of a bar."""

    weights: Mapping[int, float]
    """Share of each pitch class; together 1."""
    bass: int | None
    """Pitch class of the left hand's lowest note, None while it is silent."""


def name_harmonies(
    hands: Mapping[Hand, Sequence[Tone]],
    length: Fraction,
    half: Fraction,
    *,
    flats: bool,
    before: str | None = None,
) -> tuple[Harmony, ...]:
    """One or two chords for a bar of notes; N.C. for a bar of silence.

    `half` is where the bar may fall apart, in quarter notes, 0 where it may not; `before`
    the chord of the bar before.
    """
    whole = _sound(hands, Fraction(0), length)
    if whole is None:
        return (Harmony(Fraction(0), None),)
    goes_on = parse_chord(before).tones if before else None
    name, fit = _best(whole, goes_on, flats=flats)
    if half and whole.bass is not None:
        parts = [_sound(hands, Fraction(0), half), _sound(hands, half, length)]
        named = [_best(part, None, flats=flats) for part in parts if part]
        apart = len(named) == 2 and named[0][0] != named[1][0]
        if apart and sum(one[1] for one in named) / 2 > fit + _HALVES:
            return (Harmony(Fraction(0), named[0][0]), Harmony(half, named[1][0]))
    return (Harmony(Fraction(0), name),)


def halfway(bar: ScoreBar) -> Fraction:
    """Where a bar may have a second chord, in quarter notes; 0 where it may not."""
    return bar.length / 2 if bar.meter.beats % 2 == 0 else Fraction(0)


def _sound(hands: Mapping[Hand, Sequence[Tone]], start: Fraction, end: Fraction) -> _Sound | None:
    weights: dict[int, float] = {}
    low: list[int] = []
    for hand, tones in hands.items():
        for tone in tones:
            shared = min(tone.offset + tone.length, end) - max(tone.offset, start)
            if shared <= 0:
                continue
            for pitch in tone.pitches:
                weights[pitch.key % 12] = weights.get(pitch.key % 12, 0.0) + float(shared)
            if hand == "left":
                low.append(tone.pitches[0].key)
    total = sum(weights.values())
    if not total:
        return None
    shares = {pc: weight / total for pc, weight in weights.items()}
    return _Sound(shares, min(low) % 12 if low else None)


def _best(sound: _Sound, goes_on: frozenset[int] | None, *, flats: bool) -> tuple[str, float]:
    """The name of the likeliest chord, and how well it fits."""
    rated = []
    for root in range(12):
        for shape, cost in _SHAPES:
            tones = frozenset((root + step) % 12 for step in shape)
            fit = sum(weight for pc, weight in sound.weights.items() if pc in tones) - cost
            third = 4 if 4 in shape else 3
            fifth = 7 if 7 in shape else 6
            for step, worth in ((0, _ROOT), (third, _THIRD), (fifth, _FIFTH)):
                fit += worth if (root + step) % 12 in sound.weights else 0.0
            fit += _BASS if sound.bass == root else 0.0
            fit += _GOES_ON if sound.bass is None and tones == goes_on else 0.0
            rated.append((fit, -root, tones))
    fit, low, tones = max(rated, key=lambda one: one[:2])
    bass = sound.bass if sound.bass in tones else -low
    name = name_chord(tones, bass, flats=flats)
    assert name is not None
    return name, fit


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
