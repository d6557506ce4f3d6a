"""Which notes do pianists play over a chord, and which lie lowest?

    python -m tests.bench.profile FOLDER

Counts, on the tuning half of a folder of real accompaniments (tests/bench/pop.py), on
which degrees of the written chord the pitch classes of all strikes lie, and on which
degrees above the written bass their lowest notes below A3. Prints, by quality of chord,
ln(12 x share) of each of the twelve: 0 is what aimless playing gives, above it a degree
speaks for the chord, below against it; then the same for roots, thirds, fifths, neighbours
and foreign notes together, after which the constants of evaluator/follow/hearing.py are set.

A strike up to 60 ms before a beat belongs to it. Each pitch class of a strike counts once.
"""

import argparse
import math
from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from evaluator.chart import read_chart
from evaluator.chart.graph import Span
from evaluator.follow.hearing import NEIGHBOURLY, SPLIT
from evaluator.take.midi_file import read_take
from evaluator.take.strike import Strike, strikes
from evaluator.theory.symbol import ChordSymbol
from tests.bench.pop import Song, load

EARLY = 0.060
"""Seconds before a beat from which a strike belongs to it."""
SHOWN = 8
"""Commonest qualities that are printed."""
ROLES = ("root", "third", "fifth", "other chord tone", "neighbour", "foreign")


@dataclass
class Counts:
    """Notes by semitones above the root, lowest notes above the written bass."""

    strikes: int = 0
    notes: Counter[int] = field(default_factory=Counter)
    lowest: Counter[int] = field(default_factory=Counter)


@dataclass
class Profile:
    """Everything that is counted."""

    by_quality: dict[str, Counts] = field(default_factory=lambda: defaultdict(Counts))
    by_role: Counter[str] = field(default_factory=Counter)
    aimless: dict[str, float] = field(default_factory=lambda: dict.fromkeys(ROLES, 0.0))
    """Notes of each role if as many were spread over the twelve pitch classes."""

    def add(self, song: Song) -> None:
        """Count one song."""
        for strike, span in _placed(song):
            if span.chord is not None and span.bass is not None:
                self._add_strike(strike, span.chord, span.bass)

    def _add_strike(self, strike: Strike, chord: ChordSymbol, bass: int) -> None:
        counts = self.by_quality[chord.quality]
        counts.strikes += 1
        classes = {pitch % 12 for pitch in strike.pitches}
        for pc in classes:
            counts.notes[(pc - chord.root.pc) % 12] += 1
            self.by_role[_role(chord, pc)] += 1
        for pc in range(12):
            self.aimless[_role(chord, pc)] += len(classes) / 12
        if strike.pitches[0] < SPLIT:
            counts.lowest[(strike.pitches[0] - bass) % 12] += 1


def _placed(song: Song) -> Iterator[tuple[Strike, Span]]:
    """Each strike with the sign of the chart that holds at its annotated beat."""
    graph = read_chart(song.chart())
    for strike in strikes(read_take(song.raw)):
        at = strike.time + EARLY
        bar = bisect_right(song.starts, at) - 1
        if bar >= 0 and at < song.end:
            beat = max(bisect_right(song.beats[bar], at) - 1, 0)
            yield strike, graph.bars[bar].span_at(beat)


def _role(chord: ChordSymbol, pc: int) -> str:
    for degree, name in ((1, "root"), (3, "third"), (5, "fifth")):
        if chord.degree(degree) == pc:
            return name
    if pc in chord.tones:
        return "other chord tone"
    return "neighbour" if (pc - chord.root.pc) % 12 in NEIGHBOURLY else "foreign"


def logarithms(counted: Counter[int]) -> list[float]:
    """(12,) ln(12 x share) of each semitone; -inf for what never came."""
    total = sum(counted.values())
    return [
        math.log(12 * counted[step] / total) if counted[step] else -math.inf for step in range(12)
    ]


def show_roles(profile: Profile) -> None:
    """Print how much likelier each role is than under aimless playing."""
    print(f"\n{'role':<18}{'notes':>8}{'ln(12 x share)':>16}")
    for role in ROLES:
        count = profile.by_role[role]
        if count:
            print(f"{role:<18}{count:>8}{math.log(count / profile.aimless[role]):>16.2f}")
    lowest: Counter[int] = Counter()
    for counts in profile.by_quality.values():
        lowest += counts.lowest
    print(f"\nlowest notes, semitones above the written bass\n{_row(logarithms(lowest))}")


def _row(values: list[float]) -> str:
    return "".join(f"{value:7.2f}" for value in values)


def main() -> None:
    """Count a folder and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path, help="real accompaniments")
    folder = parser.parse_args().folder
    names = sorted(path.stem for path in folder.glob("*.json"))[::2]
    profile = Profile()
    for song in load(folder, tuple(names)):
        profile.add(song)
    qualities = profile.by_quality
    print(f"{len(names)} songs of the tuning half\n\nsemitones above the root")
    print(f"{'chord':<10}{'strikes':>8}" + "".join(f"{step:7}" for step in range(12)))
    for quality in sorted(qualities, key=lambda name: -qualities[name].strikes)[:SHOWN]:
        counts = qualities[quality]
        print(f"{quality or 'major':<10}{counts.strikes:>8}{_row(logarithms(counts.notes))}")
        print(f"{'  lowest':<18}{_row(logarithms(counts.lowest))}")
    show_roles(profile)


if __name__ == "__main__":
    main()
