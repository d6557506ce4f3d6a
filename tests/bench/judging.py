"""How often are the judges right where the bars are placed as they were truly played?

    python -m tests.bench.judging --tuning --takes 24 --cases

The figures of `tests.bench.follow` for chord, bass and rhythm on the same simulated takes,
but along the path that a perfect follower would find (`tests/judge/truth_path.py`): what
is wrong here is wrong in the judges. `--bar-line-ms` and `--astray` make the path as
inexact as a real one. The seeds for tuning and for reporting are those of
`tests.bench.follow`, and so is what counts as found.

The same of players who do not play the pattern: `tests.bench.manners --judges`.

Figures go to the standard output.
"""

import argparse
import time
from functools import partial
from multiprocessing import get_context

from evaluator.judge import judge
from evaluator.take.midi_file import read_take
from evaluator.take.strike import strikes
from tests.bench.figures import show
from tests.bench.follow import ALL, FIRST_REPORTED, figures, together
from tests.bench.scoring import Tally, score
from tests.bench.students import MANY, HandName, simulate
from tests.judge.truth_path import truth_path

OF_FORM = ("form", "F1", "placed")
"""Words of the figures that say nothing here: the path has the bars and the form right."""


def measure(job: tuple[int, HandName], *, bar_line_ms: float, astray: float) -> Tally:
    """One simulated take along its true path; `seconds` are the judges' alone."""
    seed, hand = job
    take = simulate(seed, hand, faults=MANY)
    notes = read_take(take.midi_bytes)
    heard = strikes(notes)
    path = truth_path(
        take.graph, take.performance, heard, bar_line_ms=bar_line_ms, astray=astray, seed=seed
    )
    begun = time.process_time()
    judgement = judge(take.graph, notes, heard, path)
    seconds = time.process_time() - begun
    tally = score(f"{hand} {seed}", take.graph, take.truth, path, judgement)
    tally.seconds = seconds
    return tally


def main() -> None:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--takes", type=int, default=60, help="simulated takes for each hand")
    parser.add_argument("--first", type=int, help="the first seed, if another than usual")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--tuning", action="store_true", help="the seeds used for tuning")
    parser.add_argument("--bar-line-ms", type=float, default=0.0, help="scatter of bar lines")
    parser.add_argument("--astray", type=float, default=0.0, help="share of strikes misplaced")
    parser.add_argument("--cases", action="store_true", help="print every case that fails")
    options = parser.parse_args()
    first = options.first or (1 if options.tuning else FIRST_REPORTED)
    work = [(seed, hand) for hand in ALL for seed in range(first, first + options.takes)]
    one = partial(measure, bar_line_ms=options.bar_line_ms, astray=options.astray)
    totals = {hand: Tally() for hand in ALL}
    with get_context("spawn").Pool(options.jobs) as pool:
        for (_, hand), tally in zip(work, pool.imap(one, work), strict=True):
            totals[hand].add(tally)
    asked = [row for row in figures(totals) if not any(word in row.name for word in OF_FORM)]
    each = [{row.name: row.value for row in figures(dict.fromkeys(ALL, totals[h]))} for h in ALL]
    beside = {row.name: [column[row.name] for column in each] for row in asked}
    every = together(totals, ALL)
    title = f"{every.takes} takes along their true paths, then of {', '.join(ALL)} hands each"
    show(title, asked, beside)
    bars = every.wanted["placed"]
    print(f"  {100_000 * every.seconds / max(bars, 1):.1f} ms for 100 bars, judged")
    if options.cases:
        print("\n".join(every.cases))


if __name__ == "__main__":
    main()
