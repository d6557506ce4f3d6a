"""What happens when, from the first look for a piano to the last chord?

    no piano -> ready -> (counting) -> playing <-> away -> over

A state machine without files, ports or clocks of its own: it is given what has come and
what time it is, and gives back a page to look at, clicks to be played, and whether the
song is over. It waits for the first note; it ends by itself when the song's last bar and
a rest have gone by and the keys are up. Notes after the end that belong to no bar do not
keep it from ending; playing on, or again, does.

Units: `now` is the host's clock, seconds; inside, seconds of the take.
"""

from collections import deque
from dataclasses import dataclass

from evaluator.excerpt.song import Song
from evaluator.follow.path import PlayedBar
from evaluator.live.following import Following, name_struck
from evaluator.live.journal import Entry
from evaluator.live.marks import Marks
from evaluator.live.picture import REFUSED, counted, placed
from evaluator.live.record import TICKS, Record, Stamped, is_channel_message, is_played
from evaluator.show.live_page import LivePage, LiveState

REST = 2.5
"""Seconds of rest after the last bar, at least; it is also at least half of that bar."""
REST_GOING_ON = 8.0
"""The same where the song may go on after that bar, since a halt must not end the take, and
while there are still notes: time enough to hear whether the song is being played again."""
REST_UNSURE = 30.0
"""The same after less than half of the song, since practising its end is no playing through it,
and where the last bar was reached over missing ones: in a tail they may be yet to come."""
ENOUGH = 0.5
"""Share of the song."""
HELD_LONGEST = 15.0
"""Seconds after which a key that is still down is taken for a lost message."""
SURE = 0.35
"""Confidence in the last bar from which the end is believed."""
ANTICIPATION = 0.6
"""Beats before the end of the count-in from which on strikes belong to the take."""

ACCENT, BEAT = "click 76 110", "click 77 80"
"""Percussion key and velocity of the click: high and low wood block (General MIDI 1)."""


@dataclass(frozen=True, slots=True)
class Settings:
    """What the player has asked for."""

    count_in: int = 0
    """Bars counted in."""
    bpm: float | None = None
    """Tempo of count-in and click, beats of the song's meter; the chart's own if None."""
    click: bool = False
    """Goes on clicking after the count-in."""
    starts_itself: bool = False
    """Counts in without being asked by a first note, as for a replay."""


class Session:
    """One take, from waiting to the end."""

    def __init__(self, song: Song, settings: Settings) -> None:
        self.song = song
        self.settings = settings
        self.record = Record()
        self.following = Following(song.graph)
        self.orders: deque[str] = deque()
        """What the recorder is to do, to be handed on: click, or enter in the journal that
        the take begins, which takes effect when it is read there."""
        self.over = False
        self._graph = song.graph
        self._state: LiveState = "no piano"
        self._notes: tuple[str, ...] = ()
        self._beat = 60.0 / (settings.bpm or song.graph.bpm)
        self._counted_from: float | None = None
        self._counted = False
        self._clicked = 0
        self._click_at = float("inf")
        self._marks = Marks(song.graph)
        self._pushed = 0
        """Notes that were handed to the following."""
        self._asked_at = 0
        """How many strikes there were when it was asked last whether this is the end."""
        self._last_note = 0.0
        self._struck: frozenset[int] = frozenset()
        """Keys that were down when one was struck last."""
        self._marks.put(self.following, over=False)

    def take_in(self, entry: Entry, now: float) -> None:
        """Something has come from the recorder."""
        if entry.kind == "message" and self._is_strangers(entry.raw):
            return
        before = self.record.begun
        event = self.record.take_in(entry)
        if entry.kind == "open":
            self._opened(entry, now)
        elif entry.kind == "gone":
            self._state = "away" if self.record.begun else "no piano"
        elif entry.kind == "refused":
            self._notes = (REFUSED.format(why=entry.text),)
        elif entry.kind == "begin" and self._state == "counting":
            self._state = "playing"
            for kept in self.record.events:
                self._heard(kept)
        if event is not None:
            if not before:
                self._first_note(now)
            if self._state == "playing":
                self._heard(event)

    def _is_strangers(self, raw: bytes) -> bool:
        """Whether a message is on another channel than the one that was asked for."""
        wanted = self.song.channel
        return wanted is not None and is_channel_message(raw) and raw[0] & 0x0F != wanted

    def _heard(self, event: Stamped) -> None:
        tick, raw = event
        if is_played(raw):
            self._last_note = tick / TICKS
            self._pushed += 1
            self.following.push(self._last_note, raw[1], raw[2])
            # What is let go stays named until something else is struck.
            self._struck = frozenset(key & 0x7F for key in self.record.sounding)

    def _opened(self, entry: Entry, now: float) -> None:
        self._notes = (f"Listening to {entry.text}.",)
        if self.record.begun:
            self._state = "playing"
        elif self._counted_from is None:
            self._state = "ready"
            if self.settings.starts_itself and self.settings.count_in:
                self._count(now)

    def _first_note(self, now: float) -> None:
        if self._state == "ready":
            if self.settings.count_in:
                self._count(now)
                return
            self._clicked, self._click_at = 1, now + self._beat
            self._state = "playing"

    def _count(self, now: float) -> None:
        self._state = "counting"
        self._counted_from = self._click_at = now + self._beat

    def step(self, now: float) -> None:
        """Let time go by."""
        if self._state == "counting" and not self._counted:
            self._counting(now)
        self._clicking(now)
        if not self.record.begun or self._state not in ("playing", "away"):
            return
        at = self.record.seconds(now)
        self.following.step(at, self.record.gaps)
        if self.following.due_to_judge(at):
            self._judge(now)
        if self._state == "playing" and self._is_over(at, now):
            self.finish(now)

    def finish(self, now: float) -> None:
        """The player, or the replay, has ended the take."""
        playing = self.record.begun and self._state in ("playing", "away")
        self._state, self.over = "over", True
        if playing:
            self._judge(now, over=True)

    def begin_again(self) -> bool:
        """Follow from here on as a new start, after following failed; the marks so far stand.

        False if there is no hope: nothing could be followed since the last time.
        """
        if not self.following.strikes:
            return False
        self._marks.begin_again()
        self.following = Following(self._graph, notes=self._pushed)
        self._asked_at = 0
        return True

    def _counting(self, now: float) -> None:
        """At the end of the count the take begins; it may be a little ahead."""
        assert self._counted_from is not None
        beats = self.settings.count_in * self._graph.meter.beats
        end = self._counted_from + beats * self._beat
        early = end - ANTICIPATION * self._beat
        if now >= early:
            self.orders.append(f"begin {early:.6f}")
            self._counted = True

    def _clicking(self, now: float) -> None:
        """The beats of the count-in and, if asked for, all beats after it."""
        bar = self._graph.meter.beats
        counted = self.settings.count_in * bar
        while now >= self._click_at:
            if self._clicked < counted:
                self.orders.append(BEAT if self._clicked % bar else ACCENT)
            elif self.settings.click:
                self.orders.append(BEAT)
            self._clicked += 1
            self._click_at += self._beat * self._pace(now)

    def _pace(self, now: float) -> float:
        """Written length of a beat where the player is, against the song's first one."""
        place = self.following.place(self.record.seconds(now)) if self.record.begun else None
        if place is None:
            return 1.0
        bars = self._graph.bars
        return bars[place.bar].seconds_per_beat / bars[self._graph.written[0]].seconds_per_beat

    def _judge(self, now: float, *, over: bool = False) -> None:
        record, at = self.record, self.record.seconds(now)
        self.following.judge(lambda since: record.take(now, since), at, record.gaps, over=over)
        self._marks.put(self.following, over=self.over)

    def _is_over(self, at: float, now: float) -> bool:
        following = self.following
        held = bool(self.record.sounding) and at - self._last_note < HELD_LONGEST
        if held or not following.strikes:
            return False
        if at - self._last_note >= REST and len(following.strikes) != self._asked_at:
            # Once a rest: is this the end, if nothing more comes?
            self._asked_at = len(following.strikes)
            self._judge(now, over=True)
        last = self._end_of_song(at)
        return last is not None and at >= last.end + self._rest(last, at)

    def _end_of_song(self, at: float) -> PlayedBar | None:
        """The last bar played, if the song may end with it and its time is up."""
        path = self.following.judged.path
        if not path.complete or not path.bars or path.bars[-1].confidence < SURE:
            return None
        return path.bars[-1] if at >= path.bars[-1].end else None

    def _rest(self, last: PlayedBar, at: float) -> float:
        """Seconds after the end of the last bar at which the song is over."""
        graph = self._graph
        path = self.following.judged.path
        rest = max(REST, 0.5 * (last.end - last.start))
        if graph.successors[last.bar] or at - self._last_note < rest:
            rest = max(rest, REST_GOING_ON)
        little = len({bar.bar for bar in path.bars}) < ENOUGH * len(graph.written)
        if little or last.entry == "jump":
            rest = max(rest, REST_UNSURE)
        return rest

    def page(self, now: float) -> LivePage:
        """The picture of this moment."""
        graph = self._graph
        place = None
        if self._state in ("playing", "away") and self.record.begun:
            place = self.following.place(self.record.seconds(now))
        blank = LivePage(
            title=graph.title,
            state=self._state,
            bars=graph.count,
            sections=self._marks.sections,
            beats=graph.meter.beats,
            chart_bpm=graph.bpm,
            sounding=name_struck(self._struck, self._graph, place),
            played=self._marks.bars,
            notes=self._notes if self._state in ("no piano", "ready") else (),
            count=self._count_shown(now),
        )
        return blank if place is None else placed(blank, graph, place)

    def _count_shown(self, now: float) -> tuple[int, int] | None:
        if self._state != "counting" or self._counted_from is None:
            return None
        since = now - self._counted_from
        return counted(since, self._beat, self.settings.count_in, self._graph.meter.beats)
