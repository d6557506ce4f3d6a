"""In what sentences is the touch told? Our own wording, no source."""

from dataclasses import replace

import pytest

from evaluator.judge import Judgement
from evaluator.judge.verdict import Touch, TouchVerdict
from evaluator.report.touch import tell_touch
from tests.judge.songs import song, take


def told(verdict: TouchVerdict) -> str:
    judgement: Judgement = take()
    judgement = replace(judgement, touch=Touch(80.0, (verdict.aspect,), (verdict,)))
    return tell_touch(song(), judgement).aspects[0].say


@pytest.mark.parametrize(
    ("verdict", "sentence"),
    [
        (
            TouchVerdict("hesitation", 5.0, "", 50.0, True, (5, 2), count=2, seconds=3.24),
            "Two hesitations, 3.2 seconds in all (Verse, bars 3 and 6).",
        ),
        (
            TouchVerdict("steadiness", 5.0, "", 50.0, True, (2, 7), between=(88.4, 101.6)),
            "The tempo wanders between 88 and 102 beats a minute (slowest around bar 3, "
            "fastest around bar 8).",
        ),
        (
            TouchVerdict("balance", 14.0, "", 50.0, True, (3,)),
            "The left hand is louder than the right, by 14 of 127: play it softer.",
        ),
        (
            TouchVerdict("tempo", -40.0, "", 50.0, True),
            "The tempo is 40 % slower than the chart's: 96 beats a minute.",
        ),
        (
            TouchVerdict("together", -80.0, "", 50.0, True, (0,)),
            "The right hand comes 80 ms after the left (Verse, bar 1).",
        ),
        (
            TouchVerdict("length", 20.0, "", 50.0, True, hand="left"),
            "The left hand's notes are cut short, to 20 % of their written length.",
        ),
        (
            TouchVerdict("length", 90.0, "", 50.0, True, hand="left", staccato=True),
            "The left hand's staccato notes are held for 90 % of their written length.",
        ),
        (
            TouchVerdict("repeats", 60.0, "", 50.0, True, hand="right"),
            "The melody's repeated notes are detached: silent for 60 % of the time from one to "
            "the next.",
        ),
        (
            TouchVerdict("ending", -20.0, "", 50.0, True),
            "A ritard is written at the end, but the last bars get 20 % faster.",
        ),
    ],
)
def test_what_matters_is_a_sentence_with_its_place(verdict: TouchVerdict, sentence: str) -> None:
    assert told(verdict) == sentence


def test_what_does_not_matter_is_not_said() -> None:
    assert told(TouchVerdict("ending", -2.0, "", 99.0)) == ""
    assert tell_touch(song(), take()).said == ()
