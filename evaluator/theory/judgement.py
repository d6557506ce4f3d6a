"""Do these tones make the chord that the chart asks for?

The tones are pitch classes: inversion, doubling and octave are free. A chord is right when
every tone that it, or one of its allowed colours, cannot do without is sounding, and no
tone is foreign to chord and colours together: over a D that may be coloured with Dsus2 the
E may stand beside the F# or in its place. The bass completes the chord (the right hand may
leave the root to it) but is not itself judged here.

Rules of accompaniment as taught; common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from evaluator.theory.symbol import ChordSymbol

ToneWord = Literal["right", "incomplete", "wrong"]


@dataclass(frozen=True, slots=True)
class ToneJudgement:
    """The verdict on a set of tones, and what it rests on."""

    word: ToneWord
    """`right`; `incomplete`: tones are missing, none is foreign; `wrong`: one is foreign."""
    missing: frozenset[int]
    """Essential pitch classes not sounding, of the chord or colour that lacks fewest."""
    foreign: frozenset[int]
    """Played pitch classes that belong to neither chord nor colours nor expected bass.

    With nothing missing they were added to the right chord.
    """


def judge_tones(
    expected: ChordSymbol,
    played: frozenset[int],
    *,
    colours: Sequence[ChordSymbol] = (),
    bass: int | None = None,
    expected_bass: int | None = None,
) -> ToneJudgement:
    """Compare pitch classes with a chord of the chart.

    Args:
        expected: the chord as the chart has it.
        played: pitch classes to be judged, of one hand or both.
        colours: chords that may be used as well or instead.
        bass: pitch class sounding in the bass; counts as present, is never foreign itself
            unless it is also in `played`.
        expected_bass: the bass that the chart wants where a bass rule differs from the
            symbol; else the symbol's own.
    """
    sounding = played if bass is None else played | {bass}
    allowed = {expected.bass_pc if expected_bass is None else expected_bass}
    for chord in (expected, *colours):
        allowed |= chord.tones
    foreign = played - allowed
    # The first of equals: the chord itself before its colours.
    missing = min((c.essential - sounding for c in (expected, *colours)), key=len)
    if foreign:
        word: ToneWord = "wrong"
    else:
        word = "incomplete" if missing else "right"
    return ToneJudgement(word, missing, foreign)
