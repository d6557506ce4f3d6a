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

from evaluator.errors import TakeError
from evaluator.grading import grade_fully
from evaluator.live import lesson_words as words
from evaluator.live.drill import Course, Drill, Rung
from evaluator.live.elsewhere import TOLD, elsewhere
from evaluator.live.journal import Entry
from evaluator.live.lesson_page import Board
from evaluator.live.playing_along import WHILE_JUDGING, PlayingAlong
from evaluator.live.record import TICKS, Record, is_played
from evaluator.live.session import ANTICIPATION
from evaluator.live.sound_file import part
from evaluator.live.stretch import Stretch
from evaluator.practise.accompaniment import Part
from evaluator.practise.guide import count_in_bars
from evaluator.practise.resting import Stint
from evaluator.practise.times import BROKEN_OFF, TimeThrough, line, times
from evaluator.report.model import Report
from evaluator.report.places import bar_numbers, capital
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
        self._wishes, self._keep = wishes, keep
        self._state: LessonState = "no piano"
        self._board = Board(title, drills[0])
        self._stint = Stint()
        self._spent = 0.0
        """Seconds of the lesson since its first key."""
        self._then: float | None = None
        """When `step` was called last."""
        self._stretch: Stretch | None = None
        self._begin = 0.0
        """Host seconds at which the bar after the count-in begins."""
        self._count_at: float | None = None
        """When it is to be counted in."""
        self._last_note = 0.0
        self._told = 0
        """Times through of this stretch that were told."""
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
        """Something has come from the recorder."""
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
        """Let time go by."""
        self._spend(now)
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
        self._stretch, self._told = stretch, 0
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
        course = self._course
        report = self._report(stretch)
        if report is None or not report.passes:
            self._nothing_heard(stretch, now, paused=paused)
            return
        found = times(report, course.asked, finished=stretch.at_end)
        over = len(found) if paused else len(found) - 1
        if over:
            self._board.marks(report, report.passes[over - 1])
        for number in range(self._told, over):
            self._told = number + 1
            one = report.passes[number]
            if found[number].nothing_right and self._is_elsewhere(stretch, one.start, one.end):
                continue
            if self._tell(found[number], now):
                self._go_on_from(stretch, one.end, now)
                return
        hand = report.take.hand
        if over and hand is not None and hand != course.drill.song.hand:
            self._board.say(words.ONE_HAND.format(hand=hand), once=True)

    def _nothing_heard(self, stretch: Stretch, now: float, *, paused: bool) -> None:
        """What was played is not the passage, or too little of it to tell."""
        if self._is_elsewhere(stretch):
            self._drop()
            self._wait_for_key()
        elif paused and stretch.notes and len(stretch.following.strikes) < len(stretch.owed):
            self._tell(BROKEN_OFF, now)
        elif paused:
            numbers = self._course.drill.numbers
            self._board.say(capital(words.NOT_HEARD.format(numbers=numbers)))

    def _report(self, stretch: Stretch) -> Report | None:
        """What `grade --bars` says of this stretch; None where there is nothing to judge."""
        try:
            return grade_fully(stretch.song, part(self.record, stretch.opened)).report
        except TakeError:
            return None

    def _tell(self, one: TimeThrough, now: float) -> bool:
        """One time through is over; whether the tempo, or the passage, is another now."""
        course = self._course
        before = course.ladder
        self._keep(course.after(one, now))
        self._between = True
        self._board.say(line(course.times, one))
        ladder = course.ladder
        if ladder.mastered:
            self._board.say(capital(words.MASTERED.format(numbers=course.drill.numbers)))
            self._drop()
            self._next_drill(now)
            return True
        if ladder.bpm == before.bpm:
            if ladder.lowest and before.bad and not ladder.bad and not one.good:
                self._board.say(words.LOWEST, once=True)
            return False
        told = words.UP if ladder.bpm > before.bpm else words.DOWN
        self._board.say(told.format(bpm=ladder.bpm))
        self._drop()
        if self._wishes.counts:
            self._count_at = now + BREATH_BEATS * course.beat
        return True

    def _go_on_from(self, stretch: Stretch, end: float, now: float) -> None:
        """Without a count-in, what was struck after the time that is over belongs to the next."""
        if self._wishes.counts or self.over:
            return
        since = stretch.opened + end - ANTICIPATION * self._course.beat
        notes = [
            (tick / TICKS, raw)
            for tick, raw in self.record.events
            if is_played(raw) and tick / TICKS >= since
        ]
        self._state = "playing"
        for onset, raw in notes:
            if self._stretch is None:
                self._begin_stretch(now - self.record.seconds(now) + onset, now)
            assert self._stretch is not None
            self._stretch.heard(onset, raw[1], raw[2])

    def _is_elsewhere(self, stretch: Stretch, start: float = 0.0, end: float = inf) -> bool:
        """Whether, from some second of a stretch on, another place of the song was played."""
        drill = self._course.drill
        asked = {bar.number for bar in drill.bars}
        midi = part(self.record, stretch.opened + start, stretch.opened + end)
        found = elsewhere(drill.whole, asked, midi)
        if found:
            told = bar_numbers(found) if len(found) <= TOLD else words.MOST
            self._board.say(words.OTHER_PLACE.format(other=told, numbers=drill.numbers))
        return bool(found)

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

    def _spend(self, now: float) -> None:
        """Time goes by; only playing makes hands tired."""
        gone = 0.0 if self._then is None else max(now - self._then, 0.0)
        self._then = now
        if self.record.begun and not self.over:
            self._spent += gone
            if self._state in ("counting", "playing"):
                self._stint = self._stint.after(gone)

    def _mind_the_time(self, now: float) -> None:
        """Between times through: is it time to rest, or over?"""
        between, self._between = self._between, False
        if self.over or (self._stretch is not None and self._stretch.played and not between):
            return
        if self._spent >= self._wishes.seconds:
            self._board.say(words.TIME_OVER)
            self._end(now)
        elif self._stint.due is not None:
            self._rest(now)
        elif self._is_gone(now):
            self._drop()
            self._wait_for_key()

    def _is_gone(self, now: float) -> bool:
        """Whether nobody seems to be playing any more."""
        waits = self._state == "playing" and self._count_at is None
        return waits and now - max(self._last_note, self._begin) > PATIENCE

    def _rest(self, now: float) -> None:
        rest = self._stint.due
        assert rest is not None
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
