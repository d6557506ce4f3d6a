"""What becomes of a song that is broken off, and taken up at another tempo?

    python -m tests.bench.again               seed 1000
    python -m tests.bench.again --seed 1      below 1000 for tuning

Each invented song and each chart of the repository is begun at so many times the tempo at which
it is then taken up, after a halt of one to four seconds, at its beginning or some bars back.
Nothing else is wrong. A row is a ratio of tempi; columns as of `tests.bench.manners`.
"""

import argparse
import os
import random
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

from evaluator.chart import read_chart
from evaluator.grading import grade_fully, prepare
from tests.bench.beginners_songs import OWN_CHARTS
from tests.bench.by_hand import Script, chart_text, played, quicker
from tests.bench.follow import FIRST_REPORTED
from tests.bench.liberties import bare
from tests.bench.manners import Row, show
from tests.bench.scoring import score
from tests.playing import Pause

RATIOS = (0.6, 0.7, 0.8, 0.9, 1.0, 1.1, 1.25, 1.4, 1.5, 1.65)
KINDS = ("the pattern", "half notes", "quarters", "right hand in eighths")
CHARTS = (*OWN_CHARTS, "kettle_lane", "tallow_moon", "ladder_shuffle")
FROM_THE_BEGINNING = 0.6
"""Share of takes that are taken up at the first bar."""


@dataclass(frozen=True, slots=True)
class Case:
    """One take."""

    chart: str
    kind: str
    ratio: float
    until: int
    """Last bar before the halt, from 1,"""
    back: int
    """and the bar with which the song is taken up."""
    seconds: float


def cases(seed: int) -> Iterator[Case]:
    """A take of each song at each ratio."""
    dice = random.Random(seed)
    for chart in CHARTS:
        bars = read_chart(chart_text(chart)).count
        for ratio in RATIOS:
            until, back = dice.randint(2, min(8, bars // 3)), 1
            if dice.random() > FROM_THE_BEGINNING:
                until = dice.randint(bars // 4, bars // 2)
                back = max(1, until - dice.randint(1, 5))
            kind, seconds = dice.choice(KINDS), round(dice.uniform(1.0, 4.0), 1)
            yield Case(chart, kind, ratio, until, back, seconds)


def measure(case: Case) -> tuple[Case, Row]:
    """Play it, and see what the report makes of it."""
    bars = read_chart(chart_text(case.chart)).count
    take = played(
        Script(
            "taken up at another tempo",
            case.chart,
            bars=f"1-{case.until} {case.back}-{bars}",
            kind=case.kind,
            faults=(Pause(case.until + 1, 0.0, case.seconds),),
            after=(quicker(case.ratio, first=1, last=case.until),),
        )
    )
    graded = grade_fully(prepare(take.chart_text), take.midi_bytes)
    known = graded.judgement.matches and graded.song.hand is None
    told = score(str(case), bare(take.graph), take.truth, graded.path, graded.judgement)
    return case, Row(told, known)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seed", type=int, default=FIRST_REPORTED)
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    options = parser.parse_args()
    rows = {ratio: Row() for ratio in RATIOS}
    with ProcessPoolExecutor(options.jobs) as pool:
        for case, row in pool.map(measure, cases(options.seed)):
            rows[case.ratio].add(row)
    named = {f"{ratio:g} times as fast at first": row for ratio, row in rows.items()}
    show("taken up at another tempo", named, live=False)


if __name__ == "__main__":
    main()
