"""By which yardstick is a take marked? The reading of rubrics.

TOML itself is tomllib's business (https://toml.io/en/v1.0.0); keys, bounds and wordings
are our own, no source.
"""

from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluator.errors import RubricError
from evaluator.judge import rubric as module
from evaluator.judge.rubric import COUNTABLE, STEADY
from evaluator.judge.rubric_text import TABLES, read_rubric
from evaluator.parts import PARTS
from tests.fuzz.promises import check_refusal

BUILT_IN = sorted(Path(module.__file__).with_name("rubrics").glob("*.toml"))
WEIGHTS = "[weights]\nchord = 3\nrhythm = 3\nform = 2\nbass = 2\n"


def refused(text: str) -> list[tuple[int, str, str]]:
    """Line, message and suggestion of every mistake."""
    with pytest.raises(RubricError) as caught:
        read_rubric(text, file="mine.toml")
    return [(one.line, one.message, one.suggestion) for one in caught.value.mistakes]


def test_there_is_one_rubric_for_each_stage_of_learning() -> None:
    assert [path.stem for path in BUILT_IN] == ["concert-ready", "first-steps", "steady"]


@pytest.mark.parametrize("path", BUILT_IN, ids=lambda path: path.stem)
def test_a_built_in_rubric_says_everything_itself(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    rubric = read_rubric(text, file=path.name)
    assert rubric.name.replace(" ", "-") == path.stem
    assert rubric.about
    for key in (*PARTS, *COUNTABLE, *TABLES["tolerances"]):
        assert f"\n{key} " in text


def test_the_rubric_without_a_name_is_steady() -> None:
    steady = next(path for path in BUILT_IN if path.stem == "steady")
    assert read_rubric(steady.read_text(encoding="utf-8"), file="steady.toml") == STEADY


def test_each_stage_asks_for_more_than_the_one_before() -> None:
    by_stem = {path.stem: read_rubric(path.read_text(encoding="utf-8")) for path in BUILT_IN}
    stages = [by_stem[name] for name in ("first-steps", "steady", "concert-ready")]
    assert sorted(stages, key=lambda one: one.pass_mark) == stages
    assert sorted(stages, key=lambda one: -one.strike_ms) == stages
    assert sorted(stages, key=lambda one: -one.halt_beats) == stages
    assert stages[0].counts < stages[1].counts == stages[2].counts


def test_shares_are_in_the_proportion_of_the_weights() -> None:
    assert read_rubric(WEIGHTS).shares == {"chord": 0.3, "rhythm": 0.3, "form": 0.2, "bass": 0.2}


def test_what_a_rubric_leaves_out_is_as_in_steady() -> None:
    rubric = read_rubric("pass_mark = 70", file="folder/exam week.toml")
    assert (rubric.pass_mark, rubric.name) == (70.0, "exam week")
    assert (rubric.shares, rubric.counts) == (STEADY.shares, STEADY.counts)
    assert rubric.strike_ms == STEADY.strike_ms


def test_what_does_not_count_is_left_out_of_the_counts_alone() -> None:
    rubric = read_rubric("[counts]\nbrushed_key = false\nhalt = true")
    assert set(COUNTABLE) - rubric.counts == {"brushed_key"}
    assert rubric.let_pass == ("a neighbouring key brushed",)


def test_all_mistakes_are_told_at_once_in_the_order_of_the_file() -> None:
    text = "pass_mrak = 60\n[counts]\nhalts = false\nrestart = 1\n[tolerances]\nstrike_ms = 5\n"
    assert refused(text) == [
        (1, "a rubric has no `pass_mrak`", "did you mean `pass_mark`?"),
        (3, "[counts] has no `halts`", "did you mean `halt`?"),
        (4, "`restart` must be true or false", ""),
        (6, "`strike_ms` must be a number from 20 to 300", ""),
    ]


def test_a_mistake_is_shown_with_its_line_and_a_caret() -> None:
    with pytest.raises(RubricError) as caught:
        read_rubric("[tolerances]\n  halt_beat = 2\n", file="mine.toml")
    assert str(caught.value) == (
        "mine.toml:2:3: [tolerances] has no `halt_beat`\n"
        "      halt_beat = 2\n"
        "      ^\n"
        "    did you mean `halt_beats`?"
    )


def test_where_nothing_comes_near_the_known_keys_are_listed() -> None:
    assert refused("[tolerances]\nzzz = 2")[0][2] == (
        "there are: strike_ms, halt_beats, other_rhythm_pct"
    )


@pytest.mark.parametrize("number", ["-1", "100.5", "nan", "inf", "true", '"60"', "[60]"])
def test_a_pass_mark_is_a_number_from_0_to_100(number: str) -> None:
    assert refused(f"pass_mark = {number}") == [
        (1, "`pass_mark` must be a number from 0 to 100", "")
    ]


@pytest.mark.parametrize("number", ["0", "100", "66.5"])
def test_the_bounds_themselves_are_allowed(number: str) -> None:
    assert read_rubric(f"pass_mark = {number}").pass_mark == float(number)


def test_weights_are_given_all_or_none() -> None:
    assert refused("[weights]\nchord = 3\nbass = 1\n") == [
        (1, "[weights] must also name `rhythm`, `form`", "")
    ]


def test_the_touch_weighs_only_where_it_is_named() -> None:
    assert "touch" not in read_rubric(WEIGHTS).shares
    assert read_rubric(WEIGHTS + "touch = 2.5\n").shares["touch"] == pytest.approx(0.2)


def test_something_must_weigh() -> None:
    nothing = "weights = {chord = 0, rhythm = 0, form = 0, bass = 0}"
    assert refused(nothing) == [(1, "in [weights] something must weigh more than 0", "")]


def test_a_table_is_no_number() -> None:
    assert (
        refused("counts = 3")[0][1] == "`counts` is a table: write `[counts]` and its keys below it"
    )


def test_a_name_is_a_text_that_is_not_empty() -> None:
    assert refused('name = " "\nabout = 3') == [
        (1, "`name` must be a text in quotation marks", ""),
        (2, "`about` must be a text in quotation marks", ""),
    ]


@pytest.mark.parametrize(
    ("text", "line"), [("name = = 2", 1), ("pass_mark = 60\n[weights", 2), ("halt\n", 1)]
)
def test_what_is_no_toml_is_told_with_its_place(text: str, line: int) -> None:
    assert refused(text)[0][0] == line
    assert refused(text)[0][1].startswith("this is not TOML: ")


def test_what_is_far_too_long_for_a_rubric_is_not_read() -> None:
    dotted = "a" + ".a" * 450_000 + " = 1"
    assert refused(dotted)[0][1] == "this rubric has 900005 signs; a rubric has at most 20000"


def test_lists_without_an_end_do_no_harm() -> None:
    assert refused("a = " + "[" * 15_000)[0][1].startswith("this is no")


@given(st.text(alphabet='abct=[]".{}#\n 013', max_size=60))
def test_no_text_makes_the_reader_stumble(text: str) -> None:
    with suppress(RubricError):
        read_rubric(text, file="mine.toml")


STEADY_TEXT = next(path for path in BUILT_IN if path.stem == "steady").read_text(encoding="utf-8")
ODD = ["=", "[", "]", "[[", "nan", "inf", "-1", "1e999", "true", '"', "'", ".", "\n", "\x00", "99"]
ODD += [
    "chord",
    "weights",
    "[weights]",
    "[counts]\n",
    "pass_mark = ",
    "0x7f",
    "2026-01-01",
    "{}",
    "日",
]


@given(
    st.lists(
        st.tuples(st.integers(0, len(STEADY_TEXT)), st.integers(0, 12), st.sampled_from(ODD)),
        min_size=1,
        max_size=4,
    )
)
def test_an_edited_rubric_is_one_or_is_refused_with_places(
    changes: list[tuple[int, int, str]],
) -> None:
    text = STEADY_TEXT
    for place, length, sign in changes:
        text = text[:place] + sign + text[place + length :]
    try:
        rubric = read_rubric(text, file="mine.toml")
    except RubricError as error:
        check_refusal(error)
    else:
        assert 0 <= rubric.pass_mark <= 100
        assert sum(rubric.shares.values()) == pytest.approx(1)
        assert all(0 <= share <= 1 for share in rubric.shares.values())
