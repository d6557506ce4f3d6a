"""Do the sentence, the count of right bars and the mark agree with one another?

Students from tidy to rough play invented songs, with as many mistakes as the skill has
(`tests.bench.students`). What a teacher would not say of one take is asked for: a high mark
with a third of the bars wrong, or a low one without its reason. Common practice, no source.
"""

import re
from dataclasses import fields, replace
from functools import lru_cache

import pytest

from evaluator.grading import Graded, grade_fully, prepare
from evaluator.judge.marks import leaves
from evaluator.judge.rubric import STEADY
from tests.bench.students import FEW, Faults, HandName, simulate

SKILLS: tuple[tuple[HandName, float], ...] = (
    *(("tidy", 0.0), ("tidy", 0.5), ("ordinary", 1.0), ("ordinary", 2.0)),
    *(("rough", 2.0), ("rough", 4.0), ("rough", 7.0)),
)
"""Hands, and how many times the usual number of mistakes."""
TAKES = [
    (place, seed) for place in range(len(SKILLS)) for seed in (500 + 10 * place, 503 + 10 * place)
]
SAYS = {
    "chord": r"(?P<right>\d+) of (?P<all>\d+)",
    "bass": r"(?P<right>\d+) of (?P<all>\d+)",
    "rhythm": r"the pattern off",
    "form": r"missing|too many|left out|halt|number of bars|stops",
    "touch": r"stumbling",
}
"""The words of the sentence for what each part lost."""
MUCH = 0.92
"""A part that leaves less of the mark has its reason in the sentence."""


def times(factor: float) -> Faults:
    def more(value: object) -> object:
        return min(0.9, value * factor) if isinstance(value, float) else value

    bars = replace(FEW.bars, **{f.name: more(getattr(FEW.bars, f.name)) for f in fields(FEW.bars)})
    form = ("tail_short", "tail_long", "restart_bar", "restart_line", "pause", "bar_missing")
    of_form = {name: getattr(FEW, name) * factor for name in form}
    return replace(FEW, bars=bars, transposed=0.0, noodling=0.0, **of_form)


@lru_cache(maxsize=32)
def graded(place: int, seed: int) -> Graded:
    hand, factor = SKILLS[place]
    take = simulate(seed, hand, faults=times(factor))
    return grade_fully(prepare(take.chart_text), take.midi_bytes)


def right(one: Graded) -> float:
    """Share of the bars that the sentence calls right."""
    found = re.search(SAYS["chord"], one.report.headline)
    return int(found["right"]) / int(found["all"]) if found else 1.0


@pytest.mark.parametrize(("place", "seed"), TAKES)
def test_the_mark_agrees_with_the_count_of_right_bars(place: int, seed: int) -> None:
    one = graded(place, seed)
    mark = one.judgement.marks.overall
    if mark >= 90.0:
        assert right(one) >= 0.85
    if right(one) < 2 / 3:
        assert mark < STEADY.pass_mark
    if one.report.headline.startswith("Well played"):
        assert mark >= 90.0


@pytest.mark.parametrize(("place", "seed"), TAKES)
def test_what_takes_much_from_the_mark_is_in_the_sentence(place: int, seed: int) -> None:
    one = graded(place, seed)
    known = {part: mark for part, mark in one.judgement.marks.parts.items() if mark is not None}
    for part, left in leaves(known, STEADY).items():
        if left < MUCH:
            assert re.search(SAYS[part], one.report.headline), (part, one.report.headline)


def test_more_mistakes_get_lower_marks() -> None:
    means = [
        sum(graded(place, seed).judgement.marks.overall for at, seed in TAKES if at == place)
        for place in range(len(SKILLS))
    ]
    assert means[0] > means[3] > means[6]
    assert means[1] > means[4] > means[6]
