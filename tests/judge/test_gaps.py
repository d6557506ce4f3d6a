"""What may be held against a player while nothing could be heard? Common practice, no source."""

from evaluator.grading import grade_take, prepare
from evaluator.live.record import Record
from evaluator.live.sound_file import to_midi
from evaluator.report.model import Report
from evaluator.take.midi_file import read_take
from evaluator.take.model import Take
from tests.cli.commands import CHART, take
from tests.excerpt.test_one_hand import one_hand
from tests.live.script import START, gone, in_order, opened
from tests.live.stage import entries_of
from tests.playing import Pause, WrongBass, WrongChord

BAR = 2.5
SONG = prepare(CHART)


def heard(played: Take, start: float, end: float) -> bytes:
    """A take's file when the cable was out from one moment of it to another."""
    entries = entries_of(played, at=0.0)
    kept = [entry for entry in entries if not START + start < entry.host < START + end]
    record = Record()
    for entry in in_order(*kept, gone(start + 0.5), opened(end)):
        record.take_in(entry)
    return to_midi(record)


def report(raw: bytes) -> Report:
    return grade_take(SONG, raw)


def test_bars_that_were_not_heard_are_not_missing() -> None:
    found = report(heard(read_take(take()), 5.5 * BAR, 9.5 * BAR))
    assert [one.finding.kind for one in found.form] == []
    assert found.marks["form"] == 100.0
    assert found.marks.overall > 99.0


def test_bars_beside_the_gap_are_not_judged() -> None:
    found = report(heard(read_take(take()), 5.5 * BAR, 6.7 * BAR))
    unjudged = [bar.number for bar in found.bars if not bar.verdict.judged]
    assert unjudged
    assert set(unjudged) <= {6, 7, 8, 9}


def test_the_report_says_so() -> None:
    found = report(heard(read_take(take()), 5.5 * BAR, 9.5 * BAR))
    assert any("disconnected from 0:1" in remark for remark in found.remarks)


def test_mistakes_elsewhere_still_count() -> None:
    raw = heard(read_take(take(WrongBass(2, "A"), WrongChord(15, "Gm"))), 5.5 * BAR, 9.5 * BAR)
    faults = {bar.number: [fault.kind for fault in bar.faults] for bar in report(raw).bars}
    assert faults[2] == ["bass"]
    assert "chord" in faults[15]


def test_a_bar_missing_elsewhere_still_counts() -> None:
    raw = heard(read_take(take(without=(16,))), 2.5 * BAR, 4.2 * BAR)
    assert [one.finding.kind for one in report(raw).form] == ["missing"]


def test_how_it_was_played_still_counts_when_the_form_is_excused() -> None:
    halted = take(Pause(2, 2.0, 2.0), without=(7, 8))
    found = report(heard(read_take(halted), 5.5 * BAR, 9.5 * BAR))
    assert [one.finding.kind for one in found.form] == ["break"]  # 7 and 8 may have been played
    assert found.touch.mark is not None
    assert found.marks["touch"] == round(found.touch.mark, 1)
    assert found.marks["touch"] < 99.0


def test_one_hand_alone_played_no_bars_that_were_not_heard() -> None:
    raw = heard(read_take(one_hand("left")), 5.5 * BAR, 9.5 * BAR)
    found = grade_take(prepare(CHART, hand="left"), raw)
    assert found.marks.overall == 100.0
    assert not {7, 8, 9} & {bar.number for bar in found.bars}
