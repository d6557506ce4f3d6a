"""How was what was played of a passage, and what does that mean for how the lesson goes on?

Everything of a stretch is judged by the very function that judges a file; each time through that
is over is told in a line and counted towards the next step of the tempo. What was played in
another place of the song is told as that, and not counted: what was nowhere right in the passage,
and is explained, bar for bar and most of it outside the passage, by the song as a whole.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from typing import Final, Literal

from evaluator.errors import TakeError
from evaluator.excerpt.song import Song
from evaluator.grading import grade_fully
from evaluator.live import lesson_words as words
from evaluator.live.drill import Course, Rung
from evaluator.live.lesson_page import Board
from evaluator.live.record import Record
from evaluator.live.sound_file import part
from evaluator.live.stretch import Stretch
from evaluator.practise.times import BROKEN_OFF, TimeThrough, line, times
from evaluator.report.model import Report
from evaluator.report.places import bar_numbers, capital

LEAST, CLEARLY = 2, 0.75
"""Bars of another place, and their part of what was played, that must be right for that place
to be believed to have been meant. Common practice, no source."""
TOLD: Final = 16
"""More bars than this are most of the song, rather than a place."""


def elsewhere(whole: Song, passage: set[int], midi_bytes: bytes) -> list[int]:
    """The numbers of the bars outside the passage that were played instead of it.

    Empty if the passage itself was meant, or nothing can be told. `passage`: numbers of its bars.
    """
    try:
        found = grade_fully(whole, midi_bytes).report
    except TakeError:
        return []
    right = [
        bar.number
        for bar in found.bars
        if bar.verdict.judged and all(fault.kind == "slip" for fault in bar.faults)
    ]
    outside = [number for number in right if number not in passage]
    enough = len(outside) >= LEAST and len(outside) >= CLEARLY * len(found.bars)
    return outside if enough else []


Then = Literal["same", "tempo", "mastered", "elsewhere"]
"""How a lesson goes on
    same       at the same tempo, without a stop
    tempo      at another tempo
    mastered   with another passage
    elsewhere  once the student has come back to the passage
"""


@dataclass(frozen=True, slots=True)
class Examined:
    """What became of a stretch so far."""

    then: Then
    told: bool = False
    """Whether a time through was over and was told."""
    end: float = inf
    """Where the time through that changed how the lesson goes on was over, seconds of the stretch;
    infinite if nothing that was played comes after it."""


class Examiner:
    """Judges each stretch of a lesson, and says how it was."""

    def __init__(self, record: Record, board: Board, keep: Callable[[Rung], None]) -> None:
        """`keep` is given each rung of a ladder as it grows."""
        self._record, self._board, self._keep = record, board, keep

    def examine(self, stretch: Stretch, course: Course, now: float, *, paused: bool) -> Examined:
        """Tell the times through that are over; `paused`: so is the last one.

        `now`: host seconds.
        """
        report = self._report(stretch)
        if report is None or not report.passes:
            return self._nothing_heard(stretch, course, now, paused=paused)
        found = times(report, course.asked, finished=stretch.at_end)
        over = len(found) if paused else len(found) - 1
        if over:
            self._board.marks(report, report.passes[over - 1])
        told = False
        for number in range(stretch.told, over):
            stretch.told = number + 1
            played = report.passes[number]
            if found[number].nothing_right and self._is_elsewhere(
                stretch, course, played.start, played.end
            ):
                continue
            then, told = self._tell(found[number], course, now), True
            if then != "same":
                return Examined(then, told, played.end)
        hand = report.take.hand
        if over and hand is not None and hand != course.drill.song.hand:
            self._board.say(words.ONE_HAND.format(hand=hand), once=True)
        return Examined("same", told)

    def _report(self, stretch: Stretch) -> Report | None:
        """What `grade --bars` says of this stretch; None where there is nothing to judge."""
        try:
            return grade_fully(stretch.song, part(self._record, stretch.opened)).report
        except TakeError:
            return None

    def _nothing_heard(
        self, stretch: Stretch, course: Course, now: float, *, paused: bool
    ) -> Examined:
        """What was played is not the passage, or too little of it to tell."""
        if self._is_elsewhere(stretch, course):
            return Examined("elsewhere")
        if paused and stretch.notes and len(stretch.following.strikes) < len(stretch.owed):
            return Examined(self._tell(BROKEN_OFF, course, now), told=True)
        if paused:
            numbers = course.drill.numbers
            self._board.say(capital(words.NOT_HEARD.format(numbers=numbers)))
        return Examined("same")

    def _is_elsewhere(
        self, stretch: Stretch, course: Course, start: float = 0.0, end: float = inf
    ) -> bool:
        """Whether, from some second of a stretch on, another place of the song was played."""
        drill = course.drill
        asked = {bar.number for bar in drill.bars}
        midi = part(self._record, stretch.opened + start, stretch.opened + end)
        found = elsewhere(drill.whole, asked, midi)
        if found:
            other = bar_numbers(found) if len(found) <= TOLD else words.MOST
            self._board.say(words.OTHER_PLACE.format(other=other, numbers=drill.numbers))
        return bool(found)

    def _tell(self, time: TimeThrough, course: Course, now: float) -> Then:
        """One time through is over."""
        before = course.ladder
        self._keep(course.after(time, now))
        self._board.say(line(course.times, time))
        ladder = course.ladder
        if ladder.mastered:
            self._board.say(capital(words.MASTERED.format(numbers=course.drill.numbers)))
            return "mastered"
        if ladder.bpm == before.bpm:
            if ladder.lowest and before.bad and not ladder.bad and not time.good:
                self._board.say(words.LOWEST, once=True)
            return "same"
        told = words.UP if ladder.bpm > before.bpm else words.DOWN
        self._board.say(told.format(bpm=ladder.bpm))
        return "tempo"
