"""What does following cost in time and memory, beside plain time warping?

    python -m tests.bench.warping [RUNS]

- Memory of a take of 100 bars and of one six times as long, nearly as many strikes as a take may
  have, each in a process of its own: its largest resident size before and after following.
- The follower alone on 100 bars and 700 strikes, against `librosa.sequence.dtw` on a cost
  matrix made of a 12 x 700 and a 12 x 1600 one, as plain warping of strikes to a chart of
  four places a beat would need. Both take turns in this process, so that a busy machine
  slows both alike; read the ratio. librosa's loop is compiled before. Then the same by the
  step in Python, which follows where the kernel could not be compiled.
- A take six times as long: its time for each time its length, with the chart as much longer;
  with one as long that comes again in the same chords, so that a player may nearly always have
  gone on in another round of it, and twice as many hypotheses live; and with one that stays as
  it is, its last line being played on and on (`x2+`).

Aims: at most 1.0 times librosa; at most 1.1 times as much time for each time the length of the
take; that within 300 MB.
"""

import re
import resource
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from multiprocessing import get_context
from statistics import median

import numpy as np

from evaluator.chart import read_chart
from evaluator.chart.graph import BarGraph
from evaluator.follow import follow
from evaluator.follow.compiled import kernel
from evaluator.follow.follower import Follower
from evaluator.follow.grid import lay_out
from evaluator.follow.one_way import trace
from evaluator.take.model import make_take
from evaluator.take.strike import Strike, strikes
from tests.playing import play

RUNS = 9
LONG_RUNS = 3
LONGER = 6
CHART = """title: A Hundred Bars
key: C major
tempo: 100

pattern seven
  left  | x . . . x . . x |
  right | . . x x . x x . |

""" + "".join(
    f"[Part {number}]\n| C | Am | F | G |\n| Em | F | Dm | G7 |\n| Am | Em | F | C |\n"
    f"| Dm | Bb | F | G |\n| C | F/A | {last} | C |\n"
    for number, last in enumerate(("G", "Gm", "E7", "D", "Bb"), 1)
)
"""Five sections of twenty bars, seven strikes a bar."""
ROOTS = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"]
ROOT = re.compile(r"\b[A-G]b?(?![a-z]{2})")


@dataclass(frozen=True, slots=True)
class Seconds:
    """One run: on the clock, and of the processor."""

    wall: float
    processor: float


def timed(work: Callable[[], object]) -> Seconds:
    """Run once."""
    wall, processor = time.perf_counter(), time.process_time()
    work()
    return Seconds(time.perf_counter() - wall, time.process_time() - processor)


def song(times: int, *, step: int = 0) -> tuple[BarGraph, tuple[Strike, ...]]:
    """The chart with its sections so many times, each round `step` semitones above the one before,
    and a take of it."""
    head, _, sections = CHART.partition("[Part 1]")
    body = "[Part 1]" + sections
    rounds = (_moved(body, n * step).replace("[Part ", f"[Round {n} ") for n in range(times))
    graph = read_chart(head + "".join(rounds))
    return graph, taken(graph, graph.written)


def _moved(sections: str, semitones: int) -> str:
    """The sections with every chord so much higher."""
    return ROOT.sub(lambda root: ROOTS[(ROOTS.index(root[0]) + semitones) % 12], sections)


def vamp(times: int) -> tuple[BarGraph, tuple[Strike, ...]]:
    """The chart with an open last line, played on until the take is so many times as long."""
    graph = read_chart(CHART.rstrip("\n") + "\n| C | Am | F | G | x2+\n")
    last_line = graph.written[-4:]
    again = (times - 1) * len(graph.written) // len(last_line)
    return graph, taken(graph, (*graph.written, *last_line * again))


def taken(graph: BarGraph, order: Sequence[int]) -> tuple[Strike, ...]:
    """The strikes of a take of these bars."""
    take = play(graph, order, jitter_ms=15.0, spread_ms=10.0, wander_pct=1.0, seed=1)
    columns = zip(*((n.onset, n.offset, n.pitch, n.velocity) for n in take.notes), strict=True)
    onsets, offsets, pitches, velocities = (list(column) for column in columns)
    return strikes(make_take(onsets, offsets, pitches, velocities))


def chroma(columns: int, seed: int) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """(12, columns) pitch classes of chords and a little noise; only the size matters."""
    rng = np.random.default_rng(seed)
    found = rng.random((12, columns)) * 0.1
    for column, root in enumerate(rng.integers(0, 12, columns)):
        found[(root + np.array((0, 4, 7))) % 12, column] += 1.0
    return found


def beside_librosa() -> tuple[Callable[[], object], Callable[[], object]]:
    """Following the take of a hundred bars, and plain warping of as much by librosa."""
    # Not before memory is measured: a process counts its parent's size as its own largest.
    import librosa

    graph, heard = song(1)
    played, chart = chroma(700, 1), chroma(1600, 2)
    return lambda: follow(graph, heard), lambda: librosa.sequence.dtw(played, chart)


def against_librosa(runs: int) -> None:
    """Time both in turn."""
    print("\n100 bars, 700 strikes; 12 x 700 by 12 x 1600")
    graph, heard = song(1)
    works = (*beside_librosa(), lambda: in_python(graph, heard))
    for work in works:
        work()
    turns = [tuple(timed(work) for work in works) for _ in range(runs)]
    ours, theirs, plain = ([turn[side] for turn in turns] for side in range(3))
    _show("follower" if kernel else "follower, NO KERNEL", ours)
    _show("librosa.sequence.dtw", theirs)
    _show_ratio("ratio, at most 1.0", ours, theirs)
    _show("step in Python", plain)
    _show_ratio("ratio to librosa's", plain, theirs)


def in_python(graph: BarGraph, heard: Sequence[Strike]) -> None:
    """Follow by the step in Python."""
    follower = Follower(lay_out(graph))
    for strike in heard:
        follower.push(strike)
    trace(follower)


def longer(runs: int) -> None:
    """Time a take of hundreds of bars beside one of a hundred."""
    for name, make in (
        ("with a longer chart", partial(song, step=1)),
        ("with a longer chart that comes again and again", song),
        ("with the chart as it is", vamp),
    ):
        one, many = make(1), make(LONGER)
        pairs = [_pair(one, many) for _ in range(runs)]
        once, times = ([pair[side] for pair in pairs] for side in (0, 1))
        print(f"\n{len(one[1])} strikes and {len(many[1])}, {name}")
        _show("the take", once)
        _show(f"{LONGER} times as long", times)
        _show_ratio("each time, at most 1.1", times, once, LONGER)


def _pair(
    one: tuple[BarGraph, tuple[Strike, ...]], many: tuple[BarGraph, tuple[Strike, ...]]
) -> tuple[Seconds, Seconds]:
    return timed(lambda: follow(*one)), timed(lambda: follow(*many))


def largest(times: int) -> tuple[float, float, float]:
    """Minutes of a take, largest size of this process in MB before following and after."""
    graph, heard = song(times)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    follow(graph, heard)
    after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return heard[-1].time / 60, before, after


def memory() -> None:
    """Sizes of processes that follow one take each."""
    print("largest size of a process, with chart and strikes and then when it has followed")
    for name, times in (("the take", 1), (f"{LONGER} times as long", LONGER)):
        with get_context("spawn").Pool(1) as pool:
            minutes, before, after = pool.apply(largest, (times,))
        print(f"{name:<24}{minutes:6.0f} min {before:6.0f} MB, then {after:6.0f} MB")


def _show(name: str, runs: Sequence[Seconds]) -> None:
    wall = median(run.wall for run in runs)
    processor = median(run.processor for run in runs)
    print(f"{name:<24}{wall:8.3f} s on the clock {processor:8.3f} s of the processor")


def _show_ratio(
    name: str, ours: Sequence[Seconds], theirs: Sequence[Seconds], times: int = 1
) -> None:
    wall = median(one.wall for one in ours) / median(one.wall for one in theirs) / times
    processor = median(one.processor for one in ours) / median(one.processor for one in theirs)
    processor /= times
    print(f"{name:<24}{wall:8.2f}   on the clock {processor:8.2f}   of the processor")


def main(runs: int) -> None:
    """All three measurements."""
    memory()
    against_librosa(runs)
    longer(min(runs, LONG_RUNS))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else RUNS)
