"""What is said of another rhythm than the pattern's. Wordings are our own."""

import json
from dataclasses import replace
from fractions import Fraction

from evaluator.chart.graph import ExpectedStrike
from evaluator.judge.rubric import Rubric
from evaluator.judge.verdict import HandManner, Judgement, Manner
from evaluator.report.json import to_json
from tests.report.builders import judgement, report, right_bar, song

STRIKES = tuple(
    ExpectedStrike(Fraction(beat), hand, frozenset({2}), "bass", 0)
    for beat, hand in ((0, "left"), (1, "right"), (2, "left"))
)
GRAPH = replace(song(), bars=tuple(replace(bar, strikes=STRIKES) for bar in song().bars))


def played(numbers: range, *hands: tuple[str, Manner], score: float = 0.8) -> Judgement:
    others = tuple(HandManner(hand, manner) for hand, manner in hands)  # type: ignore[arg-type]
    spoiled = {}
    for number in numbers:
        bar = right_bar(GRAPH, number - 1, number)
        rhythm = replace(bar.rhythm, otherwise=others, score=score)
        spoiled[number] = replace(bar, rhythm=rhythm)
    return judgement(GRAPH, spoiled=spoiled)


def test_a_simplified_pattern_is_said_once_with_its_section() -> None:
    judged = played(range(5, 13), ("left", "once"), ("right", "once"))
    told = report(judged, GRAPH)
    said = "Verse 1: the pattern was simplified to one strike per chord, all chords right."
    assert told.remarks == (said,)
    (written,) = json.loads(to_json(told))["manners"]
    assert written["say"] == said
    assert written["bars"] == list(range(5, 13))
    assert {fault.kind for bar in told.bars for fault in bar.faults} == {"otherwise"}


def test_part_of_a_section_is_told_by_its_bars() -> None:
    (said,) = report(played(range(5, 9), ("right", "eighths")), GRAPH).remarks
    assert said == (
        "Verse 1, bars 5 to 8: the right hand in eighths instead of the pattern, all chords right."
    )


def test_a_bar_in_another_rhythm_still_counts_as_right() -> None:
    told = report(played(range(5, 13), ("right", "broken")), GRAPH)
    assert told.headline == (
        "Well played: all 32 bars with the right chords and bass, but eight bars in another rhythm "
        "than the pattern."
    )


def test_the_pattern_is_what_to_learn_next() -> None:
    told = report(played(range(5, 13), ("right", "eighths")), GRAPH)
    assert told.fix_first == ("Play the right hand's pattern instead of eighths (Verse 1).",)


def test_a_rubric_that_lets_it_pass_has_nothing_to_put_right() -> None:
    judged = replace(
        played(range(5, 13), ("right", "eighths"), score=1.0),
        rubric=Rubric(counts=Rubric().counts - {"other_rhythm"}),
    )
    told = report(judged, GRAPH)
    assert told.fix_first == ()
    assert told.bars[4].faults[0].kind == "otherwise"
    assert told.bars[4].faults[0].say == "right hand in eighths"


def test_one_hand_with_several_rhythms_is_named_once() -> None:
    first, second = (
        played(range(*bars), ("right", manner))
        for bars, manner in (((5, 9), "eighths"), ((9, 13), "broken"))
    )
    bars = (*first.bars[:8], *second.bars[8:])
    (said,) = report(replace(first, bars=bars), GRAPH).fix_first
    assert said == ("Play the right hand's pattern instead of eighths and broken chords (Verse 1).")
