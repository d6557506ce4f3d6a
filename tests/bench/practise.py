"""Does the lesson at the piano keep what it promises?

    python -m tests.bench.practise              everything, about five minutes
    python -m tests.bench.practise --lessons 4  fewer simulated lessons
    python -m tests.bench.practise --only jack  one table: together, judged, jack

together  how far from the student's own beat does the accompaniment strike, once three bars were
          played? Students of two hands who play one hand and hear the other, on invented songs
judged    are the times through judged as `grade --bars` judges the same notes?
jack      the first, over a real transport, with the student in another process

The student's own beat is known, because the student is simulated: from it single strikes stray,
and its tempo wanders (`tests.bench.students.HANDS`). The last one needs JACK (Debian: jackd2).
"""

import argparse
import itertools
import os
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import numpy as np

from evaluator.chart import read_chart
from evaluator.chart.graph import BarGraph, Hand
from evaluator.errors import TakeError
from evaluator.excerpt.one_hand import OTHER
from evaluator.grading import grade_fully, prepare
from evaluator.live.drill import Drill
from evaluator.live.lesson import Lesson, Wishes
from evaluator.live.sound_file import part
from evaluator.live.stretch import Stretch
from evaluator.practise.accompaniment import NOTE_ON
from evaluator.practise.times import TimeThrough
from tests.bench.figures import Figure, share, show
from tests.bench.students import HANDS, HandName
from tests.cli.commands import CHART
from tests.live.jack import ENVIRONMENT, PATIENT, Jack, Listening
from tests.live.lessons import Room, drill
from tests.live.pupil import Pupil
from tests.live.student import GOOD, Student, Time, Truth
from tests.playing import Fault, Missed, WrongBass, WrongChord

FIRST = 1000
"""Seeds from here on are for the reported figures."""
BARS = 3
"""Bars of a stretch after which the accompaniment is to be with the student."""
AIM_MS = 30.0
NEAR_MS = 250.0
"""A strike that is further from its place was not meant for it."""
MOST_REAL = 2
"""Lessons over a real transport, each of `SECONDS` on the clock."""
PASSAGES = (("1-4", (0, 1, 2, 3)), ("5-6", (4, 5)), ("9-12", (8, 9, 10, 11)))
SECONDS = 75.0


def strayed(
    truths: Sequence[Truth], struck: Sequence[float], places: Sequence[float], bar: float
) -> list[float]:
    """Milliseconds from the student's own beat to each strike of the accompaniment; none (nan)
    where there was no strike.

    `struck`: when the accompaniment struck; `places`: where it is to strike in the passage,
    written seconds.
    """
    found = []
    played, before = 0.0, None
    for truth in truths:
        if before is None or truth.begins[0] - before > 0.05:
            played = 0.0
        before = truth.begins[-1]
        for place in places:
            if played + place < BARS * bar:
                continue
            due = float(np.interp(place, truth.written, truth.begins))
            if due > struck[-1]:  # the lesson was over
                continue
            late = min(((at - due) * 1000 for at in struck), key=abs)
            found.append(late if abs(late) < NEAR_MS else float("nan"))
        played += truth.written[-1]
    return found


def places_of(graph: BarGraph, bars: Sequence[int], hand: Hand) -> list[float]:
    """Places of a hand's strikes in a passage, written seconds from its beginning."""
    found, begin = [], 0.0
    for index in bars:
        bar = graph.bars[index]
        found += [
            begin + float(strike.beat) * bar.seconds_per_beat
            for strike in bar.strikes
            if strike.hand == hand
        ]
        begin += bar.seconds
    return found


def together(lessons: int) -> list[Figure]:
    """The accompaniment of simulated students who lead."""
    figures = []
    for name in ("tidy", "ordinary"):
        for hand in ("right", "left"):
            off = [one for seed in range(lessons) for one in led(name, hand, FIRST + seed)]
            figures += spread(f"{name} student, {hand} hand", off, AIM_MS)
            progress(f"{name} {hand} {len(off)}")
    return figures


def led(name: HandName, hand: Hand, seed: int) -> list[float]:
    """One lesson of a student who plays one hand and is accompanied with the other."""
    words, bars = PASSAGES[seed % len(PASSAGES)]
    of = HANDS[name]
    manner = {"jitter_ms": of.jitter_ms, "spread_ms": of.spread_ms, "wander_pct": of.wander_pct}
    student = Student(CHART, bars, itertools.repeat(GOOD), hand, False, manner, seed)
    room = Room([drill(CHART, words, hand=hand)], student, Wishes(parts=(OTHER[hand],)))
    room.pass_time(SECONDS)
    graph = read_chart(CHART)
    struck = [at for at, raw in room.sounded if raw[0] == NOTE_ON]
    places = places_of(graph, bars, OTHER[hand])
    return strayed(student.truths, struck, places, graph.bars[bars[0]].seconds)


def spread(name: str, off: Sequence[float], aim: float) -> list[Figure]:
    """Median and 95th percentile of the distances, and what was left out."""
    struck = np.abs([one for one in off if not np.isnan(one)])
    if not len(struck):
        return []
    half, most = np.percentile(struck, (50, 95)).tolist()
    return [
        Figure(f"{name}: half within, ms", half, len(struck)),
        Figure(f"{name}: 95 of 100 within, ms", most, len(struck), aim, "at most"),
        share(f"{name}: left out", len(off) - len(struck), len(off)),
    ]


def judged(lessons: int) -> list[Figure]:
    """Bars of the times through that are judged as in a file of the same notes."""
    equal = every = alike = told = 0
    for seed in range(FIRST, FIRST + lessons):
        for course, report in as_in_files(seed):
            for mine, others in zip(course, report, strict=False):
                every += len(PASSAGES[seed % len(PASSAGES)][1])
                equal += len(PASSAGES[seed % len(PASSAGES)][1]) - len(set(mine) ^ set(others))
            alike += min(len(course), len(report))
            told += len(course)
        progress(f"lesson {seed}: {equal}/{every}")
    return [
        share("bars judged alike", equal, every, 0.98),
        share("times through that a file has too", alike, told),
    ]


Wrong = list[tuple[int, ...]]
"""Of each time through the numbers of the bars that were wrong."""


def as_in_files(seed: int) -> Iterator[tuple[Wrong, Wrong]]:
    """Of each stretch of a lesson what was told, and what a file of its notes would get."""
    words, bars = PASSAGES[seed % len(PASSAGES)]
    of = HANDS["ordinary"]
    manner = {"jitter_ms": of.jitter_ms, "spread_ms": of.spread_ms, "wander_pct": of.wander_pct}
    student = Student(CHART, bars, faulty(seed, len(bars)), None, True, manner, seed)
    room = Room([drill(CHART, words)], student, Wishes())
    lesson = Watched("Copper Kettle Row", [drill(CHART, words)], Wishes())
    room.lesson = lesson
    room.pass_time(SECONDS)
    song = prepare(CHART, bars=words)
    for start, end, told in lesson.stretches:
        try:
            report = grade_fully(song, part(lesson.record, start, end)).report
        except TakeError:
            report = None
        yield told, [] if report is None else [one.wrong for one in report.passes]


class Watched(Lesson):
    """A lesson of which is noted what it told of each stretch."""

    def __init__(self, title: str, drills: Sequence[Drill], wishes: Wishes) -> None:
        self.stretches: list[tuple[float, float, Wrong]] = []
        self._seen: Stretch | None = None
        super().__init__(title, drills, wishes)

    def _tell(self, one: TimeThrough, now: float) -> bool:
        stretch = self._stretch
        assert stretch is not None
        if stretch is not self._seen:
            self._seen = stretch
            self.stretches.append((stretch.opened, 0.0, []))
        start, _, told = self.stretches[-1]
        self.stretches[-1] = (start, self.record.seconds(now), [*told, one.wrong])
        return super()._tell(one, now)


def faulty(seed: int, length: int) -> Iterator[Time]:
    """Every other time something is wrong."""
    dice = random.Random(seed)
    while True:
        kinds: list[Fault] = [
            WrongBass(dice.randint(1, length), "F"),
            WrongChord(dice.randint(1, length), "Fm"),
            Missed(dice.randint(1, length), 1.0, "right"),
        ]
        yield Time(faults=(dice.choice(kinds),) if dice.random() < 0.5 else ())


def jack(lessons: int) -> list[Figure]:
    """The accompaniment as it arrives at a student in another process."""
    off: list[float] = []
    with tempfile.TemporaryDirectory() as name:
        os.environ.update(ENVIRONMENT, EVALUATOR_HISTORY=f"{name}/history")
        server = Jack(Path(name) / "jackd.log")
        server.stop()
        server.start(*PATIENT)
        try:
            for seed in range(FIRST, FIRST + min(lessons, MOST_REAL)):
                off += over_jack(Path(name), seed)
                progress(f"lesson {seed}: {len(off)}")
        finally:
            server.stop()
    return spread("tidy student, right hand", off, AIM_MS)


def over_jack(folder: Path, seed: int) -> list[float]:
    """One lesson of a student who plays the right hand."""
    (folder / "row.txt").write_text(CHART, encoding="utf-8")
    words, bars = PASSAGES[seed % len(PASSAGES)]
    of = HANDS["tidy"]
    spec = {
        "chart": CHART,
        "bars": list(bars),
        "plan": [{}] * 60,
        "hand": "right",
        "click_goes_on": False,
        "manner": {
            "jitter_ms": of.jitter_ms,
            "spread_ms": of.spread_ms,
            "wander_pct": of.wander_pct,
        },
        "seed": seed,
    }
    pupil = Pupil("pupil", spec, folder)
    options = ("--port", "pupil", "--bars", words, "--with", "left", "--plain")
    program = Listening(folder, "row.txt", *options, command="practise")
    try:
        time.sleep(SECONDS)
        log = pupil.log()
        program.stop()
    finally:
        program.kill()
        pupil.kill()
    truths = [Truth(*one) for one in log["truths"]]
    struck = [at for at, raw in log["heard"] if raw.startswith("90")]
    graph = read_chart(CHART)
    places = places_of(graph, bars, "left")
    return strayed(truths, struck, places, graph.bars[bars[0]].seconds)


TABLES: dict[str, Callable[[int], list[Figure]]] = {
    "together": together,
    "judged": judged,
    "jack": jack,
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, allow_abbrev=False)
    parser.add_argument("--lessons", type=int, default=9)
    parser.add_argument("--only", choices=TABLES)
    options = parser.parse_args()
    for name, table in TABLES.items():
        if options.only in (None, name):
            show(name, table(options.lessons), {})


def progress(text: str) -> None:
    print(f"\r{text:<60}", end="", file=sys.stderr, flush=True)


if __name__ == "__main__":
    main()
