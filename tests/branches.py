"""Counts the branches of the core that the core's own tests take, while all tests run.

Switched on by `EVALUATOR_BRANCHES`, which spares running those tests twice. Every process
of the run leaves a file of coverage.py's; `coverage combine` puts them together, and
`tests.bench.branches` says what they come to. What is run while tests are collected counts,
in the first of the processes, since all of them collect the same. What is drawn by chance does
not: a branch that is taken on lucky days alone is not held by a test. Nor does what plays many
songs or names all chords: the tests beside it take the same branches, and counting costs time.
"""

from collections.abc import Generator
from pathlib import Path

import coverage
import pytest
from hypothesis import is_hypothesis_test

from tests.bench.branches import TESTS

ROOT = Path(__file__).resolve().parents[1]
OWN = tuple(ROOT / name for name in TESTS)
WIDE = {
    "against/test_midi_files_damaged.py::"
    "test_a_file_cut_at_any_byte_keeps_the_notes_before_the_cut",
    *("excerpt/test_within.py", "follow/test_bar_lines.py", "follow/test_form_prices.py"),
    *("follow/test_kernel.py", "follow/test_likeness.py", "follow/test_manners.py"),
    "follow/test_follow.py::"
    "test_a_take_a_fourth_up_is_not_followed_from_jump_to_jump_in_the_charts_key",
    "follow/test_follow.py::test_a_take_that_begins_deep_inside_a_long_song_is_found_there",
    "follow/test_follow.py::test_bars_lost_and_doubled",
    *("follow/test_openings.py", "follow/test_timing.py"),
    *("judge/test_agreement.py", "judge/test_form.py", "judge/test_rhythm.py"),
    *("judge/test_counting.py", "judge/test_form_of_loops.py", "judge/test_grades.py"),
    *("judge/test_hard_bars.py", "judge/test_leniency.py", "judge/test_marks.py"),
    *("judge/test_short_bars.py", "report/test_form_sections.py", "theory/test_naming.py"),
    "judge/test_form_places.py::test_a_restart_counts_the_bars_that_it_repeats_or_skips",
    "judge/test_manner.py::test_another_manner_is_heard_and_accuses_of_nothing",
    "practise/test_guide.py::"
    "test_a_guide_of_an_invented_chart_is_graded_100_with_or_without_a_click",
    "practise/test_guide.py::test_a_guide_of_every_demo_chart_is_graded_100",
    "report/test_json.py::test_the_schema_refuses_what_is_wrong",
}
"""Files, and tests of others, that are dear and take no branch that none of the rest takes."""


class CountedBranches:
    """A plugin of pytest's."""

    def __init__(self, *, first: bool) -> None:
        self._coverage = coverage.Coverage(data_suffix=True)
        if first:
            self._coverage.start()

    def pytest_collection_finish(self) -> None:
        self._coverage.stop()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, object, object]:
        drawn = is_hypothesis_test(getattr(item, "obj", None))
        file = item.path.relative_to(ROOT / "tests").as_posix()
        wide = file in WIDE or f"{file}::{getattr(item, 'originalname', item.name)}" in WIDE
        counted = not drawn and not wide
        own = counted and any(path in (item.path, *item.path.parents) for path in OWN)
        if own:
            self._coverage.start()
        try:
            return (yield)
        finally:
            if own:
                self._coverage.stop()

    def pytest_sessionfinish(self) -> None:
        self._coverage.save()
