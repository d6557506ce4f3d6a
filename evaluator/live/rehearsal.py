"""What if a lesson was played before?

A recorded take goes through a lesson as if it were being played, by a clock of its own that runs
as fast as there is something to judge.
"""

from collections.abc import Iterator
from typing import Final

from evaluator.live.journal import Entry
from evaluator.live.lesson import Lesson
from evaluator.live.scripted import script_of
from evaluator.live.stretch import STUCK
from evaluator.show.lesson import LessonPage
from evaluator.take.model import Take

STEP: Final = 0.02
"""Seconds of the take between two looks,"""
SHOWN: Final = 25
"""and looks from one page to the next."""
SILENCE: Final = 2 * STUCK
"""Seconds after the last note, in which the last time through comes to its end."""


def rehearse(lesson: Lesson, take: Take, name: str) -> Iterator[LessonPage]:
    """The pages of the lesson, until the take or the lesson is over."""
    cues = script_of(take, 0.0)
    lesson.take_in(Entry("open", 0.0, text=name), 0.0)
    at, looks, now = 0, 0, 0.0
    while not lesson.over and now < take.seconds + SILENCE:
        while at < len(cues) and cues[at].at <= now:
            cue = cues[at]
            lesson.take_in(Entry("message", cue.at, cue.delta, cue.raw), now)
            at += 1
        lesson.step(now)
        lesson.orders.clear()
        looks, now = looks + 1, now + STEP
        if looks % SHOWN == 0:
            yield lesson.page(now)
    lesson.finish(now)
    yield lesson.page(now)
