"""Do the examples of the page on Python run as they stand there, and give what they show?"""

import doctest
import importlib.metadata
import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import evaluator
from evaluator import EvaluatorError, Rubric, UsageError, grade, read_rubric, to_json
from evaluator.judge.rubric import STEADY
from evaluator.report.model import Report
from tests.cli.fresh import fresh_checkout

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "python.md"
CHART = (ROOT / "charts" / "kettle_lane.txt").read_text(encoding="utf-8")
TAKE = (ROOT / "recordings" / "kettle_lane-student.mid").read_bytes()


def test_every_example_gives_what_the_page_shows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(fresh_checkout(tmp_path))
    text = PAGE.read_text(encoding="utf-8").replace("```", "")
    examples = doctest.DocTestParser().get_doctest(text, {}, PAGE.name, str(PAGE), 0)
    told: list[str] = []
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS)
    done = runner.run(examples, out=told.append)
    assert done.attempted > 25
    assert done.failed == 0, "".join(told)


def test_every_block_of_the_page_is_tried() -> None:
    blocks = PAGE.read_text(encoding="utf-8").split("```python\n")[1:]
    assert len(blocks) > 5
    assert all(block.startswith(">>> ") for block in blocks)


def test_everything_that_is_offered_is_there() -> None:
    for name in evaluator.__all__:
        assert getattr(evaluator, name) is not None
    assert evaluator.Report is Report
    with pytest.raises(AttributeError, match="no attribute 'grace'"):
        _ = evaluator.grace  # type: ignore[attr-defined]


def test_the_version_is_that_of_the_installation() -> None:
    assert evaluator.__version__ == importlib.metadata.version("midi-practice-evaluator")
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert "version" in project["dynamic"]
    changes = (ROOT / "docs" / "CHANGELOG.md").read_text(encoding="utf-8")
    assert f"\n## {evaluator.__version__}" in changes


def test_the_package_says_that_it_has_types() -> None:
    assert (ROOT / "evaluator" / "py.typed").exists()


def test_the_package_is_imported_without_numpy() -> None:
    needs = "import sys, evaluator; print('numpy' in sys.modules, 'typing' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", needs], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "False"]


def test_a_rubric_is_given_by_name_or_as_a_value() -> None:
    by_name = grade(CHART, TAKE, rubric="First steps")
    assert by_name.reckoning.rubric == "first steps"
    assert to_json(grade(CHART, TAKE)) == to_json(grade(CHART, TAKE, rubric=STEADY))
    strict = read_rubric("strictness = 10")
    assert isinstance(strict, Rubric)
    assert (grade(CHART, TAKE, rubric=strict).marks.overall or 0) < (by_name.marks.overall or 0)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ({"rubric": "stedy"}, "There is no rubric stedy. Did you mean steady?"),
        ({"rubric": "7th grade"}, "There are: first-steps, steady, concert-ready."),
        ({"hand": "middle"}, "The hand is left or right, not `middle`."),
        ({"bars": "5-6", "section": "Solo"}, "either bars or a section"),
        ({"bars": "99"}, "the chart has bars 1 to 86"),
        ({"section": "Bridge"}, "no section `Bridge`"),
    ],
)
def test_what_there_is_not_is_refused_in_a_sentence(words: dict[str, str], told: str) -> None:
    with pytest.raises(UsageError, match=re.escape(told)) as caught:
        grade(CHART, TAKE, **words)  # type: ignore[arg-type]
    assert isinstance(caught.value, EvaluatorError)


def test_json_is_that_of_the_command() -> None:
    document = json.loads(to_json(grade(CHART, TAKE, hand="right", section="Verse 1")))
    assert document["take"]["hand"] == "right"
    assert document["chart"]["bars"] == 86
