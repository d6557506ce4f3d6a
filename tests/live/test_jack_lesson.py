"""Is a student led through a lesson over a real transport, and is nothing lost of it?

One lesson of half a minute and its end by a power cut: a second process is the student, who
hears click and accompaniment over JACK and answers. Rules of this program; how exactly the
accompaniment comes is a figure of `tests.bench.practise`.
"""

import os
import re
import signal
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from evaluator.grading import grade_fully, prepare
from evaluator.history.reading import read
from evaluator.live.drill import drill
from evaluator.live.journal import Journal, read_journal
from evaluator.live.record import TICKS
from evaluator.live.sound_file import part, recorded
from evaluator.practise.ladder import ladder
from tests.cli.commands import CHART
from tests.live.jack import PATIENT, Jack, Listening
from tests.live.pupil import Pupil

pytestmark = [
    pytest.mark.jack,
    pytest.mark.skipif(sys.platform != "linux", reason="JACK's dummy driver is used on Linux"),
]

FAST = CHART.replace("tempo: 96", "tempo: 208")
BAD: dict[str, Any] = {"basses": [[2, "A"]]}
ELSEWHERE: dict[str, Any] = {"bars": [8, 9]}
STOPS: dict[str, Any] = {"stops_after": 0.6}
PLAN = [ELSEWHERE, BAD, BAD, {}, {}, {}, {}, {}, STOPS, *[{}] * 40]
"""When the tempo changes, one more time through has been begun already."""


@dataclass(frozen=True)
class Held:
    """What is left of the lesson."""

    told: list[str]
    log: dict[str, Any]
    journal: Journal
    history: Path


@pytest.fixture(scope="module")
def patient(jack: Jack) -> Iterator[Jack]:
    """The server, so that what is lost was lost by the program."""
    jack.stop()
    jack.start(*PATIENT)
    yield jack
    jack.kill()  # it may still be waiting for who was killed
    jack.start()


@pytest.fixture(scope="module")
def lesson(patient: Jack, tmp_path_factory: pytest.TempPathFactory) -> Held:
    folder = tmp_path_factory.mktemp("lesson")
    (folder / "row.txt").write_text(FAST, encoding="utf-8")
    spec = {"chart": FAST, "bars": [4, 5], "plan": PLAN, "click_goes_on": False}
    history = folder / "history"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("EVALUATOR_HISTORY", str(history))
        pupil = Pupil("pupil", spec | {"manner": {"jitter_ms": 5.0}}, folder)
        words = ("row.txt", "--port", "pupil", "--bars", "5-6", "--with", "chords", "--plain")
        program = Listening(folder, *words, command="practise")
        try:
            program.waits_to_show("broken off", seconds=90)
            program.waits_to_show("Counting in at 144", seconds=30)
            log = pupil.log()
            os.killpg(program.process.pid, signal.SIGKILL)
            program.ends()
        finally:
            program.kill()
            pupil.kill()
    raw = program.journal().read_bytes()
    told = program.shown.decode().replace("\r", "").splitlines()
    return Held(told, log, read_journal(raw), history / "history.db")


def times_told(lesson: Held) -> list[str]:
    return [line for line in lesson.told if re.match(r"\w+ time: ", line)]


def test_the_tempo_goes_down_and_up_by_the_rule(lesson: Held) -> None:
    course = [line for line in lesson.told if "slower" in line or "in a row" in line]
    assert course[:2] == [
        "Once more a little slower, at 132.",
        "Three good times in a row: now at 144.",
    ], "\n".join(lesson.told)
    ratios = [208 / ratio for ratio in dict.fromkeys(one[0] for one in lesson.log["truths"])]
    # As it was counted by ear, nearer to this step of the ladder than to the next one.
    assert ratios[:2] == pytest.approx([144, 132], abs=6)


def test_each_time_is_told_as_it_was_played(lesson: Held) -> None:
    wrong = "bar 6, bass A instead of C#; the rest right."
    assert times_told(lesson)[:6] == [
        *(f"{number} time: {wrong}" for number in ("First", "Second")),
        *(f"{number} time: all right." for number in ("Third", "Fourth", "Fifth")),
        "Sixth time: broken off in bar 6.",
    ]


def test_another_passage_is_named_and_not_counted(lesson: Held) -> None:
    assert any(re.match("That was bars? 9.*, so it is not counted", line) for line in lesson.told)


def test_what_the_piano_sent_back_is_not_heard_as_the_students(lesson: Held) -> None:
    heard = [raw for _, raw in lesson.log["heard"] if raw.startswith("90")]
    assert len(heard) > 20  # the chords, and each stroke came back
    echoes = [one for one in lesson.journal.entries if one.kind == "echo"]
    assert len(echoes) >= len(heard)
    played = [one.raw.hex() for one in lesson.journal.entries if one.kind == "message"]
    opened = lesson.journal.entries[0].host
    sent = [raw for at, raw in lesson.log["sent"] if at > opened]
    assert played[: len(sent)] == sent


def test_the_times_through_are_judged_like_the_notes_in_a_file(lesson: Held) -> None:
    song = drill(prepare(FAST, bars="5-6"), ladder(208)).song
    record = recorded(lesson.journal)
    first = next(one.host for one in lesson.journal.entries if one.kind == "message")
    equal = every = 0
    told = iter(times_told(lesson))
    for begin, end in stretches(lesson):
        report = grade_fully(song, part(record, begin - first - 0.15, end - first + 0.1)).report
        for one in report.passes:
            line = next(told, None)
            if line is None:
                break
            here = {int(number) for number in re.findall(r"bar (\d+)", line)}
            equal += 2 - len(here ^ set(one.wrong))
            every += 2
    assert every >= 10
    assert equal >= 0.98 * every


def stretches(lesson: Held) -> Iterator[tuple[float, float]]:
    """Begin and end of what was played to the end without a stop, host seconds."""
    truths = lesson.log["truths"]
    begin = truths[0][1][0]
    for (_, before, _), (_, after, _) in pairwise(truths):
        if after[0] - before[-1] > 0.1:
            yield begin, before[-1]
            begin = after[0]
    yield begin, truths[-1][1][-1]


def test_the_history_has_every_round_and_lacks_the_time_under_way_at_most(lesson: Held) -> None:
    rounds = [(one.bpm, one.times, one.good, one.hand) for one in read(lesson.history).practised]
    told = len(times_told(lesson))
    assert rounds[:2] == [(144, 2, 0, None), (132, 3, 3, None)]
    assert rounds[2][0] == 144
    assert sum(times for _, times, _, _ in rounds) in (told, told + 1)


def test_what_was_played_is_in_the_journal(lesson: Held) -> None:
    assert recorded(lesson.journal).track().ticks / TICKS > 15
