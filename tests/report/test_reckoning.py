"""How did the overall mark come about? Our own rules, no source."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluator.judge.marks import give_marks
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.verdict import Marks
from evaluator.report.reckoning import marked_words, reckon, reckoning_words, verdict_words
from tests.report.builders import right_bar, song

MARKS = Marks(overall=91.7, chord=97.3, bass=89.1, rhythm=81.6, form=97.0)


def test_every_part_stands_with_its_share() -> None:
    words = reckoning_words(reckon(MARKS, STEADY, matches=True))
    assert words == "chord 97.3 x 0.35 + rhythm 81.6 x 0.25 + form 97 x 0.2 + bass 89.1 x 0.2"


def test_a_part_that_cannot_be_judged_leaves_its_share_to_the_others() -> None:
    terms = reckon(replace(MARKS, rhythm=None), STEADY, matches=True).terms
    assert [term.part for term in terms] == ["chord", "form", "bass"]
    assert sum(term.share for term in terms) == pytest.approx(1.0)


def test_a_part_without_weight_is_left_out() -> None:
    words = reckoning_words(reckon(MARKS, replace(STEADY, bass=0.0), matches=True))
    assert "bass" not in words


def test_another_song_has_no_sum_and_did_not_pass() -> None:
    reckoning = reckon(MARKS, STEADY, matches=False)
    assert (reckoning.terms, reckoning.passed) == ((), False)


def test_the_pass_mark_itself_passes() -> None:
    assert reckon(replace(MARKS, overall=65.0), STEADY, matches=True).passed
    assert not reckon(replace(MARKS, overall=64.9), STEADY, matches=True).passed


def test_the_rubric_and_the_way_to_the_pass_mark_are_told() -> None:
    reckoning = reckon(replace(MARKS, overall=60.5), STEADY, matches=True)
    assert verdict_words(reckoning, 60.5) == "4.5 short of the pass mark, 65"
    assert marked_words(reckoning, 60.5).startswith(
        "60.5 of 100 by the rubric steady: 4.5 short of the pass mark, 65. It is chord 97.3 x 0.35"
    )


@given(
    weights=st.tuples(*[st.integers(1, 100)] * 4),
    scores=st.tuples(*[st.floats(0, 1)] * 3),
    has_rhythm=st.booleans(),
)
def test_the_sum_as_it_is_told_is_the_mark(
    weights: tuple[int, ...], scores: tuple[float, ...], has_rhythm: bool
) -> None:
    rubric = Rubric("own", "", 50.0, *map(float, weights))
    bar = right_bar(song(), 4, 1)
    chord, bass, rhythm = scores
    bar = replace(
        bar,
        chord=replace(bar.chord, score=chord),
        bass=replace(bar.bass, score=bass),
        rhythm=replace(bar.rhythm, score=rhythm if has_rhythm else None),
    )
    marks = give_marks([(bar, 1.0)], (), rubric)
    terms = reckon(marks, rubric, matches=True).terms
    assert sum(term.mark * term.share for term in terms) == pytest.approx(marks.overall, abs=0.0501)
    assert sum(term.share for term in terms) == pytest.approx(1.0)
