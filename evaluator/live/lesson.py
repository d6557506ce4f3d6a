"""What happens in a lesson at the piano, from the first key to the last time through?

    no piano -> ready -> counting -> playing -> ... -> resting -> ... -> over
                  ^________away________|

A state machine like `Session`, without files, ports or clocks of its own. A key that is struck
asks for the count-in. Then the passage is played round and round; each time through is judged as
it ends and told in a line. When the tempo changes it is counted in anew, as it is after a pause
where the click leads; where the student leads, it goes on when the student does.

Units: `now` is the host's clock, seconds; inside, seconds of the take.
"""

from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf

from evaluator.live import lesson_words as words
from evaluator.live.drill import Course, Drill, Rung
from evaluator.live.examiner import Examiner
from evaluator.live.journal import Entry
from evaluator.live.lesson_page import Board
from evaluator.live.playing_along import WHILE_JUDGING, PlayingAlong
from evaluator.live.record import TICKS, Record, is_played
from evaluator.live.session import ANTICIPATION
from evaluator.live.stretch import Stretch
from evaluator.practise.accompaniment import Part
from evaluator.practise.guide import count_in_bars
from evaluator.practise.resting import Rest, Stint
from evaluator.show.lesson import LessonPage, LessonState

BREATH_BEATS = 2.0
"""Beats between a word about the tempo and the count-in."""
SILENCE = 1.0
"""Seconds of silence before a key that asks for the count-in: who has not yet seen that something
is over plays on."""
PATIENCE = 20.0
"""Seconds without a note after which a key has to ask for the count-in again."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the student has asked for."""

    parts: tuple[Part, ...] = ("click",)
    """What the piano plays along."""
    seconds: float = 1200.0
    """How long the lesson is at most."""
    counts: bool = True
    """Counts in. A recorded take does not wait for that: it is taken as it comes."""


class Lesson:
    """Some passages, one after another."""

    def __init__(
        self,
        title: str,
        drills: Sequence[Drill],
        wishes: Wishes,
        keep: Callable[[Rung], None] = lambda _: None,
    ) -> None:
        """`keep` is given each rung of a ladder as it grows."""
        self.record = Record()
        self._along = PlayingAlong(wishes.parts)
        self.orders = self._along.orders
        """What the recorder is to do, to be handed on."""
        self.over = False
        self.courses: list[Course] = []
        """What was practised, and the one that is."""
        self._waiting = deque(drills)
        self._wishes = wishes
        self._state: LessonState = "no piano"
        self._board = Board(title, drills[0])
        self._stint = Stint()
        self._then = inf
        """Host seconds up to which the lesson has gone."""
        self._examiner = Examiner(self.record, self._board, keep)
        self._stretch: Stretch | None = None
        self._begin = 0.0
        """Host seconds at which the bar after the count-in begins."""
        self._count_at: float | None = None
        """When it is to be counted in."""
        self._last_note = 0.0
        self._between = False
        """Whether a time through was just over."""
        self._failed_at = -1
        self._next_drill(0.0)

    @property
    def said(self) -> Sequence[str]:
        """Every sentence so far."""
        return self._board.said

    @property
    def _course(self) -> Course:
        return self.courses[-1]

    def take_in(self, entry: Entry, now: float) -> None:
        """Something has come from the recorder; `now` is host seconds."""
        event = self.record.take_in(entry)
        if entry.kind == "open" and not self.over:
            self._board.heard_of(entry.text)
            self._wait_for_key()
        elif entry.kind == "gone":
            self._drop()
            self._state = "away" if self.record.begun else "no piano"
        elif entry.kind == "refused":
            self._board.refused(entry.text)
        if event is not None:
            tick, raw = event
            if is_played(raw):
                self._struck(tick / TICKS, raw, now)

    def _struck(self, onset: float, raw: bytes, now: float) -> None:
        before, self._last_note = self._last_note, now
        self._board.struck(frozenset(key & 0x7F for key in self.record.sounding))
        if self._state in ("ready", "resting"):
            if self._wishes.counts and now - before < SILENCE:
                return  # still playing what is over
            self._board.notes = ()
            if self._wishes.counts:
                self._count(now + self._course.beat, now)
                return
            self._state = "playing"
        if self._state == "playing" and self._stretch is None and self._count_at is None:
            self._begin_stretch(now - self.record.seconds(now) + onset, now)
        if self._stretch is not None and onset >= self._stretch.opened - 1e-6:
            self._stretch.heard(onset, raw[1], raw[2])

    def step(self, now: float) -> None:
        """Let time go by: count in, judge what is over, look whether to rest or to end."""
        gone, self._then = now - min(self._then, now), now
        if self.record.begun and not self.over:
            playing = self._state in ("counting", "playing")
            self._stint = self._stint.after(gone, playing=playing)
        if self._count_at is not None and now >= self._count_at:
            self._count(self._count_at, now)
        if self._state == "counting" and now >= self._begin:
            self._state = "playing"
        stretch = self._stretch
        if stretch is not None:
            at = self.record.seconds(now)
            stretch.step(at)
            self._along.go_on(stretch, now - at)
            if stretch.due():
                self._judge(now)
            elif self._state == "playing" and stretch.paused(at):
                self._pause(now)
        self._mind_the_time(now)

    def finish(self, now: float) -> None:
        """The player, or the replay, has ended the lesson."""
        if self._stretch is not None and self._stretch.played:
            self._stretch.step(self.record.seconds(now) + ANTICIPATION)
            self._judge(now, paused=self._stretch.complete)
        self._end(now)

    def begin_again(self) -> bool:
        """Go on after following failed; False if it fails again and again."""
        hopeful = self._course.times > self._failed_at
        self._failed_at = self._course.times
        self._drop()
        self._state = "ready"
        return hopeful

    def _count(self, first: float, now: float) -> None:
        """Count in, with the first beat at a moment of the host's clock."""
        self._count_at = None
        beat = self._course.beat
        beats = self._along.count(self._course.drill.bars[0], first, beat)
        self._begin = first + beats * beat
        self._state = "counting"
        self._board.counts(first, beat, beats)
        self._begin_stretch(self._begin, now, early=ANTICIPATION * beat)

    def _begin_stretch(self, host: float, now: float, *, early: float = 0.0) -> None:
        """It is played from a moment of the host's clock on, or a little earlier."""
        course = self._course
        at = self.record.seconds(now) + host - now
        stretch = Stretch(course.drill.song, course.ratio, at, opened=max(at - early, 0.0))
        self._stretch = stretch
        if self._wishes.counts:
            self._along.begin(course.drill.score, stretch, host, course.ratio)

    def _judge(self, now: float, *, paused: bool = False) -> None:
        """Tell the times through that are over; `paused`: so is the last one."""
        stretch = self._stretch
        assert stretch is not None
        if not paused:
            since = now - self.record.seconds(now)
            self._along.go_on(stretch, since, ahead=WHILE_JUDGING)
        stretch.judged_notes = stretch.notes
        found = self._examiner.examine(stretch, self._course, now, paused=paused)
        self._between = self._between or found.told
        if found.then == "same":
            return
        self._drop()
        if found.then == "elsewhere":
            self._wait_for_key()
            return
        if found.then == "mastered":
            self._next_drill(now)
        elif self._wishes.counts:
            self._count_at = now + BREATH_BEATS * self._course.beat
        self._go_on_from(stretch, found.end, now)

    def _go_on_from(self, stretch: Stretch, end: float, now: float) -> None:
        """Without a count-in, what was struck after the time that is over belongs to the next."""
        if self._wishes.counts or self.over:
            return
        since = stretch.opened + end - ANTICIPATION * self._course.beat
        self._state = "playing"
        for onset, raw in self.record.played_since(since):
            if self._stretch is None:
                self._begin_stretch(now - self.record.seconds(now) + onset, now)
            assert self._stretch is not None
            self._stretch.heard(onset, raw[1], raw[2])

    def _pause(self, now: float) -> None:
        """The student has stopped: at the end of the passage, or within it."""
        stretch, course = self._stretch, self._course
        assert stretch is not None
        if stretch.played:
            self._judge(now, paused=True)
        if self._stretch is not stretch or course is not self._course:
            return
        finished = stretch.at_end
        self._drop()
        if not self._wishes.counts or (finished and not self._along.click_leads):
            self._state = "playing"
        elif finished:
            self._count_at = now
        else:
            self._wait_for_key()

    def _wait_for_key(self) -> None:
        self._state = "ready"
        if self._wishes.counts:
            self._board.notes = (words.ready(count_in_bars(self._course.drill.bars[0])),)

    def _drop(self) -> None:
        """The stretch is over, whatever became of it."""
        self._stretch = self._count_at = None
        self._along.hush()

    def _next_drill(self, now: float) -> None:
        if not self._waiting:
            self._board.say(words.ALL_DONE)
            self._end(now)
            return
        self.courses.append(Course(self._waiting.popleft(), now))
        self._stint = self._stint.other_passage()
        self._board.practises(self._course)
        for sentence in words.introduced(self._course):
            self._board.say(sentence)
        if self._state != "no piano":
            self._wait_for_key()

    def _mind_the_time(self, now: float) -> None:
        """Between times through: is it time to rest, or over?"""
        between, self._between = self._between, False
        if self.over or (self._stretch is not None and self._stretch.played and not between):
            return
        if self._stint.spent >= self._wishes.seconds:
            self._board.say(words.TIME_OVER)
            self._end(now)
        elif self._stint.due is not None:
            self._rest(self._stint.due, now)
        elif self._is_gone(now):
            self._drop()
            self._wait_for_key()

    def _is_gone(self, now: float) -> bool:
        """Whether nobody seems to be playing any more."""
        waits = self._state == "playing" and self._count_at is None
        return waits and now - max(self._last_note, self._begin) > PATIENCE

    def _rest(self, rest: Rest, now: float) -> None:
        self._board.say(words.REST[rest])
        self._board.say(words.CAUTION)
        self._stint = self._stint.rested()
        self._drop()
        if rest == "passage" and self._waiting:
            self._next_drill(now)
        self._wait_for_key()
        self._state = "resting"

    def _end(self, now: float) -> None:
        if self.over:
            return
        self._drop()
        self._state, self.over = "over", True
        for course in self.courses:
            if course.times:
                self._board.say(words.summed_up(course))

    def page(self, now: float) -> LessonPage:
        """The picture of this moment."""
        stretch = self._stretch
        place = None
        if stretch is not None and stretch.played and self._state == "playing":
            place = stretch.where(self.record.seconds(now))
        return self._board.page(self._state, self._course, place, now)
