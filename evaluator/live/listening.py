"""How do recorder, session and screen run together?

One loop of ten milliseconds: what the recorder wrote goes to the session, what the
session wants goes to the recorder, and ten times a second at most the screen is shown the
page if it has changed. Whatever breaks here breaks above the recorder: a screen that
fails is replaced by lines of plain text, an output that takes nothing more by nothing, and
if following fails it begins again from there; the take is recorded to its end whatever
happens, and judged from its file.
"""

import time
from collections import deque
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import Final, Generic, Protocol, TypeVar

from evaluator.errors.fault import told
from evaluator.live.capture import Capture
from evaluator.live.clock import Clock, host_clock
from evaluator.live.journal import Entry
from evaluator.live.recover import save

PERIOD: Final = 0.010
FRAME: Final = 0.1
"""Seconds between two pictures, at least."""

SCREEN_BROKE: Final = "The display failed; the take goes on, shown line by line."
FOLLOWING_AGAIN: Final = "Following failed and starts again from here; nothing is lost."
FOLLOWING_BROKE: Final = (
    "Following failed; the take is still being recorded, and will "
    "be judged when you end it with Enter or Ctrl-C."
)


Page = TypeVar("Page")
Shown = TypeVar("Shown", contravariant=True)
Made = TypeVar("Made", covariant=True)


class Screen(Protocol[Shown]):
    """Where pages are shown; both methods may raise `OSError` where nothing more can be written."""

    def show(self, page: Shown) -> None:
        """Show a page in the place of the one before."""

    def tell(self, sentence: str) -> None:
        """Say a sentence that stays."""


class Playing(Protocol[Made]):
    """What is played: a song once through (`Session`), or a lesson (`Lesson`)."""

    over: bool
    orders: deque[str]

    def take_in(self, entry: Entry, now: float) -> None:
        """Something has come from the recorder. `now` is host seconds, here and below."""

    def step(self, now: float) -> None:
        """Let time go by."""

    def finish(self, now: float) -> None:
        """The player, or the replay, has ended it."""

    def begin_again(self) -> bool:
        """Go on after following failed; False if there is no use in it."""

    def page(self, now: float) -> Made:
        """The picture of this moment."""


class Listening(Generic[Page]):
    """One take being listened to."""

    def __init__(
        self,
        session: Playing[Page],
        capture: Capture,
        screens: Sequence[Screen[Page]],
        *,
        clock: Clock,
    ) -> None:
        """`screens`: the one to use, and the one for when it breaks."""
        self.session, self.capture = session, capture
        self.troubles: list[str] = []
        """What broke, and where; each once."""
        self._screen, self._other = screens
        self._clock = clock
        self._follows = True
        self._shows = True
        self._unshown: OSError | None = None
        """Why nothing can be shown any more, if the system says so."""
        self._shown: Page | None = None
        self._shown_at = -1.0

    def run(self, stopped: Callable[[], bool]) -> None:
        """Until the song is over, the replay has ended, or the player stops it.

        Raises `CaptureError` if nothing can be recorded any more, and at the end what the
        system said (`OSError`) if not everything could be shown.
        """
        while True:
            over = self.step() or stopped()
            if over:
                break
            time.sleep(PERIOD)
        self._guarded(lambda: self.session.finish(self._clock()))
        self._show(at_once=True)
        if self._unshown is not None:
            raise self._unshown

    def step(self) -> bool:
        """One turn; whether the song or the replay is over."""
        entries = self.capture.read()
        if any(entry.kind == "gone" for entry in entries):
            # Before anything else is done with a port that has vanished.
            self.save()
        if not self._follows:
            return self.capture.ended
        now = self._clock()

        def take_in() -> None:
            for entry in entries:
                self.session.take_in(entry, now)

        # What was struck is shown before it is judged, which may take longer.
        self._guarded(take_in)
        self._show()
        self._guarded(lambda: self.session.step(now))
        while self.session.orders:
            self.capture.order(self.session.orders.popleft())
        self._show()
        return self.session.over or self.capture.ended

    def save(self) -> None:
        """Write the take as far as it goes; if that cannot be, it is told at the end."""
        with suppress(OSError):
            save(self.capture.journal)

    def _guarded(self, turn: Callable[[], None]) -> None:
        if not self._follows:
            return
        try:
            turn()
        except Exception as fault:  # noqa: BLE001 - the recording must go on whatever it is
            self._note(fault)
            self._follows = self.session.begin_again()
            if self._follows:
                self._tell(FOLLOWING_AGAIN)
            else:
                self._screen = self._other
                self._tell(FOLLOWING_BROKE)

    def _show(self, *, at_once: bool = False) -> None:
        """Show the page if it has changed and the last one has stood long enough."""
        if not at_once and host_clock() - self._shown_at < FRAME:
            return
        self._guarded(self._draw)

    def _draw(self) -> None:
        page = self.session.page(self._clock())
        if page == self._shown or not self._shows:
            return
        try:
            self._screen.show(page)
            self._shown, self._shown_at = page, host_clock()
        except OSError as error:
            # Whoever plays goes on playing.
            self._unshown, self._shows = error, False
        except Exception as fault:  # noqa: BLE001 - nor must a picture end it
            self._note(fault)
            self._shows = self._screen is not self._other
            self._screen = self._other
            self._tell(SCREEN_BROKE)

    def _note(self, fault: Exception) -> None:
        trouble = told(fault)
        if trouble not in self.troubles:
            self.troubles.append(trouble)

    def _tell(self, sentence: str) -> None:
        if not self._shows:
            return
        try:
            self._screen.tell(sentence)
        except OSError as error:
            self._unshown, self._shows = error, False
