"""How do recorder, session and screen run together, and what if one breaks? Rules of this
program, no outside source."""

import io
from collections.abc import Iterator
from pathlib import Path

import pytest

from evaluator.grading import prepare
from evaluator.live.clock import host_clock
from evaluator.live.journal import Entry
from evaluator.live.listening import (
    FOLLOWING_AGAIN,
    FOLLOWING_BROKE,
    SCREEN_BROKE,
    Listening,
)
from evaluator.live.session import Session, Settings
from evaluator.show.live_page import LivePage, news
from evaluator.show.live_screen import LineScreen
from evaluator.take.midi_file import read_take
from tests.cli.commands import CHART, take
from tests.live.script import START, gone, opened, stroke
from tests.live.stage import entries_of
from tests.playing import WrongBass

SONG = prepare(CHART)


class ToldCapture:
    """A recorder that hands out what a test has in store, some entries a turn."""

    def __init__(self, journal: Path, *turns: list[Entry]) -> None:
        self.journal = journal
        self.orders: list[str] = []
        self.ended = False
        self._turns = list(turns)

    def read(self) -> list[Entry]:
        if not self._turns:
            self.ended = True
            return []
        return self._turns.pop(0)

    def order(self, text: str) -> None:
        self.orders.append(text)


class BrokenScreen:
    def show(self, page: LivePage) -> None:
        raise RuntimeError("the terminal is on fire")

    def tell(self, sentence: str) -> None:
        raise OSError("the terminal is on fire")


class BrokenSession(Session):
    def step(self, now: float) -> None:
        if self.record.begun:
            raise RuntimeError("lost")


def now_entries() -> Iterator[Entry]:
    yield Entry("open", host_clock(), text="Piano")
    yield Entry("message", host_clock(), 0.0, bytes((0x90, 50, 64)))


def listen(
    tmp_path: Path, session: Session, screen: object | None = None, *, turns: int = 30
) -> tuple[Listening, str]:
    told = io.StringIO()
    lines = LineScreen(told, news)
    capture = ToldCapture(tmp_path / "take.journal", *([one] for one in now_entries()))
    capture._turns += [[] for _ in range(turns)]
    listening = Listening(session, capture, (screen or lines, lines), clock=host_clock)  # type: ignore[arg-type]
    listening.run(lambda: False)
    return listening, told.getvalue()


def test_it_ends_with_the_recorder(tmp_path: Path) -> None:
    listening, told = listen(tmp_path, Session(SONG, Settings()))
    assert listening.session.over
    assert told.splitlines() == ["Listening to Piano.", "Play when you like.", "That was the end."]
    assert listening.troubles == []


def test_a_screen_that_breaks_is_replaced_by_lines(tmp_path: Path) -> None:
    listening, told = listen(tmp_path, Session(SONG, Settings()), BrokenScreen())
    assert SCREEN_BROKE in told
    assert "That was the end." in told
    assert "on fire" in listening.troubles[0]


def test_if_following_breaks_the_recording_goes_on(tmp_path: Path) -> None:
    listening, told = listen(tmp_path, BrokenSession(SONG, Settings()))
    assert FOLLOWING_BROKE in told
    assert listening.capture.ended
    assert "lost" in listening.troubles[0]


class StumblingSession(Session):
    """Following fails once, in the judging of the bar that is the fifth to be judged."""

    judgings = 0

    def _judge(self, now: float, *, over: bool = False) -> None:
        self.judgings += 1
        if self.judgings == 5:
            raise IndexError("list index out of range")
        super()._judge(now, over=over)


def test_if_following_fails_once_the_marks_go_on(tmp_path: Path) -> None:
    """The take is played in time that is only counted."""
    notes = read_take(take(WrongBass(2, "A"), WrongBass(14, "B")))
    session, told = StumblingSession(SONG, Settings()), io.StringIO()
    entries = entries_of(notes)
    now = [START]
    screen = LineScreen(told, news)
    capture = ToldCapture(tmp_path / "take.journal")
    listening = Listening(session, capture, (screen, screen), clock=lambda: now[0])  # type: ignore[arg-type]
    while not session.over and now[0] < START + notes.seconds + 20:
        capture._turns = [[one for one in entries if now[0] - 0.02 < one.host <= now[0]], []]
        listening.step()
        now[0] += 0.02
    assert len(listening.troubles) == 1
    assert listening.troubles[0].startswith("IndexError: list index out of range, test_listening")
    assert told.getvalue().splitlines().count(FOLLOWING_AGAIN) == 1
    played = session.page(now[0]).played
    numbers = [bar.number for bar in played]
    assert len(numbers) >= 14
    assert numbers == sorted(numbers)
    wrong = {bar.number: " ".join(bar.says) for bar in played if bar.kinds}
    assert "bass A" in wrong[2]
    assert "bass B" in wrong[14]


def test_a_screen_of_lines_that_breaks_does_not_end_the_take(tmp_path: Path) -> None:
    broken = BrokenScreen()
    capture = ToldCapture(tmp_path / "take.journal", *([one] for one in now_entries()))
    session = Session(SONG, Settings())
    listening = Listening(session, capture, (broken, broken), clock=host_clock)  # type: ignore[arg-type]
    listening.run(lambda: False)
    assert session.over
    assert len(listening.troubles) == 1


def test_the_player_can_stop_it(tmp_path: Path) -> None:
    lines = LineScreen(io.StringIO(), news)
    capture = ToldCapture(tmp_path / "take.journal", *([] for _ in range(1000)))
    listening = Listening(
        Session(SONG, Settings()),
        capture,
        (lines, lines),
        clock=host_clock,  # type: ignore[arg-type]
    )
    asked: list[int] = []

    def stopped() -> bool:
        asked.append(1)
        return len(asked) > 3

    listening.run(stopped)
    assert len(asked) == 4
    assert not capture.ended


def test_a_take_is_saved_the_moment_the_piano_is_gone(tmp_path: Path) -> None:
    from evaluator.live.journal import head, line

    journal = tmp_path / "take.journal"
    rows = [opened(), *stroke(1.0, 60)]
    journal.write_text(head({}) + "".join(map(line, rows)))
    lines = LineScreen(io.StringIO(), news)
    capture = ToldCapture(journal, rows, [gone(2.0)], [])
    listening = Listening(
        Session(SONG, Settings()),
        capture,
        (lines, lines),
        clock=host_clock,  # type: ignore[arg-type]
    )
    listening.step()
    assert not journal.with_suffix(".mid").exists()
    listening.step()
    assert journal.with_suffix(".mid").exists()


def test_clicks_reach_the_recorder(tmp_path: Path) -> None:
    listening, _ = listen(tmp_path, Session(SONG, Settings(click=True, bpm=400)))
    assert set(listening.capture.orders) == {"click 77 80"}  # type: ignore[attr-defined]


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_lines_can_be_written_in_any_encoding(encoding: str, tmp_path: Path) -> None:
    stream = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
    LineScreen(stream, news).tell("bar 3, Вступление: B♭ instead of G°")
    stream.flush()
