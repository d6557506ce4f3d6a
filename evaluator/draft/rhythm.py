"""Which pattern did each hand play, and was it swung?

The grid is the coarsest on which nearly all strikes stand. Off-beats that come late in the
same way all through are swung. The bars of a section's playings together show its pattern
(`pattern_reader.py`); sections that have the same share it. Where no pattern accounts for
what was played there is none: a chart with a wrong one accuses of everything.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

import numpy as np

from evaluator.chart.values import FREE
from evaluator.draft.bars import PlayedBar, PlayedSpan
from evaluator.draft.hands import EARLY, Played, Struck
from evaluator.draft.model import BassRule, DraftPattern
from evaluator.draft.pattern_reader import BarCells, Cell, Hands, PatternReader

_GRIDS = (1, 2, 3, 4)
"""Columns a beat, the plainest first."""
_OFF_GRID = 0.1
"""Beats from a column, within which a strike stands on it."""
_ON_GRID = 0.93
"""Share of the strikes that stand on the grid, for it to be fine enough."""
_LEAST_BARS, _LEAST_OF_ITS_OWN = 2, 4
_FAITHFUL = 0.85
"""Share of strikes and columns that agree, for a pattern to be written down."""
_FREELY = 0.7
"""A section is free that agrees with less than this."""
_PLAINLY, _OWN = 0.05, 0.8
"""A section has a pattern of its own if that agrees by so much more than those of others; a
playing of it, if the section's agrees with less than this."""
_SWINGS = (Fraction(1), Fraction(3, 2), Fraction(5, 3), Fraction(2), Fraction(3))
_SWUNG = 0.555
"""Place of the off-beat from which it is late on purpose: 5:4 (Friberg & Sundstrom, 2002,
"Swing ratios and ensemble timing in jazz performance": soloists go down to about 1.2:1)."""
_OFF_BEATS = (0.42, 0.8)
_LEAST_OFF_BEATS = 8
_NO_PATTERN = "the hands keep to no pattern for long, so none is written: the rhythm is free"


@dataclass(frozen=True, slots=True)
class Rhythm:
    """What the hands do in a bar."""

    patterns: tuple[DraftPattern, ...]
    of_section: Mapping[int, str]
    """Pattern of each section visit, where there is one."""
    swing: Fraction
    remarks: tuple[str, ...]
    kept: Mapping[int, float] = field(default_factory=dict)
    """Share of strikes and columns of each section visit that agree with its pattern."""


def find_rhythm(
    bars: Sequence[PlayedBar],
    sections: Sequence[tuple[int, int]],
    played: Played,
    beats: int,
    rules: Sequence[BassRule],
) -> Rhythm:
    """The patterns of a take; `sections` is of each bar the section visit, and the first
    section that is the same: what all its playings have in common is its pattern."""
    basses = {rule.chord: rule.note.pc for rule in rules}
    swing = _swing(played)
    usual = [place for place, bar in enumerate(bars[:-1]) if bar.beats == beats]
    cells = {place: _cells(bars[place], played, swing) for place in usual}
    grid = _grid([cell for place in usual for cell in cells[place]])
    if grid is None or len(usual) < _LEAST_BARS:
        return Rhythm((), {}, swing, ("no pattern was found that the hands keep to",))
    reader = PatternReader(grid * beats, grid, basses)
    of_visit: dict[int, list[BarCells]] = {visit: [] for visit, _ in sections}
    for place in usual:
        of_visit[sections[place][0]].append(cells[place])
    return _named(reader, _chosen(reader, of_visit, dict(sections)), of_visit, swing)


def _chosen(
    reader: PatternReader, of_visit: Mapping[int, Sequence[BarCells]], alike: Mapping[int, int]
) -> dict[int, Hands]:
    """The pattern of each section visit: the same for all visits of a section, but for those
    that plainly have another."""
    whole = [bar for bars in of_visit.values() for bar in bars]
    groups: dict[int, list[BarCells]] = defaultdict(list)
    for visit, bars in of_visit.items():
        groups[alike[visit]] += bars
    found: list[Hands] = []
    usual: dict[int, Hands | None] = {}
    for section in sorted(groups, key=lambda one: -len(groups[one])):
        usual[section] = _pattern_of(reader, groups[section], found)
    first = found[0] if found else reader.pattern(whole)
    chosen = {}
    for visit, bars in of_visit.items():
        one = usual[alike[visit]] or first
        if bars and reader.agreement(bars, one) < _OWN:
            one = _pattern_of(reader, bars, found) or one
        chosen[visit] = one
    # All that has a pattern tells best what its signs are.
    shared: dict[Hands, list[BarCells]] = defaultdict(list)
    for visit, bars in of_visit.items():
        shared[chosen[visit]] += bars
    read = {pattern: reader.pattern(bars) if bars else pattern for pattern, bars in shared.items()}
    return {visit: read[pattern] for visit, pattern in chosen.items()}


def _pattern_of(
    reader: PatternReader, bars: Sequence[BarCells], found: list[Hands]
) -> Hands | None:
    """The pattern of some bars: one that was found, or else their own, which is added. None
    for bars too few to tell where none was found."""
    rated = [reader.agreement(bars, pattern) for pattern in found]
    best = found[int(np.argmax(rated))] if found else None
    if len(bars) < _LEAST_OF_ITS_OWN:
        return best
    own = reader.pattern(bars)
    plainly = not found or reader.agreement(bars, own) > max(rated) + _PLAINLY
    kept = reader.agreement(bars, own) >= _FAITHFUL
    alike = [reader.together(own) == reader.together(pattern) for pattern in found]
    if best is not None and (not plainly or not kept or any(alike)):
        return best
    found.append(own)
    return own


def _named(
    reader: PatternReader,
    chosen: Mapping[int, Hands],
    of_visit: Mapping[int, Sequence[BarCells]],
    swing: Fraction,
) -> Rhythm:
    """Names for the patterns that are kept to; none where they are not."""
    kept = {
        visit: reader.kept(bars, chosen[visit]) if bars else 1.0 for visit, bars in of_visit.items()
    }
    free = {visit for visit, share in kept.items() if share < _FREELY}
    bars = [
        reader.kept([bar], chosen[visit])
        for visit, bars in of_visit.items()
        if visit not in free
        for bar in bars
    ]
    if not bars or np.mean(bars) < _FAITHFUL:  # what keeps to none hides no section that does
        free = {visit for visit, share in kept.items() if share < _FAITHFUL}
    if len(free) == len(kept):
        return Rhythm((), {}, swing, (_NO_PATTERN,))
    used = Counter(pattern for visit, pattern in chosen.items() if visit not in free)
    names = {
        pattern: f"hands{'' if rank == 0 else rank + 1}"
        for rank, (pattern, _) in enumerate(used.most_common())
    }
    written = tuple(DraftPattern(name, *pattern) for pattern, name in names.items())
    named = {visit: FREE if visit in free else names[pattern] for visit, pattern in chosen.items()}
    return Rhythm(written, named, swing, (), kept)


def freed(rhythm: Rhythm, sections: Collection[int]) -> Rhythm:
    """The rhythm with these sections free, and without the patterns that nobody plays then."""
    named = {n: FREE if n in sections else name for n, name in rhythm.of_section.items()}
    kept = tuple(one for one in rhythm.patterns if one.name in named.values())
    if not kept:
        return replace(rhythm, patterns=(), of_section={}, remarks=rhythm.remarks or (_NO_PATTERN,))
    return replace(rhythm, patterns=kept, of_section=named)


def without_least(rhythm: Rhythm, kept: Mapping[int, float], share: float) -> Rhythm:
    """The rhythm without the patterns of that share of the sections that keep least to theirs;
    `kept` is how closely each section does."""
    named = [n for n, name in rhythm.of_section.items() if name != FREE]
    least = float(np.quantile([kept[n] for n in named], share))
    return freed(rhythm, {n for n in named if kept[n] <= least})


def _swing(played: Played) -> Fraction:
    """Long to short eighth."""
    places = np.array([strike.at % 1.0 for strike in played.strikes])
    off = places[(places > _OFF_BEATS[0]) & (places < _OFF_BEATS[1])]
    early = np.sum((places > 1 - _OFF_BEATS[1]) & (places < _OFF_BEATS[0]))
    if len(off) < _LEAST_OFF_BEATS or early > len(off) / 4:
        return Fraction(1)
    middle = float(np.median(off))
    if middle < _SWUNG or np.mean(np.abs(off - middle) < _OFF_GRID) < _ON_GRID:
        return Fraction(1)
    return min(_SWINGS[1:], key=lambda ratio: abs(float(ratio / (1 + ratio)) - middle))


def _cells(bar: PlayedBar, played: Played, swing: Fraction) -> list[Cell]:
    found = []
    for strike in played.during(bar.first, bar.beats):
        beat = max(0.0, _unswung(strike.at, swing) - bar.first)
        found.append(Cell(strike.hand, beat, strike.pitches, _span_at(bar, strike)))
    return found


def _span_at(bar: PlayedBar, strike: Struck) -> PlayedSpan:
    for span in reversed(bar.spans):
        if span.first - EARLY <= strike.at:
            return span
    return bar.spans[0]


def _unswung(at: float, swing: Fraction) -> float:
    """Where a strike would stand if the eighths were straight."""
    if swing == 1:
        return at
    off = float(swing / (1 + swing))
    beat, place = divmod(at, 1.0)
    return beat + (place / off / 2 if place < off else 1 - (1 - place) / (1 - off) / 2)


def _grid(cells: Sequence[Cell]) -> int | None:
    """Columns a beat."""
    if not cells:
        return None
    beats = np.array([cell.beat for cell in cells])
    for grid in _GRIDS:
        off = np.abs(beats * grid - np.round(beats * grid)) / grid
        if np.mean(off <= min(_OFF_GRID, 0.35 / grid)) >= _ON_GRID:
            return grid
    return None
