"""Each expected strike and how it came, held against what was played on purpose."""

from evaluator.grading import Graded
from evaluator.judge.verdict import StrikeVerdict
from tests.playing import Added, Late, Missed
from tests.show.pages.takes import BARE, graded


def strikes_of(take: Graded) -> list[tuple[StrikeVerdict, ...]]:
    return [verdict.rhythm.strikes for verdict in take.judgement.bars]


def at(came: tuple[StrikeVerdict, ...], beat: float, hand: str) -> StrikeVerdict:
    (found,) = [one for one in came if abs(one.beat - beat) < 0.01 and one.hand == hand]
    return found


def test_a_take_in_time_has_every_strike_of_the_pattern_on_the_line() -> None:
    take = graded()
    for played, came in zip(take.path.bars, strikes_of(take), strict=True):
        assert len(came) == len(take.song.graph.bars[played.bar].strikes)
        assert all(one.how == "in time" and abs(one.late_ms) < 10 for one in came)


def test_late_missed_and_added_strikes_stand_where_they_were_made() -> None:
    faults = (Late(3, 2.0, "left", 140), Missed(5, 2.5, "right"), Added(6, 1.0, "left"))
    came = strikes_of(graded(*faults))
    late = at(came[2], 2.0, "left")
    assert late.how == "late"
    assert 110 < late.late_ms < 170
    assert at(came[4], 2.5, "right").how == "missed"
    assert at(came[5], 1.0, "left").how == "added"


def test_the_faults_are_the_strikes_that_did_not_come_in_time() -> None:
    take = graded(Late(3, 2.0, "left", 140), Missed(5, 2.5, "right"), jitter_ms=25.0, seed=4)
    for verdict, came in zip(take.judgement.bars, strikes_of(take), strict=True):
        faults = [(fault.kind, fault.beat, fault.hand) for fault in verdict.rhythm.faults]
        shown = [(one.how, one.beat, one.hand) for one in came if one.how != "in time"]
        assert sorted(shown) == sorted(faults)


def test_a_chart_without_patterns_expects_no_strike() -> None:
    assert not any(strikes_of(graded(chart=BARE)))
