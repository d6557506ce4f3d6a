"""When is a message sent to the piano? Rules of this program, no outside source."""

import pytest

from evaluator.live.echoes import Echoes
from evaluator.live.journal import Entry
from evaluator.live.recorder import Recorder
from evaluator.live.scripted import Cue, ScriptedPort
from evaluator.live.sender import Sender

ON, OFF = bytes((0x90, 60, 48)), bytes((0x80, 60, 64))


def sender() -> tuple[Sender, list[bytes]]:
    sent: list[bytes] = []
    return Sender(sent.append, Echoes()), sent


def test_messages_are_sent_at_their_moment_in_the_order_of_time() -> None:
    one, sent = sender()
    one.at(2.0, OFF)
    one.at(1.0, ON)
    one.step(0.9)
    assert sent == []
    one.step(1.0)
    assert sent == [ON]
    one.step(2.5)
    assert sent == [ON, OFF]


def test_of_one_moment_the_first_ordered_goes_first() -> None:
    one, sent = sender()
    one.at(1.0, OFF)
    one.at(1.0, ON)
    one.step(1.0)
    assert sent == [OFF, ON]


def test_a_key_that_is_far_too_late_is_not_struck_but_let_go() -> None:
    one, sent = sender()
    one.at(1.0, ON)
    one.at(1.05, OFF)
    one.step(1.2)
    assert sent == [OFF]


def test_hushed_it_lets_go_what_sounds_and_drops_what_waits() -> None:
    one, sent = sender()
    one.send(ON, 1.0)
    one.at(1.5, bytes((0x90, 62, 48)))
    one.hush(1.2)
    one.step(2.0)
    assert [(raw[0], raw[1]) for raw in sent] == [(0x90, 60), (0x80, 60)]


def test_an_echo_stands_in_the_journal_and_is_no_message() -> None:
    written: list[Entry] = []
    now = [0.0]
    port = ScriptedPort([Cue(1.02, ON), Cue(1.5, ON)], lambda: now[0])
    recorder = Recorder(port, written.extend, lambda: now[0], lambda raw: None)
    recorder.obey("play", ["1.0", ON.hex()])
    for now[0] in (1.0, 1.02, 1.5):
        recorder.step()
    assert [(one.kind, one.text or one.raw.hex()) for one in written[1:]] == [
        ("echo", ON.hex()),
        ("message", ON.hex()),
    ]


def test_an_echo_between_two_strokes_takes_nothing_of_the_time_between_them() -> None:
    written: list[Entry] = []
    now = [0.0]
    other = bytes((0x90, 72, 80))
    script = [Cue(1.0, other), Cue(1.52, ON, 0.52), Cue(2.0, other, 0.48)]
    recorder = Recorder(
        ScriptedPort(script, lambda: now[0]), written.extend, lambda: now[0], lambda raw: None
    )
    recorder.obey("play", ["1.5", ON.hex()])
    for now[0] in (1.0, 1.5, 1.52, 2.0):
        recorder.step()
    (_, second) = [one for one in written if one.kind == "message"]
    assert second.delta == pytest.approx(1.0)


def test_without_a_way_back_nothing_is_sent_and_nothing_is_an_echo() -> None:
    written: list[Entry] = []
    recorder = Recorder(ScriptedPort([Cue(1.0, ON)], lambda: 1.0), written.extend, lambda: 1.0)
    for order in (["play", "1.0", ON.hex()], ["hush"], ["click", "76", "100"]):
        recorder.obey(order[0], order[1:])
    recorder.step()
    assert [one.kind for one in written] == ["open", "message"]
