"""What is reported of a take on which the program fails? Rules of this program, no outside
source."""

from typing import Any

import pytest

from evaluator.errors import TakeError
from evaluator.grading import prepare
from evaluator.live import rescue
from evaluator.live.record import Record
from evaluator.live.rescue import beginning, graded_as_far_as_possible
from evaluator.live.sound_file import to_midi
from evaluator.report.model import Report
from evaluator.take.midi_file import read_take
from tests.cli.commands import CHART, take
from tests.live.stage import entries_of

SONG = prepare(CHART)


def saved() -> bytes:
    """A take as `listen` saves it."""
    record = Record()
    for entry in entries_of(read_take(take())):
        record.take_in(entry)
    return to_midi(record)


def failing(monkeypatch: pytest.MonkeyPatch, from_notes: int) -> None:
    """Grading fails as soon as a take has so many notes."""
    whole = rescue.grade_take

    def grade(song: Any, raw: bytes, **given: Any) -> Report:
        if len(read_take(raw)) >= from_notes:
            raise IndexError("list index out of range")
        return whole(song, raw, **given)

    monkeypatch.setattr(rescue, "grade_take", grade)


def test_what_can_be_graded_is_graded() -> None:
    report, trouble = graded_as_far_as_possible(SONG, saved())
    assert trouble == ""
    assert report is not None
    assert report.take.notes == len(read_take(saved()))


def test_a_take_on_which_the_program_fails_is_reported_as_far_as_it_goes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    notes = len(read_take(saved()))
    failing(monkeypatch, notes * 3 // 4)
    report, trouble = graded_as_far_as_possible(SONG, saved(), take_file="monday.mid")
    assert report is not None
    assert 0.6 * notes < report.take.notes < 0.75 * notes
    assert report.marks["chord"] == report.marks["bass"] == 100.0
    assert report.take.repairs == ()
    assert "IndexError: list index out of range, test_rescue.py" in trouble
    assert trouble.endswith(f"its first {report.take.seconds:.0f} seconds.")


def test_if_nothing_can_be_graded_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    failing(monkeypatch, 1)
    report, trouble = graded_as_far_as_possible(SONG, saved())
    assert report is None
    assert trouble.endswith("please report it. The take is kept.")


def test_what_is_no_take_is_refused_as_ever() -> None:
    with pytest.raises(TakeError):
        graded_as_far_as_possible(SONG, b"MThd")


def test_the_beginning_of_a_take_has_its_notes_as_they_were() -> None:
    whole, part = read_take(saved()), read_take(beginning(saved(), 5.0))
    inside = whole.onsets < 5.0
    assert part.onsets.tolist() == whole.onsets[inside].tolist()
    assert part.offsets.tolist() == whole.offsets[inside].tolist()
    assert part.repairs == ()
