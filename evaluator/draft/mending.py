"""What must a draft say for its own take to be right?

The judges hear the take by the draft. A chord for which nothing was struck is not there; what
was struck for it is a colour of it, or stands in its place where it is clearly another chord;
another note under it makes a slash chord. What is odd about that is doubted.
"""

from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace

from evaluator.draft.bars import PlayedBar, PlayedSpan, joined
from evaluator.draft.basses import with_bass
from evaluator.draft.colours import colour_of
from evaluator.draft.doubts import Doubter
from evaluator.draft.hands import Played
from evaluator.draft.own_take import OwnTake, bass_played, colours_played
from evaluator.judge.verdict import SpanVerdict
from evaluator.theory.pitch import NoteName
from evaluator.theory.symbol import ChordSymbol

Place = tuple[int, int]
"""Number of a bar of the take, and of a chord in it."""


class Mending:
    """The bars of a draft, with the colours and the doubts that come to them."""

    def __init__(
        self,
        bars: Sequence[PlayedBar],
        played: Played,
        doubter: Doubter,
        ruled: AbstractSet[ChordSymbol],
    ) -> None:
        """`ruled`: chords whose bass stands in a rule."""
        self.bars = list(bars)
        self._played, self._doubter, self._ruled = played, doubter, ruled
        self.coloured = self._colours_heard(range(len(self.bars)))
        self.doubted: dict[int, tuple[str, ...]] = {}

    def mend(self, own: OwnTake) -> None:
        """Put into the draft what its take was held to be wrong for."""
        for number, bar in enumerate(self.bars):
            basses = own.basses(number)
            self._mend_silence(number, own)
            self._mend_chords(number, own)
            if self.bars[number] is not bar or len(basses) != len(bar.spans):
                continue  # the bass of another chord is heard by that
            spans = list(bar.spans)
            for place, verdict in enumerate(basses):
                note = bass_played(spans[place], verdict)
                if note is not None:
                    spans[place] = with_bass(spans[place], note, self._ruled)
                    self._doubt_bass(number, bar.spans[place], note)
            self.bars[number] = replace(bar, spans=tuple(spans))

    def _mend_silence(self, number: int, own: OwnTake) -> None:
        """A chord for which nothing was struck is the one before it in the bar, which goes on;
        without one before it nothing is to be struck there either."""
        bar, verdicts = self.bars[number], own.chords(number)
        if number == len(self.bars) - 1 or len(verdicts) not in (0, len(bar.spans)):
            return
        spans: list[PlayedSpan] = []
        for place, span in enumerate(bar.spans):
            missed = verdicts[place].word == "not played" if verdicts else len(bar.spans) == 1
            if (
                span.chord is not None
                and missed
                and not self._played.during(span.first, span.beats)
            ):
                self._doubt(number, f"nothing was struck here for {span.chord.text}")
                span = replace(span, chord=spans[-1].chord if spans else None)
            spans.append(span)
        if spans != list(bar.spans):
            self.bars[number] = replace(bar, spans=joined(spans))
            self._hear_anew(number)

    def _mend_chords(self, number: int, own: OwnTake) -> None:
        bar, verdicts = self.bars[number], own.chords(number)
        if len(verdicts) != len(bar.spans):
            return
        spans = list(bar.spans)
        for place, verdict in enumerate(verdicts):
            span = spans[place]
            before = self.coloured.get((number, place), ())
            colours = colours_played(span, verdict, self._played)
            colour = next((one for one in colours if one not in before), None)
            if colour is None or span.chord is None:
                continue
            # What was put in the place of the chord before may go on.
            goes_on = place > 0 and spans[place - 1] != bar.spans[place - 1]
            goes_on = goes_on and spans[place - 1].chord == colour
            if goes_on or (colour.root != span.chord.root and self._doubter.prefers(span, colour)):
                spans[place] = replace(span, chord=colour)
                if goes_on:
                    continue
            else:
                self.coloured[number, place] = (*before, colour)
            if colour.root != span.chord.root:
                said = f"{colour.text} was played in the place of {span.chord.text}"
                self._doubt(number, said)
        if spans != list(bar.spans):
            self.bars[number] = replace(bar, spans=joined(spans))
        if len(self.bars[number].spans) < len(spans):  # what stands in its places is another
            self._hear_anew(number)

    def _doubt_bass(self, number: int, span: PlayedSpan, note: NoteName) -> None:
        chord = span.chord
        assert chord is not None
        if note.pc not in chord.tones or chord in self._ruled:
            self._doubt(number, f"{note.text} is in the bass of {chord.text} here; is it meant?")

    def _doubt(self, number: int, said: str) -> None:
        self.doubted[number] = tuple(dict.fromkeys((*self.doubted.get(number, ()), said)))

    def doubt_what_is_left(self, own: OwnTake) -> None:
        """What is no chord that could be named is doubted."""
        for number, bar in enumerate(self.bars):
            verdicts = own.chords(number)
            if number in self.doubted or len(verdicts) != len(bar.spans):
                continue
            for span, verdict in zip(bar.spans, verdicts, strict=True):
                if span.chord is not None and verdict.word in ("wrong", "incomplete"):
                    self._doubt(number, f"{span.chord.text} was not {_struck(verdict)}")

    def _hear_anew(self, number: int) -> None:
        """The colours of a bar in which other chords stand now."""
        others = {at: of for at, of in self.coloured.items() if at[0] != number}
        self.coloured = others | self._colours_heard([number])

    def _colours_heard(self, numbers: Iterable[int]) -> dict[Place, tuple[ChordSymbol, ...]]:
        """The colour of each span of these bars that has one."""
        heard = {
            (number, place): colour_of(span, self._played)
            for number in numbers
            for place, span in enumerate(self.bars[number].spans)
        }
        return {at: (colour,) for at, colour in heard.items() if colour is not None}


def _struck(verdict: SpanVerdict) -> str:
    """What is said of a chord that was not played."""
    if verdict.word == "incomplete" and verdict.missing:
        return f"struck whole here: {' and '.join(verdict.missing)} did not sound"
    return "what was struck here" + (f", but {verdict.played}" if verdict.played else "")
