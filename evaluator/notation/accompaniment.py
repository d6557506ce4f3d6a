"""Which bars of a score keep to a pattern, in terms of their chord symbols?

A song with symbols above an accompaniment that repeats is what a chart writes as a pattern:
a strike of the bass, of the chord or of one of its degrees at each place. As in a draft
(`evaluator.draft.pattern_reader`) bars are laid over each other and what most of them strike
is read off; but a score is exact, so a bar is the pattern's only if the chart that has it
would want just these strikes. Bars of any other kind (a tune in the right hand, a fill, signs
of ornament) keep their notes.
"""

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Final, Literal, cast

from evaluator.chart.graph import HANDS, ExpectedStrike, Hand, Meter, Span
from evaluator.chart.model import Pattern, Stroke
from evaluator.chart.patterns import columns_fit
from evaluator.chart.strikes import expected_strikes
from evaluator.draft.bars import PlayedSpan
from evaluator.draft.pattern_reader import Cell, PatternReader
from evaluator.notation.played import PlayedBar
from evaluator.notation.score import ScoreBar, Tone
from evaluator.theory.judgement import judge_tones
from evaluator.theory.symbol import parse_chord

Kind = Literal["notes", "pattern", "held", "slashes"]
"""What is written of a bar: its notes; its chords alone, since it keeps to a pattern, or is
struck once and held, or leaves the rhythm to the player."""
GRIDS: Final = (1, 2, 3, 4, 6)
"""Columns a beat, the plainest first."""
LEAST_BARS: Final = 4
"""That a pattern must fill."""
LEAST_CHORDS: Final = 2
"""Under which a song's patterns stand: what repeats under one chord may as well be just these
notes. Common practice, no source, as are the others."""
LEAST_SHARE: Final = 0.5
"""Of a section's bars, for it to be in a pattern."""
MOST_PATTERNS: Final = 8
"""An accompaniment with more of them is none that repeats."""
LEFT_TO_THE_PLAYER: Final = frozenset(("roll", "short"))
"""Signs at notes that a pattern allows anyway."""


@dataclass(frozen=True, slots=True)
class Part:
    """How a section is written."""

    pattern: Pattern | None
    kinds: tuple[Kind, ...]
    """Of each bar."""


@dataclass(frozen=True, slots=True)
class _Content:
    """What decides whether a bar is a pattern's."""

    meter: Meter
    spans: tuple[Span, ...]
    struck: tuple[tuple[Fraction, Hand, tuple[int, ...]], ...]
    """Beat, hand, keys from the lowest up."""
    plain: bool
    """Nothing stands around the notes that a pattern has no sign for."""


def usual_patterns(sections: Sequence[Sequence[PlayedBar]], meter: Meter) -> list[Pattern]:
    """The patterns that fill enough bars, those that fill most of them first; `meter` is that of
    the chart's header. The bars' chords are to be symbols of the score: what is read off the
    notes says nothing that these would not."""
    contents = [tuple(map(_content, bars)) for bars in sections]
    whole = tuple(one for bars in contents for one in bars)
    filled: Counter[Pattern] = Counter()
    for bars in {whole, *(bars for bars in contents if len(bars) >= LEAST_BARS)}:
        for pattern, count in _proposed(bars, meter):
            filled[pattern] = max(filled[pattern], count)
    ranked = sorted(filled, key=lambda pattern: (-filled[pattern], pattern.left, pattern.right))
    kept = {
        pattern: [one for one in whole if one.struck and _keeps(one, pattern)]
        for pattern in ranked[:MOST_PATTERNS]
    }
    chords = {span.chord for bars in kept.values() for one in bars for span in one.spans}
    if len(chords) < LEAST_CHORDS:
        return []
    return [pattern for pattern, bars in kept.items() if len(bars) >= LEAST_BARS]


def written_as(bars: Sequence[PlayedBar], patterns: Sequence[Pattern]) -> Part:
    """How a section is written: in the pattern that leaves the fewest of its bars as notes."""
    contents = [_content(one) for one in bars]
    ways = [Part(None, tuple(_kind(*pair, None) for pair in zip(bars, contents, strict=True)))]
    for pattern in patterns:
        kinds = tuple(_kind(*pair, pattern) for pair in zip(bars, contents, strict=True))
        if kinds.count("notes") <= LEAST_SHARE * len(bars):
            ways.append(Part(pattern, kinds))
    # The first of equals is the one of most bars in the song; a pattern before none.
    return min(ways[1:] or ways, key=lambda part: part.kinds.count("notes"))


def _proposed(bars: Collection[_Content], meter: Meter) -> Iterator[tuple[Pattern, int]]:
    """The pattern that fills most of some bars, and how many."""
    own = Counter(one.meter for one in bars).most_common(1)[0][0]
    usable = [one for one in bars if one.meter == own and one.plain and one.struck]
    best: tuple[int, Pattern] | None = None
    ways = (False, True) if any(len(one.spans) > 1 for one in usable) else (False,)
    for grid in GRIDS:
        if not usable or not columns_fit(grid * own.beats, own):
            continue
        reader = PatternReader(grid * own.beats, grid, {})
        left, right = reader.pattern([_cells(one) for one in usable])
        for as_written in ways:
            pattern = _pattern(left, right, own, meter, as_written=as_written)
            count = sum(_keeps(one, pattern) for one in bars)
            if count and (best is None or count > best[0]):
                best = count, pattern
        if all((beat * grid).denominator == 1 for one in usable for beat, _, _ in one.struck):
            break  # nothing is struck between these columns
    if best is not None:
        yield best[1], best[0]


def _pattern(
    left: Sequence[str], right: Sequence[str], own: Meter, meter: Meter, *, as_written: bool
) -> Pattern:
    return Pattern(
        name="",
        meter=own,
        left=cast(tuple[Stroke, ...], tuple(left)),
        right=cast(tuple[Stroke, ...], tuple(right)),
        bass_as_written=as_written,
        own_meter=own != meter,
        line=0,
    )


def _content(one: PlayedBar) -> _Content:
    meter = one.bar.meter
    ends = [harmony.offset for harmony in one.chords[1:]] + [Fraction(meter.beats)]
    spans = []
    for harmony, end in zip(one.chords, ends, strict=True):
        chord = parse_chord(harmony.chord) if harmony.chord else None
        bass = chord.bass_pc if chord else None
        spans.append(Span(harmony.offset, end - harmony.offset, chord, bass))
    every = [(hand, tone) for hand in HANDS for tone in one.bar.hands.get(hand, ()) if tone.struck]
    struck = tuple(
        (tone.offset * meter.unit / 4, hand, tuple(pitch.key for pitch in tone.pitches))
        for hand, tone in every
    )
    plain = len(one.bar.hands) == len(HANDS) and all(_plain(tone, one.bar) for _, tone in every)
    return _Content(meter, tuple(spans), struck, plain)


def _plain(tone: Tone, bar: ScoreBar) -> bool:
    around = tone.graces or tone.after or set(tone.signs) - LEFT_TO_THE_PLAYER
    return not around and 0 <= tone.offset < bar.length


def _cells(one: _Content) -> list[Cell]:
    spans = [PlayedSpan(span.chord, int(span.beat), int(span.beats)) for span in one.spans]
    found = []
    for beat, hand, keys in one.struck:
        span = max((span for span in spans if span.first <= beat), key=lambda span: span.first)
        found.append(Cell(hand, float(beat), keys, span))
    return found


def _kind(played: PlayedBar, has: _Content, pattern: Pattern | None) -> Kind:
    if played.bar.slashes:
        return "pattern" if pattern else "slashes"
    if pattern is None:
        return "notes"
    if _keeps(has, pattern):
        return "pattern"
    return "held" if _held(has, pattern) else "notes"


@lru_cache(maxsize=4096)
def _keeps(one: _Content, pattern: Pattern) -> bool:
    """Whether the bar strikes what the pattern wants there, and no more."""
    return one.plain and _answers(one, expected_strikes(pattern, one.meter, one.spans, Fraction(1)))


def _held(one: _Content, pattern: Pattern) -> bool:
    """Whether the bar's one chord is struck once by both hands."""
    if len(one.spans) > 1 or one.spans[0].chord is None:
        return False
    return _keeps(replace(one, spans=(replace(one.spans[0], held=True),)), pattern)


def _answers(one: _Content, wanted: Sequence[ExpectedStrike]) -> bool:
    struck = {(beat, hand): keys for beat, hand, keys in one.struck}
    return struck.keys() == {(strike.beat, strike.hand) for strike in wanted} and all(
        _is(struck[strike.beat, strike.hand], strike, one.spans[strike.span]) for strike in wanted
    )


def _is(keys: Sequence[int], wanted: ExpectedStrike, span: Span) -> bool:
    """Whether these keys are what is to be struck there, as a pattern is judged."""
    tones = frozenset(key % 12 for key in keys)
    assert span.chord is not None  # nothing is wanted where no chord is
    if wanted.part == "chord":
        return judge_tones(span.chord, tones, bass=span.bass).word == "right"
    if wanted.part == "bass":
        return keys[0] % 12 == span.bass and tones <= span.allowed
    return tones == wanted.pitch_classes
