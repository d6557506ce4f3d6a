"""What does the take get by its own draft, and what must the draft say for it to be right?

The draft is graded with the take that it was made of. Whoever wrote the sheet and played it
is right in both, so what the judges hold against the take is missing in the draft: a chord
that was struck without its seventh or third is a colour of it, another note in the bass
makes a slash chord. What is another chord altogether may be used too, and is doubted.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from evaluator.chart import read_chart
from evaluator.draft.bars import PlayedSpan
from evaluator.draft.hands import Played
from evaluator.draft.model import Draft
from evaluator.draft.write import write_draft
from evaluator.follow.grid import lay_out
from evaluator.follow.one_way import follow_in
from evaluator.judge import judge
from evaluator.judge.verdict import BarVerdict, SpanVerdict
from evaluator.take.model import Take
from evaluator.take.strike import Strike
from evaluator.theory.pitch import NoteName, note_text, parse_note
from evaluator.theory.qualities import QUALITIES
from evaluator.theory.symbol import ChordSymbol, is_chord, parse_chord

_ASTRAY = 0.5
"""Of a bar."""
_PLAIN = sorted(QUALITIES, key=lambda quality: (quality.rarity, len(quality.tones)))
_TRIADS = ("", "m")
_RARE = 2
"""Colours of that rarity and above are told by nobody."""


@dataclass(frozen=True, slots=True)
class OwnTake:
    """The take by its draft."""

    mark: float
    bars: Mapping[int, BarVerdict]
    """By the number of the drafted bar: those that were followed to their places."""

    def chords(self, number: int) -> Sequence[SpanVerdict]:
        """The verdicts on the chords of a bar, none where it was not followed."""
        return self.bars[number].chord.spans if number in self.bars else ()

    def basses(self, number: int) -> Sequence[SpanVerdict]:
        return self.bars[number].bass.spans if number in self.bars else ()

    def rhythm(self, numbers: Sequence[int]) -> float | None:
        """How closely the pattern was kept to in some bars, 0 to 1."""
        found = [self.bars[number].rhythm.score for number in numbers if number in self.bars]
        scores = [score for score in found if score is not None]
        return sum(scores) / len(scores) if scores else None


def grade_own_take(draft: Draft, take: Take, struck: Sequence[Strike]) -> OwnTake:
    """The take, followed and judged by its draft."""
    graph = read_chart(write_draft(draft, in_full=True))
    # The key is the draft's, and its tempo that of the take: no others are tried.
    path = follow_in(lay_out(graph), struck, 0)
    judgement = judge(graph, take, tuple(struck), path)
    drafted = {bar: number for number, bar in enumerate(graph.written)}
    starts = [bar.start for bar in draft.bars()]
    found = {}
    for verdict in judgement.bars:
        number = drafted.get(verdict.bar)
        start = None if number is None else starts[number]
        if number is None or start is None or not verdict.judged:
            continue
        if is_the_same(start, verdict.start, verdict.end - verdict.start):
            found[number] = verdict
    return OwnTake(judgement.marks.overall, found)


def is_the_same(drafted: float, followed: float, seconds: float) -> bool:
    """Whether a bar so long that was followed to is the one drafted there: where it begins
    farther off, it is another."""
    return abs(followed - drafted) < _ASTRAY * seconds


def colours_played(span: PlayedSpan, verdict: SpanVerdict, played: Played) -> Iterator[ChordSymbol]:
    """The chords that may have been played in the place of a span's, the likeliest first.

    On the same root if there is one: the plainest that have what was struck and lack what was
    missing.
    """
    chord = span.chord
    if chord is None or verdict.word not in ("incomplete", "wrong"):
        return
    struck = frozenset(
        pitch % 12 for strike in played.during(span.first, span.beats) for pitch in strike.pitches
    )
    missing = {parse_note(name).pc for name in verdict.missing}
    sounding = struck | (chord.essential - missing)
    foreign = struck - chord.tones if verdict.word == "wrong" else frozenset[int]()
    own = _on_root(chord, sounding, foreign)
    yield from sorted(own, key=lambda one: len((foreign or sounding) - one.tones))
    name = verdict.played.partition("/")[0]
    if len(struck) > 1 and is_chord(name):  # a lone tone is called so too
        yield parse_chord(name)
    for triad in _with_all(struck, flats="b" in chord.root.text):
        if verdict.word == "wrong" or triad.tones == struck:
            yield triad


def _on_root(
    chord: ChordSymbol, sounding: frozenset[int], foreign: frozenset[int]
) -> Iterator[ChordSymbol]:
    """Chords on the same root that sounded whole, the plainest first."""
    for quality in _PLAIN:
        one = parse_chord(chord.root.text + quality.name)
        fits = one.essential <= sounding and foreign <= one.tones
        if quality.rarity < _RARE and quality.name != chord.quality and fits:
            yield one


def _with_all(struck: frozenset[int], *, flats: bool) -> Iterator[ChordSymbol]:
    """The triads that have all that was struck, if that was two tones or more."""
    names = [note_text(pc, flats=flats) for pc in sorted(struck)] if len(struck) > 1 else []
    triads = (parse_chord(name + quality) for quality in _TRIADS for name in names)
    return (one for one in triads if struck <= one.tones)


def bass_played(span: PlayedSpan, verdict: SpanVerdict) -> NoteName | None:
    """The bass that was played in the place of a span's, None where it was right."""
    if span.chord is None or verdict.word not in ("wrong", "put right"):
        return None
    return parse_note(verdict.played) if verdict.played else None
