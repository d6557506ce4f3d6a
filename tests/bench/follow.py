"""How often is the follower right? On simulated students and on real accompaniments.

    python -m tests.bench.follow                      simulated, 60 takes a hand
    python -m tests.bench.follow --takes 200 --jobs 2 --json figures.json
    python -m tests.bench.follow --songs FOLDER       real accompaniments (tests/bench/pop.py)
    python -m tests.bench.follow --songs FOLDER --patterns 3    under three patterns each

Seeds from 1000 are for the reported figures; tuning used seeds below 1000 only
(`--tuning`). Of a folder of real songs every second one by name, from the first, was
used for tuning; the reported figures are of the others. What counts as found, and what
as the same, stands in tests/bench/scoring.py and tests/bench/real.py; why a take was
followed otherwise than it was played, in tests/bench/true_way.py.

Figures go to the standard output, progress to the standard error.
"""

import argparse
import sys
import time
from collections.abc import Sequence
from multiprocessing import get_context
from pathlib import Path

from evaluator.follow import follow
from evaluator.judge import judge
from evaluator.take.midi_file import read_take
from evaluator.take.strike import strikes
from tests.bench.figures import Figure, per_thousand, share, show, write
from tests.bench.real import measure_songs
from tests.bench.scoring import COSTED, Tally, f1, score
from tests.bench.students import MANY, HandName, simulate
from tests.bench.true_way import dearer, reasons

FIRST_REPORTED = 1000
CONFIDENT = 0.5
"""Confidence from which a bar is judged."""
ALL: tuple[HandName, ...] = ("tidy", "ordinary", "rough")
EVEN: tuple[HandName, ...] = ("tidy", "ordinary")
"""The hands of which strikes are asked: a rough one is itself 120 ms off now and then."""

FOUND: tuple[tuple[str, str, float | None, tuple[HandName, ...]], ...] = (
    ("bars placed", "placed", 0.995, ALL),
    ("bars placed, that very bar", "placed exactly", None, ALL),
    ("wrong chord found", "chord", 0.98, ALL),
    ("wrong quality found", "quality", 0.98, ALL),
    ("wrong bass found", "bass", 0.98, ALL),
    ("strike missed found, even hands", "missed", 0.97, EVEN),
    ("strike added found, even hands", "added", 0.97, EVEN),
    ("strike 120 ms off found, even hands", "early or late", 0.93, EVEN),
)
FORM: tuple[tuple[str, tuple[str, ...], float | None], ...] = (
    ("form F1", COSTED, 0.98),
    ("tails F1", ("tail",), 0.98),
    *((f"{kind} F1", (kind,), None) for kind in COSTED),
)
MADE_UP: tuple[tuple[str, float | None], ...] = (("chord", 2.0), ("bass", 2.0), ("rhythm", None))


def measure(job: tuple[int, HandName]) -> Tally:
    """One simulated take."""
    seed, hand = job
    take = simulate(seed, hand, faults=MANY)
    begun = time.perf_counter()
    notes = read_take(take.midi_bytes)
    heard = strikes(notes)
    path = follow(take.graph, heard)
    judgement = judge(take.graph, notes, heard, path)
    seconds = time.perf_counter() - begun
    tally = score(f"{hand} {seed}", take.graph, take.truth, path, judgement)
    tally.seconds = seconds
    if tally.mistakes_of_form():
        played = [(bar.index, bar.start, bar.end) for bar in take.truth.bars]
        tally.dearer.append(dearer(take.graph, played, heard, path))
    return tally


def simulated(seeds: Sequence[int], jobs: int) -> dict[HandName, Tally]:
    """Every hand's takes of these seeds."""
    work = [(seed, hand) for hand in ALL for seed in seeds]
    totals = {hand: Tally() for hand in ALL}
    with get_context("spawn").Pool(jobs) as pool:
        for done, tally in enumerate(pool.imap(measure, work), 1):
            totals[work[done - 1][1]].add(tally)
            print(f"\r{done} of {len(work)} takes", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    return totals


def together(totals: dict[HandName, Tally], hands: Sequence[HandName]) -> Tally:
    """The sum over some hands."""
    total = Tally()
    for hand in hands:
        total.add(totals[hand])
    return total


def figures(totals: dict[HandName, Tally]) -> list[Figure]:
    """What is asked of all hands together, or of even ones where it says so."""
    every = together(totals, ALL)
    found = [
        share(name, (tally := together(totals, hands)).hits[kind], tally.wanted[kind], goal)
        for name, kind, goal, hands in FOUND
    ]
    form = [
        Figure(name, f1(every, kinds), sum(every.wanted[kind] for kind in kinds), goal)
        for name, kinds, goal in FORM
    ]
    asked = sum(every.wanted[kind] for kind in COSTED)
    form.append(share("form found, but a bar or a run beside", every.hits["beside"], asked))
    made_up = [
        per_thousand(f"false {part} a 1000 bars", every.false[f"false {part}"], bars, goal)
        for part, goal in MADE_UP
        for bars in [every.clean[part]]
    ]
    false_form = sum(every.false[kind] for kind in COSTED)
    made_up.append(per_thousand("false form a 1000 bars", false_form, every.clean["form"], 2.0))
    return [*found, *form, *made_up]


def calibration(tally: Tally) -> list[Figure]:
    """The share of bars placed for each tenth of confidence, and of all that are judged."""
    rows = []
    for tenth in range(10):
        low, high = tenth / 10, tenth / 10 + (0.1 if tenth < 9 else 1.0)
        placed = [right for sure, right in tally.confidence if low <= sure < high]
        if placed:
            name = f"placed at confidence {low:.1f} to {low + 0.1:.1f}"
            rows.append(share(name, sum(placed), len(placed)))
    judged = [right for sure, right in tally.confidence if sure >= CONFIDENT]
    rows.append(share(f"placed of all from {CONFIDENT}", sum(judged), len(judged)))
    off = [abs(sure - right) for sure, right in tally.confidence]
    rows.append(Figure("mean |confidence - placed|", sum(off) / max(len(off), 1), len(off)))
    return rows


def show_simulated(totals: dict[HandName, Tally]) -> dict[str, list[Figure]]:
    """Print the tables and give them back."""
    asked = figures(totals)
    each = [figures(dict.fromkeys(ALL, totals[hand])) for hand in ALL]
    beside = {row.name: [column[at].value for column in each] for at, row in enumerate(asked)}
    every = together(totals, ALL)
    title = f"{every.takes} simulated takes, then of {', '.join(ALL)} hands each"
    show(title, asked, beside)
    sure = calibration(every)
    show("confidence against truth", sure, {})
    why = reasons(every.dearer)
    show("takes with a mistake in their form", why, {})
    print(f"  {1000 * every.seconds / max(every.takes, 1):.0f} ms a take, followed and judged")
    return {"simulated": asked, "confidence": sure, "true way": why}


def main() -> None:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--takes", type=int, default=60, help="simulated takes for each hand")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--tuning", action="store_true", help="the seeds or songs used for tuning")
    parser.add_argument("--songs", type=Path, help="a folder of real accompaniments")
    parser.add_argument(
        "--patterns", type=int, default=1, help="of each song's chart, not played (with --songs)"
    )
    parser.add_argument("--cases", action="store_true", help="print every case that fails")
    parser.add_argument("--json", type=Path, help="write the figures to this file as well")
    options = parser.parse_args()
    if options.songs:
        tables, cases = measure_songs(
            options.songs, tuning=options.tuning, patterns=options.patterns, jobs=options.jobs
        )
    else:
        first = 1 if options.tuning else FIRST_REPORTED
        totals = simulated(range(first, first + options.takes), options.jobs)
        tables, cases = show_simulated(totals), together(totals, ALL).cases
    if options.cases:
        print("\n".join(cases))
    if options.json:
        write(options.json, tables)


if __name__ == "__main__":
    main()
