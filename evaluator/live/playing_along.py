"""What is sent to the piano in a lesson: the count-in, and what plays along?

Orders for the recorder, which sends each message at its moment. The count-in is sent as a
whole; the accompaniment a little ahead, from turn to turn.

Units: host seconds, unless said otherwise.
"""

from collections import deque
from collections.abc import Sequence
from typing import Final

from evaluator.chart.graph import Bar
from evaluator.live.accompanist import AHEAD, Accompanist, Pulse
from evaluator.live.stretch import Stretch
from evaluator.practise.accompaniment import Part, count_in, sounds

WHILE_JUDGING: Final = 0.6
"""Seconds of the accompaniment that are handed on before something that takes so long."""
BEYOND: Final = 1e-3
"""Written seconds by which it goes on after the strike that told where the student is."""


class PlayingAlong:
    """The program's own part in a lesson."""

    def __init__(self, parts: Sequence[Part]) -> None:
        self.orders: deque[str] = deque()
        self._parts = parts
        self._accompanist: Accompanist | None = None
        self._led = Pulse(0.0, 0.0, 1.0)
        """Where the click is, if it leads."""

    @property
    def click_leads(self) -> bool:
        """Whether the student follows the click, and not the piano the student."""
        return "click" in self._parts

    def count(self, bar: Bar, first: float, beat: float) -> int:
        """Count in before a bar; returns how many beats that takes. `first`: moment of the first
        beat, `beat`: seconds of one."""
        strokes = count_in(bar)
        for at, raw in strokes:
            self._play(first + at * beat, raw)
        return len(strokes)

    def begin(self, bars: Sequence[Bar], stretch: Stretch, host: float, ratio: float) -> None:
        """Play along with a stretch that begins at the moment `host`, at `ratio` played seconds a
        written one; `bars` are those of the passage with both hands."""
        self._led = Pulse(0.0, host, ratio)
        self._accompanist = Accompanist(
            sounds(bars, self._parts), stretch.owed, stretch.length, leads=self.click_leads
        )

    def go_on(self, stretch: Stretch, since: float, *, ahead: float = AHEAD) -> None:
        """Order what is to sound within `ahead` seconds from now. `since`: the moment at which the
        seconds of the take count from 0."""
        if self._accompanist is None:
            return
        now = since + stretch.now
        pulse, struck = self._led, stretch.place
        if not self.click_leads:
            own = stretch.pulse
            pulse = Pulse(own.place, since + own.at, own.ratio)
            if stretch.jumped:
                stretch.jumped = False
                self.orders.append("hush")
                self._accompanist.goes_to(stretch.place + BEYOND)
        for moment, raw in self._accompanist.due(pulse, now, struck, ahead=ahead):
            self._play(moment, raw)

    def hush(self) -> None:
        """No more of it, at once."""
        self._accompanist = None
        self.orders.append("hush")

    def _play(self, moment: float, raw: bytes) -> None:
        self.orders.append(f"play {moment:.6f} {raw.hex()}")
