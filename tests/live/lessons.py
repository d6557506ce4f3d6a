"""A lesson without a piano and without waiting: time is a number here."""

import heapq
from collections.abc import Sequence

from evaluator.chart.graph import Hand
from evaluator.grading import prepare
from evaluator.live.drill import Drill, Rung
from evaluator.live.drill import drill as made
from evaluator.live.journal import Entry
from evaluator.live.lesson import Lesson, Wishes
from evaluator.practise.ladder import ladder
from evaluator.show.lesson import LessonPage
from tests.live.script import START, opened
from tests.live.student import Student

STEP = 0.01
LOOK = 0.1
"""Seconds between two turns, and between two looks at the page."""


def drill(chart: str, bars: str, *, hand: Hand | None = None, start: float | None = None) -> Drill:
    """A passage of a chart."""
    song = prepare(chart, bars=bars)
    goal = 60.0 / song.graph.bars[song.graph.written[0]].seconds_per_beat
    return made(song, ladder(goal, start=start), hand=hand)


class Room:
    """A lesson and a student in one room."""

    def __init__(self, drills: Sequence[Drill], student: Student, wishes: Wishes) -> None:
        self.kept: list[Rung] = []
        self.lesson = Lesson("Copper Kettle Row", drills, wishes, self.kept.append)
        self.student = student
        self.pages: list[tuple[float, LessonPage]] = []
        self.sounded: list[tuple[float, bytes]] = []
        self._waiting: list[tuple[float, bytes]] = []
        self._now, self._looked = START, START - LOOK

    def pass_time(self, seconds: float) -> LessonPage:
        """From the opening of the port until the lesson is over, or so long; the last page."""
        self.lesson.take_in(opened(), START)
        self.go_on(seconds)
        return self.lesson.page(self._now)

    def go_on(self, seconds: float) -> None:
        """So long, or until the lesson is over."""
        lesson, student, until = self.lesson, self.student, self._now + seconds
        while self._now < until and not lesson.over:
            now = self._now
            while self._waiting and self._waiting[0][0] <= now:
                at, raw = heapq.heappop(self._waiting)
                self.sounded.append((at, raw))
                student.hear(at, raw)
            for at, raw in student.due(now):
                lesson.take_in(Entry("message", at, 1e9, raw), now)
            lesson.step(now)
            while lesson.orders:
                order, *words = lesson.orders.popleft().split()
                if order == "hush":
                    self._waiting.clear()
                elif order == "play":
                    heapq.heappush(self._waiting, (float(words[0]), bytes.fromhex(words[1])))
            if now >= self._looked + LOOK:
                self._looked = now
                self.pages.append((now, lesson.page(now)))
            self._now += STEP
