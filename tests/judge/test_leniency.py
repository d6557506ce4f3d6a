"""What changes in a judgement with the rubric? Common practice, no source.

Takes are played with known faults; the same take is judged by different rubrics.
"""

from dataclasses import replace
from typing import Any

import pytest

from evaluator.judge import Judgement, judge
from evaluator.judge.rubric import COUNTABLE, STEADY, Countable, Rubric
from evaluator.take.strike import strikes
from tests.judge.songs import followed, order, song
from tests.judge.truth_path import take_of, truth_path
from tests.playing import (
    Added,
    BarsExtra,
    BarsMissing,
    Early,
    Fault,
    Lacking,
    Late,
    Missed,
    Pause,
    Restart,
    Slip,
    WrongBass,
    WrongChord,
    play,
)


def judged(*faults: Fault, rubric: Rubric = STEADY, bars: list[int] | None = None) -> Judgement:
    graph = song()
    performance = play(graph, bars, faults=faults)
    recorded = take_of(performance)
    struck = strikes(recorded)
    path = truth_path(graph, performance, struck)
    return judge(graph, recorded, struck, path, rubric=rubric)


def without(*findings: Countable) -> Rubric:
    return replace(STEADY, counts=frozenset(COUNTABLE) - set(findings))


CASES: tuple[tuple[Countable, str, Fault], ...] = (
    ("incomplete_chord", "chord", Lacking(3, "D")),
    ("root_for_bass", "bass", WrongBass(2, "A")),
    ("brushed_key", "chord", Slip(3, 2.5)),
    ("missed_strike", "rhythm", Missed(3, 2.5, "right")),
    ("added_strike", "rhythm", Added(3, 1.5, "left")),
    ("early_strike", "rhythm", Early(3, 2.5, "right", 120.0)),
    ("late_strike", "rhythm", Late(3, 2.5, "right", 120.0)),
    ("halt", "form", Pause(3, 2.0, 1.5)),
)


@pytest.mark.parametrize(("finding", "part", "fault"), CASES, ids=[case[0] for case in CASES])
def test_what_does_not_count_costs_nothing_and_is_still_found(
    finding: Countable, part: str, fault: Fault
) -> None:
    strict, lenient = judged(fault), judged(fault, rubric=without(finding))
    assert strict.marks[part] < lenient.marks[part] == 100.0
    assert lenient.marks.overall == 100.0
    assert words(strict) == words(lenient)


@pytest.mark.parametrize(("finding", "part", "fault"), CASES, ids=[case[0] for case in CASES])
def test_what_counts_costs_the_same_whatever_else_does_not(
    finding: Countable, part: str, fault: Fault
) -> None:
    others: Any = set(COUNTABLE) - {finding}
    assert judged(fault, rubric=without(*others)).marks == judged(fault).marks


def words(judgement: Judgement) -> list[Any]:
    """Everything that was found, without its price."""
    return [
        (
            [(span.word, span.played, span.slips) for span in bar.chord.spans],
            [(span.word, span.played) for span in bar.bass.spans],
            bar.rhythm.faults,
        )
        for bar in judgement.bars
    ] + [judgement.form]


@pytest.mark.parametrize("finding", ["missing_bar", "extra_bar", "restart"])
def test_findings_of_the_form_that_do_not_count(finding: Countable) -> None:
    graph = song()
    orders = {
        "missing_bar": (order(graph, 1, 2, *range(4, 28)), BarsMissing(3, (3,))),
        "extra_bar": (order(graph, 1, 2, 3, 3, *range(4, 28)), BarsExtra(4, (3,))),
        "restart": (order(graph, 1, 2, 3, 3, *range(4, 28)), Restart(3, 2.0, 2.0)),
    }
    bars, fault = orders[finding]
    strict = judged(fault, bars=bars)
    lenient = judged(fault, bars=bars, rubric=without(finding))
    assert strict.form == lenient.form != ()
    assert strict.marks["form"] < lenient.marks["form"] == 100.0


def test_a_wrong_chord_counts_by_every_rubric() -> None:
    assert judged(WrongChord(3, "F"), rubric=without(*COUNTABLE)).marks["chord"] < 100.0


def test_another_bass_than_the_root_counts_although_the_root_does_not() -> None:
    assert judged(WrongBass(2, "F"), rubric=without("root_for_bass")).marks["bass"] < 100.0


def test_a_chord_of_which_nothing_was_played_is_not_merely_incomplete() -> None:
    silent = [Missed(3, beat, "right") for beat in (1.0, 2.5, 3.0)]
    strict = judged(*silent)
    lenient = judged(*silent, rubric=without("incomplete_chord"))
    assert strict.bars[2].chord == lenient.bars[2].chord


def test_a_wider_tolerance_calls_less_late_and_grades_it_better() -> None:
    fault = Late(3, 2.5, "right", 120.0)
    usual, wide = judged(fault), judged(fault, rubric=replace(STEADY, strike_ms=150.0))
    assert [one.kind for one in usual.bars[2].rhythm.faults] == ["late"]
    assert wide.bars[2].rhythm.faults == ()
    assert wide.marks["rhythm"] > usual.marks["rhythm"]


def test_a_narrower_tolerance_calls_more_late() -> None:
    fault = Late(3, 2.5, "right", 60.0)
    narrow = judged(fault, rubric=replace(STEADY, strike_ms=40.0))
    assert judged(fault).bars[2].rhythm.faults == ()
    assert [one.kind for one in narrow.bars[2].rhythm.faults] == ["late"]


def test_a_patient_rubric_hears_a_hesitation_where_others_hear_a_halt() -> None:
    fault = Pause(3, 2.0, 1.5)
    patient = judged(fault, rubric=replace(STEADY, halt_beats=4.0))
    assert [one.kind for one in judged(fault).form] == ["break"]
    assert patient.form == ()


def test_weights_decide_what_a_mistake_costs() -> None:
    chords = replace(
        STEADY, weights={"chord": 90.0, "rhythm": 4.0, "form": 3.0, "bass": 3.0, "touch": 20.0}
    )
    fault = WrongChord(3, "F")
    assert judged(fault, rubric=chords).marks.overall < judged(fault).marks.overall
    assert judged(fault, rubric=chords).marks["chord"] == judged(fault).marks["chord"]


def test_whether_it_is_this_song_does_not_depend_on_the_rubric() -> None:
    other = [WrongChord(bar, "Ebm") for bar in range(1, 28)]
    basses = [WrongBass(bar, "Ab") for bar in range(1, 28)]
    kind = without(*COUNTABLE)
    assert not followed(*other, *basses, rubric=kind).matches
    assert followed(*other[::3], *basses[::3], rubric=kind).matches


def test_the_judgement_says_by_which_rubric_it_was_made() -> None:
    own = replace(STEADY, name="own")
    assert judged(rubric=own).rubric == own
