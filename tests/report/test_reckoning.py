"""How did the overall mark come about? Our own rules, no source."""

from dataclasses import replace
from math import prod

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluator.judge.marks import give_marks
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.verdict import Extent, Judgement, Marks, Tempo
from evaluator.parts import PARTS
from evaluator.report.reckoning import marked_words, reckon, reckoning_words, verdict_words
from tests.report.builders import marks, right_bar, song

MARKS = marks(91.7, 97.3, 89.1, 81.6, 97.0)
WHOLE = Extent(first=1, last=28, bars=28, unreached=0, played=28, judged=28)


def judged(given: Marks = MARKS, rubric: Rubric = STEADY, **others: object) -> Judgement:
    facts = {"matches": True, "extent": WHOLE, **others}
    return Judgement((), (), Tempo(96.0, 96.0, 0.0), marks=given, rubric=rubric, **facts)


def test_every_part_stands_with_what_it_leaves() -> None:
    words = reckoning_words(reckon(judged()))
    assert words == (
        "100 x 0.966 (chord 97.3) x 0.929 (rhythm 81.6) x 0.974 (form 97) x 0.933 (bass 89.1)"
    )


def test_a_part_without_loss_is_left_out_of_the_words() -> None:
    words = reckoning_words(reckon(judged(marks(91.7, 97.3, 89.1, 81.6, 100.0))))
    assert "form" not in words


def test_a_part_that_cannot_be_judged_takes_nothing_and_makes_nothing_dearer() -> None:
    known = reckon(judged()).terms
    terms = reckon(judged(marks(91.7, 97.3, 89.1, None, 97.0))).terms
    assert terms == tuple(term for term in known if term.part != "rhythm")


def test_a_part_without_weight_is_left_out() -> None:
    rubric = replace(STEADY, weights={**STEADY.weights, "bass": 0.0})
    words = reckoning_words(reckon(judged(rubric=rubric)))
    assert "bass" not in words


def test_another_song_has_no_reckoning_and_did_not_pass() -> None:
    reckoning = reckon(judged(matches=False))
    assert (reckoning.terms, reckoning.passed) == ((), False)


def test_the_pass_mark_itself_passes() -> None:
    assert reckon(judged(replace(MARKS, overall=75.0))).passed
    assert not reckon(judged(replace(MARKS, overall=74.9))).passed


def test_the_rubric_and_the_way_to_the_pass_mark_are_told() -> None:
    reckoning = reckon(judged(replace(MARKS, overall=60.5)))
    assert verdict_words(reckoning, 60.5) == "14.5 short of the pass mark of 75"
    assert marked_words(reckoning, 60.5).startswith(
        "60.5 of 100 by the rubric steady: 14.5 short of the pass mark of 75. It is 100 x 0.966 (ch"
    )


def test_half_of_the_song_does_not_pass_as_the_song_however_well_it_is_played() -> None:
    half = Extent(first=1, last=14, bars=28, unreached=14, played=14, judged=14)
    reckoning = reckon(judged(extent=half))
    assert not reckoning.passed
    assert marked_words(reckoning, 91.7).startswith(
        "91.7 of 100 for bars 1 to 14 by the rubric steady: not passed (at least 80 % "
        "of the song must be played, and this has 14 of its 28 bars)."
    )
    easy = replace(STEADY, least_played=50.0)
    assert reckon(judged(rubric=easy, extent=half)).passed


def test_what_could_not_be_followed_speaks_for_nobody() -> None:
    unheard = replace(WHOLE, judged=13)
    reckoning = reckon(judged(extent=unheard))
    assert not reckoning.passed
    assert verdict_words(reckoning, 91.7) == (
        "not passed (only 13 of 28 bars could be followed, too few to mark the song)"
    )
    assert reckon(judged(extent=replace(WHOLE, judged=14))).passed


@given(
    weights=st.tuples(*[st.integers(1, 100)] * 4),
    scores=st.tuples(*[st.floats(0, 1)] * 3),
    has_rhythm=st.booleans(),
)
def test_the_product_as_it_is_told_is_the_mark(
    weights: tuple[int, ...], scores: tuple[float, ...], has_rhythm: bool
) -> None:
    rubric = Rubric(
        "own",
        "",
        weights={**dict(zip(PARTS, map(float, weights), strict=False)), "touch": 20.0},
    )
    bar = right_bar(song(), 4, 1)
    chord, bass, rhythm = scores
    bar = replace(
        bar,
        chord=replace(bar.chord, score=chord),
        bass=replace(bar.bass, score=bass),
        rhythm=replace(bar.rhythm, score=rhythm if has_rhythm else None),
    )
    whole = give_marks([(bar, 1.0)], (), rubric)
    terms = reckon(judged(whole, rubric)).terms
    left = prod(term.left for term in terms)
    assert 100 * left == pytest.approx(whole.overall, abs=0.0501)
    assert sum(term.share for term in terms) <= 1.0 + 1e-9


def test_nothing_is_reckoned_of_another_song() -> None:
    assert reckoning_words(reckon(judged(matches=False))) == ""


def test_a_mark_from_which_nothing_is_taken_needs_no_reckoning() -> None:
    whole = reckon(judged(marks(100.0, 100.0, 100.0, 100.0, 100.0)))
    assert marked_words(whole, 100.0).endswith("passed (the pass mark is 75).")


def test_a_single_bar_is_told_as_one() -> None:
    one = Extent(first=3, last=3, bars=28, unreached=27, played=1, judged=1)
    assert marked_words(reckon(judged(extent=one)), 91.7).startswith("91.7 of 100 for bar 3 by")
