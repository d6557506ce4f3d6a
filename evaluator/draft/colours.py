"""Which colours were played in place of a chord now and then?

A colour is heard where the right hand strikes three notes or more that are no playing of the
chord itself and all belong to one of the colours that musicians use on it.
"""

from evaluator.draft.bars import PlayedSpan
from evaluator.draft.hands import Played
from evaluator.theory.symbol import ChordSymbol, parse_chord

_ON = {
    "": ("sus4", "sus2", "add9", "6", "7", "maj7", "69"),
    "m": ("m7", "madd9", "m6", "sus4", "sus2"),
    "7": ("7sus4", "9", "13", "7b9", "7#9"),
    "m7": ("m9", "m11"),
    "maj7": ("maj9", "6"),
}
"""Colours of a quality, the likeliest first. Common practice, no source."""
_CHORD = 3
"""Notes that make a chord of what one hand strikes."""


def colour_of(span: PlayedSpan, played: Played) -> ChordSymbol | None:
    """The colour of a span, None where its chord was played."""
    chord = span.chord
    if chord is None or chord.quality not in _ON:
        return None
    strikes = [
        frozenset(pitch % 12 for pitch in strike.pitches)
        for strike in played.during(span.first, span.beats)
        if strike.hand == "right" and len(strike.pitches) >= _CHORD
    ]
    other = [tones for tones in strikes if not tones <= chord.tones]
    if not other:
        return None
    for quality in _ON[chord.quality]:
        colour = parse_chord(chord.root.text + quality)
        if all(_plays(colour, tones) for tones in other):
            return colour
    return None


def _plays(chord: ChordSymbol, tones: frozenset[int]) -> bool:
    """Whether these are the chord's tones, its root perhaps left to the bass."""
    return chord.essential - {chord.root.pc} <= tones <= chord.tones
