"""How often is the follower right? On simulated students and on real accompaniments.

    python -m tests.bench.follow                      simulated, 40 takes a hand
    python -m tests.bench.follow --takes 200 --jobs 2
    python -m tests.bench.follow --songs FOLDER       real accompaniments (tests/bench/pop.py)

Seeds from 1000 are for the reported figures; tuning used seeds below 1000 only
(`--tuning`). Of a folder of real songs every second one by name, from the first, was
used for tuning; the reported figures are of the others.
"""

import argparse
import time
from collections import Counter
from multiprocessing import get_context
from pathlib import Path

from evaluator.follow import follow
from evaluator.judge import judge
from evaluator.take.sound_file import read_take
from evaluator.take.strike import strikes
from tests.bench.real import measure_songs
from tests.bench.scoring import SURE, Tally, score
from tests.bench.students import HANDS, MANY, HandName, simulate

FIRST_REPORTED = 1000
FORM = ("missing", "extra", "restart", "break")


def measure(job: tuple[int, HandName]) -> Tally:
    """One simulated take."""
    seed, hand = job
    take = simulate(seed, hand, faults=MANY)
    tally = Tally()
    begun = time.perf_counter()
    notes = read_take(take.midi_bytes)
    heard = strikes(notes)
    path = follow(take.graph, heard)
    judgement = judge(take.graph, notes, heard, path)
    tally.wanted["seconds"] += time.perf_counter() - begun  # type: ignore[assignment]
    tally.wanted["takes"] += 1
    score(tally, f"{hand} {seed}", take.graph, take.truth, path, judgement)
    return tally


def together(tallies: list[Tally]) -> Tally:
    """The sum of many takes."""
    total = Tally()
    for tally in tallies:
        total.wanted += tally.wanted
        total.hits += tally.hits
        total.false += tally.false
        total.clean_bars += tally.clean_bars
        total.confidence += tally.confidence
        total.cases += tally.cases
    return total


def _print(name: str, tally: Tally) -> None:
    found = " ".join(
        f"{kind} {tally.share(kind):.3f}"
        for kind in ("chord", "bass", "missed", "added", "early or late")
    )
    per = 1000 / max(tally.clean_bars, 1)
    false = " ".join(
        f"{kind[6:]} {tally.false[kind] * per:.1f}"
        for kind in ("false chord", "false bass", "false rhythm")
    )
    form = sum(tally.false[kind] for kind in FORM) * per
    f1 = " ".join(f"{kind} {tally.f1((kind,)):.3f}" for kind in (*FORM, "tail"))
    print(f"{name:9} bars placed {tally.share('placed'):.4f}   form F1 {tally.f1(FORM):.3f} ({f1})")
    print(f"{'':9} found: {found}")
    print(f"{'':9} made up per 1000 clean bars: {false} form {form:.1f}")
    each = 1000 * tally.wanted["seconds"] / max(tally.wanted["takes"], 1)
    print(f"{'':9} {tally.wanted['takes']} takes, {each:.0f} ms each")


def _print_confidence(tally: Tally) -> None:
    print("confidence against truth (bars, share placed):")
    bins: Counter[int] = Counter()
    right: Counter[int] = Counter()
    for sure, placed in tally.confidence:
        step = min(int(sure * 10), 9)
        bins[step] += 1
        right[step] += placed
    for step in sorted(bins):
        share = right[step] / bins[step]
        print(f"  {step / 10:.1f}-{step / 10 + 0.1:.1f}  {bins[step]:6}  {share:.3f}")
    judged = [placed for sure, placed in tally.confidence if sure >= SURE]
    print(f"  followed ({SURE}+): {len(judged)} bars, {sum(judged) / max(len(judged), 1):.4f} placed")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--takes", type=int, default=40, help="simulated takes for each hand")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--tuning", action="store_true", help="the seeds or songs used for tuning")
    parser.add_argument("--songs", type=Path, help="a folder of real accompaniments")
    parser.add_argument("--cases", action="store_true", help="print every case that fails")
    options = parser.parse_args()
    if options.songs:
        measure_songs(options.songs, tuning=options.tuning, cases=options.cases)
        return
    first = 1 if options.tuning else FIRST_REPORTED
    seeds = range(first, first + options.takes)
    everything = []
    with get_context("spawn").Pool(options.jobs) as pool:
        for hand in HANDS:
            tally = together(pool.map(measure, [(seed, hand) for seed in seeds], chunksize=2))
            _print(hand, tally)
            everything.append(tally)
    total = together(everything)
    _print("all", total)
    _print_confidence(total)
    if options.cases:
        print("\n".join(total.cases))


if __name__ == "__main__":
    main()
