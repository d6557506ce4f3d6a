"""What becomes of a song whose hard bars are played slowly?

    python -m tests.bench.hard_bars              seeds from 1000
    python -m tests.bench.hard_bars --tuning     seeds below 1000, for tuning

In each take one to four bars, or two together, go at a third to four fifths of the tempo; half of
the takes have wrong chords and basses as well. Nothing was broken off or left out. A row is a
manner of playing; columns as of `tests.bench.manners`. Of chords struck once a bar or twice a slow
one cannot be told from a halt, which is why halts are not counted.
"""

import argparse
import os
import random
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

from evaluator.grading import grade_fully, prepare
from tests.bench.again import CHARTS
from tests.bench.by_hand import chart_text, quicker
from tests.bench.follow import FIRST_REPORTED
from tests.bench.kinds import MIXED, play_kind, song_text
from tests.bench.liberties import bare
from tests.bench.manners import Row, show
from tests.bench.scoring import score
from tests.bench.students import NONE, Simulated
from tests.playing import to_midi

MANNERS = (
    "the pattern",
    "whole notes",
    "half notes",
    "quarters",
    "right hand in eighths",
    "broken in eighths",
    "broken through both hands",
    "broken in the left hand",
)
SPEEDS = (0.33, 0.4, 0.5, 0.6, 0.7, 0.8)
SLIPS = replace(NONE, bars=MIXED.bars)


def slow_take(kind: str, seed: int) -> Simulated:
    """A take with hard bars; the same every time."""
    dice = random.Random(f"{kind} {seed}")
    text = chart_text(dice.choice(CHARTS)) if dice.random() < 0.5 else song_text(seed)
    taken = play_kind(kind, seed, chart_text=text, faults=dice.choice((NONE, SLIPS)))
    performance, count = taken.performance, len(taken.truth.bars)
    for bar in sorted(dice.sample(range(2, count), dice.choice((1, 1, 2, 4))), reverse=True):
        last = min(bar + dice.choice((0, 0, 0, 1)), count - 1)
        slower = quicker(dice.choice(SPEEDS), first=bar, last=last)
        performance = slower(performance, taken.graph)
    return replace(taken, performance=performance, midi_bytes=to_midi(performance))


def measure(job: tuple[str, int]) -> Row:
    """Play it, and see what the report makes of it."""
    take = slow_take(*job)
    graded = grade_fully(prepare(take.chart_text), take.midi_bytes)
    known = graded.judgement.matches and graded.song.hand is None
    form = tuple(finding for finding in graded.judgement.form if finding.kind != "break")
    judgement = replace(graded.judgement, form=form)
    told = score(str(job), bare(take.graph), take.truth, graded.path, judgement)
    return Row(told, known)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--tuning", action="store_true", help="the seeds used for tuning")
    parser.add_argument("--takes", type=int, default=10, help="takes of each manner")
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    options = parser.parse_args()
    first = 1 if options.tuning else FIRST_REPORTED
    jobs = [(kind, seed) for kind in MANNERS for seed in range(first, first + options.takes)]
    rows = {kind: Row() for kind in MANNERS}
    with ProcessPoolExecutor(options.jobs) as pool:
        for (kind, _), row in zip(jobs, pool.map(measure, jobs), strict=True):
            rows[kind].add(row)
    show("hard bars played slowly", rows, live=False)


if __name__ == "__main__":
    main()
