"""What about a bar is not sure?

A bar is doubtful if it sounds clearly more like another chord than the sheet's, if nothing was
played in it, or if its length differs from the others' and is not so each time that the
section comes. The likelihoods are the ones used to
find the way through the sheet.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field

import numpy as np

from evaluator.draft.bars import PlayedBar, PlayedSpan
from evaluator.draft.heard import Heard, fits
from evaluator.theory.pitch import note_text
from evaluator.theory.symbol import ChordSymbol, parse_chord

_PLAIN = ("", "m", "7", "m7", "maj7", "sus4", "dim")
_CLEARLY = 2.5
"""Log likelihood by which another chord must fit better: about e to the 2.5 to one."""


@dataclass(slots=True)
class Doubter:
    """Knows how well every plain chord fits every beat."""

    heard: Heard
    flats: bool
    chords: list[ChordSymbol] = field(init=False)
    likely: np.ndarray = field(init=False)
    own: dict[ChordSymbol | None, np.ndarray] = field(init=False, default_factory=dict)
    """(2n,) of each chord of the song that was asked about."""

    def __post_init__(self) -> None:
        names = [note_text(pc, flats=self.flats) for pc in range(12)]
        self.chords = [parse_chord(root + quality) for root in names for quality in _PLAIN]
        self.likely = fits(self.heard, self.chords)

    def doubts(self, bar: PlayedBar, coloured: Collection[str], *, last: bool) -> tuple[str, ...]:
        """Sentences on one bar of the take; `coloured` are the colours heard in it."""
        found = []
        wanted = any(span.chord is not None for span in bar.spans)
        if wanted and not self.heard.tones[_half_beats(bar)].any() and not last:
            found.append("nothing was played here")
        for one in bar.spans:
            better = self._better(one)
            if better is not None and one.chord is not None and better not in coloured:
                found.append(f"sounds like {better} rather than {one.chord.text}")
        return tuple(found)

    def prefers(self, span: PlayedSpan, other: ChordSymbol) -> bool:
        """Whether another chord fits clearly better than a span's own."""
        return self._fit(span, other) > self._fit(span, span.chord) + _CLEARLY

    def _fit(self, span: PlayedSpan, chord: ChordSymbol | None) -> float:
        """How well a chord fits what was struck in a span."""
        if chord not in self.own:
            self.own[chord] = fits(self.heard, [chord])[:, 0]
        return float(self.own[chord][_half_beats(span)].sum())

    def _better(self, span: PlayedSpan) -> str | None:
        sums = self.likely[_half_beats(span)].sum(axis=0)
        best = int(sums.argmax())
        own = self._fit(span, span.chord)
        return self.chords[best].text if sums[best] > own + _CLEARLY else None


def _half_beats(part: PlayedBar | PlayedSpan) -> slice:
    """The half beats of a bar or a span, of all those of the take."""
    return slice(2 * part.first, 2 * (part.first + part.beats))


def length_doubted(beats: int) -> str:
    """What is asked about a bar that is longer or shorter than the others."""
    return f"{beats} beats long: is it meant to be, or did the take halt?"


def share_inside(heard: Heard, chords: Sequence[ChordSymbol | None]) -> float:
    """Share of the struck tones that belong to the chord of their beat."""
    inside = total = 0.0
    for beat, chord in enumerate(chords):
        tones = heard.tones[2 * beat : 2 * beat + 2].sum(axis=0)
        total += float(tones.sum())
        inside += float(tones[sorted(chord.tones)].sum()) if chord else 0.0
    return inside / total if total else 0.0
