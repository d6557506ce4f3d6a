"""Which bass was really played under each chord?

The left hand's lowest note as the chord begins. One note under every playing of a plain
chord is a rule of the song; otherwise another bass than the chord's makes a slash chord of
that one playing. A bass that belongs to no chord of that name in any other playing and
sounds once is doubted. Common practice, no source.
"""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from evaluator.draft.bars import PlayedBar, PlayedSpan
from evaluator.draft.hands import EARLY, Played
from evaluator.draft.model import BassRule
from evaluator.theory.pitch import NoteName, note_text, parse_note
from evaluator.theory.symbol import ChordSymbol, parse_chord

_WITHIN = 0.6
"""Beats after the chord's first in which its bass is struck."""
_LEAST = 2
"""Playings that make a rule."""
_NEARLY_ALL = 0.9
"""Of the playings in which a bass was heard."""


@dataclass(frozen=True, slots=True)
class Basses:
    """Bars with the basses that were played."""

    bars: tuple[PlayedBar, ...]
    rules: tuple[BassRule, ...]


def with_basses(bars: Sequence[PlayedBar], played: Played, *, flats: bool) -> Basses:
    """The bars with slash chords where another bass was played, and rules for the song."""
    heard: dict[ChordSymbol, list[int]] = defaultdict(list)
    for bar in bars:
        for span in bar.spans:
            bass = bass_of(span, played)
            if span.chord is not None and span.chord.bass is None and bass is not None:
                heard[span.chord].append(bass)
    rules = []
    for chord, basses in heard.items():
        usual = max(sorted(set(basses)), key=basses.count)
        often = basses.count(usual)
        if usual != chord.root.pc and often >= max(_LEAST, _NEARLY_ALL * len(basses)):
            rules.append(BassRule(chord, _name(chord, usual, flats=flats)))
    ruled = {rule.chord for rule in rules}
    slashed = tuple(
        replace(
            bar,
            spans=tuple(_slashed(span, played, ruled, flats=flats) for span in bar.spans),
        )
        for bar in bars
    )
    return Basses(slashed, tuple(rules))


def bass_of(span: PlayedSpan, played: Played) -> int | None:
    """Pitch class of the left hand's lowest note at a chord's beginning, None for none."""
    low = [
        strike.pitches[0]
        for strike in played.between(span.first - EARLY, span.first + _WITHIN)
        if strike.hand == "left"
    ]
    return low[0] % 12 if low else None


def with_bass(span: PlayedSpan, note: NoteName, ruled: Collection[ChordSymbol]) -> PlayedSpan:
    """The chord over another note; its own root is written only where a rule wants another."""
    assert span.chord is not None
    plain = span.chord.without_bass()
    if note.pc == plain.root.pc and plain not in ruled:
        return replace(span, chord=plain)
    return replace(span, chord=parse_chord(f"{plain.text}/{note.text}"))


def _slashed(
    span: PlayedSpan, played: Played, ruled: set[ChordSymbol], *, flats: bool
) -> PlayedSpan:
    chord, bass = span.chord, bass_of(span, played)
    if chord is None or bass is None or chord in ruled or bass == chord.bass_pc:
        return span
    if bass not in chord.tones:
        return span
    return with_bass(span, _name(chord.without_bass(), bass, flats=flats), ruled)


def _name(chord: ChordSymbol, bass: int, *, flats: bool) -> NoteName:
    """A chord tone takes the letter of its degree, another note the key's."""
    for tone in chord.chord:
        if (chord.root.pc + tone.semitones) % 12 == bass:
            spelt = chord.root.above(tone.degree, tone.semitones)
            if spelt is not None:
                return spelt
    return parse_note(note_text(bass, flats=flats))
