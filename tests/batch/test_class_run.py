"""How is one file of a class graded, so that no file can harm another? Own rules, no source."""

import json
import pickle
import re
from dataclasses import replace
from typing import Any

import pytest

from evaluator.batch import class_run
from evaluator.batch.class_run import ClassSetting, HandedIn, grade_class
from evaluator.batch.pool import Local
from evaluator.judge.rubric import STEADY
from tests.cli.commands import CHART, take
from tests.playing import WrongBass

SETTING = ClassSetting(CHART, "row.txt", STEADY)


def handed(name: str, content: bytes, **more: Any) -> HandedIn:
    return HandedIn(name, f"{name}.mid", content, **more)


@pytest.fixture(scope="module")
def files() -> list[HandedIn]:
    good = take(WrongBass(2, "A"))
    return [
        handed("Anna", good),
        handed("Ben", good, same_as="Anna.mid"),
        handed("Carl", good[: len(good) // 2]),
        handed("Dora", b"no music"),
        handed("Edda", b"", problem="Edda.mid could not be read."),
        handed("Finn", take()),
    ]


def test_every_file_has_one_outcome_in_its_order(files: list[HandedIn]) -> None:
    outcomes = list(grade_class(SETTING, files))
    assert [one.take.student for one in outcomes] == [file.student for file in files]
    assert [one.take.status for one in outcomes] == [
        *("graded", "graded", "graded", "unreadable", "unreadable", "graded")
    ]
    assert outcomes[1].take.same_as == "Anna.mid"
    assert "could not be read" in outcomes[4].take.problem


def test_two_workers_say_what_one_says(files: list[HandedIn]) -> None:
    wanted = replace(SETTING, documents=True, pages=True)
    alone = list(grade_class(wanted, files))
    assert list(grade_class(wanted, files, Local(2))) == alone


def test_only_what_is_wanted_comes_back(files: list[HandedIn]) -> None:
    (bare,) = grade_class(SETTING, files[:1])
    assert (bare.report, bare.document, bare.page) == (None, "", "")
    wanted = replace(SETTING, reports=True, documents=True, pages=True)
    (full,) = grade_class(wanted, [replace(files[0], page="Anna.html")])
    assert full.report is not None
    assert json.loads(full.document)["take"]["file"] == "Anna.mid"
    assert full.page.startswith("<!DOCTYPE html>") or full.page.startswith("<!doctype html>")
    assert full.take.page == "Anna.html"
    assert len(pickle.dumps(bare)) * 20 < len(pickle.dumps(full))


def test_a_fault_of_the_program_in_one_file_does_not_stop_the_rest(
    files: list[HandedIn], monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = class_run.grade_fully

    def stumbles(*given: Any, take_file: str, **more: Any) -> Any:
        if take_file == "Ben.mid":
            raise ZeroDivisionError("by nothing")
        return whole(*given, take_file=take_file, **more)

    monkeypatch.setattr(class_run, "grade_fully", stumbles)
    outcomes = list(grade_class(SETTING, files))
    assert re.fullmatch(
        r"The program failed on this file \(ZeroDivisionError: by nothing, test_class_run.py "
        r"\d+\); please report it\.",
        outcomes[1].take.problem,
    )
    assert outcomes[0].take.status == outcomes[5].take.status == "graded"
