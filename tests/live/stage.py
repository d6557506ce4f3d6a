"""Plays into a session without a piano and without waiting: time is a number here."""

from collections.abc import Iterator, Sequence

from evaluator.excerpt.song import Song
from evaluator.live.journal import Entry
from evaluator.live.scripted import script_of
from evaluator.live.session import Session, Settings
from evaluator.show.live_page import LivePage
from evaluator.take.model import Take
from tests.live.script import START, opened

STEP = 0.02
"""Seconds between two turns."""


def entries_of(take: Take, *, at: float = 1.0) -> list[Entry]:
    """What a recorder would write of a take whose first note is `at` seconds after the start."""
    first = float(take.onsets[0]) if len(take) else 0.0
    cues = script_of(take, START + at - first)
    return [opened(), *(Entry("message", cue.at, cue.delta, cue.raw) for cue in cues)]


def perform(
    session: Session, entries: Sequence[Entry], *, until: float, start: float = START
) -> Iterator[tuple[float, LivePage]]:
    """Host time and page after every turn, up to `until` or the end of the song.

    What the session has entered in the journal comes back to it, as from a recorder.
    """
    waiting = list(entries)[::-1]
    now = start
    while now < until and not session.over:
        while waiting and waiting[-1].host <= now:
            session.take_in(waiting.pop(), now)
        session.step(now)
        while session.orders:
            order, *numbers = session.orders.popleft().split()
            if order == "begin":
                session.take_in(Entry("begin", float(numbers[0])), now)
        yield now, session.page(now)
        now += STEP


def performed(song: Song, take: Take, settings: Settings | None = None) -> tuple[Session, LivePage]:
    """A whole take; the session after it and its last page."""
    session = Session(song, settings or Settings())
    last = session.page(START)
    end = START + 1.0 + take.seconds
    for now, page in perform(session, entries_of(take), until=end + 60.0):
        last = page
        if now > end + 5.0:
            break
    session.finish(now)
    return session, last
