"""What was graded is not graded again, whatever moment a run ends in. Own rules, no source."""

import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import pytest

from evaluator.batch import journal as journal_module
from evaluator.batch.class_run import ClassSetting, HandedIn, Outcome
from evaluator.batch.journal import MAGIC, Journal, JournalError, graded
from evaluator.batch.journal_line import key_of, line, outcome_of
from evaluator.batch.pool import Local
from evaluator.judge.rubric import STEADY
from tests.cli.commands import CHART, take
from tests.playing import WrongBass, WrongChord

SETTING = ClassSetting(CHART, "row.txt", STEADY, documents=True)


@dataclass(slots=True)
class Counting:
    """This very process, and the files that it was given."""

    seen: list[str] = field(default_factory=list)
    eager: bool = False
    """Whether it takes up everything before it answers."""

    def in_order(self, craft: Any, setting: Any, pieces: Iterable[Any]) -> Iterator[Any]:
        def noted() -> Iterator[Any]:
            for piece in pieces:
                self.seen.append(piece.file)
                yield piece

        return Local(1).in_order(craft, setting, list(noted()) if self.eager else noted())


@pytest.fixture(scope="module")
def files() -> list[HandedIn]:
    contents = [take(WrongBass(2, "A")), take(), b"no music", take(WrongChord(3, "G"))]
    return [HandedIn(f"S{n}", f"{n}.mid", content) for n, content in enumerate(contents)]


def run(
    file: io.BytesIO,
    files: list[HandedIn],
    setting: ClassSetting = SETTING,
    *,
    upto: int = 99,
    crew: Counting | None = None,
) -> tuple[list[Outcome], list[str], Journal]:
    """What a run gives that ends after so many files, and which of them it graded."""
    journal, crew = Journal(file), crew or Counting()
    found: list[Outcome] = []
    for done in graded(setting, files, crew, journal):
        if not done.known:
            journal.add(done.key, done.outcome)
        found.append(done.outcome)
        if len(found) == upto:
            break
    return found, crew.seen, journal


def test_an_outcome_is_written_and_read_as_it_was(files: list[HandedIn]) -> None:
    for outcome in run(io.BytesIO(), files)[0]:
        assert outcome_of(line("k", outcome)) == outcome


def test_a_run_goes_on_where_one_was_broken_off(files: list[HandedIn]) -> None:
    whole, _, _ = run(io.BytesIO(), files)
    file = io.BytesIO()
    run(file, files, upto=2)
    found, seen, journal = run(file, files)
    assert seen == ["2.mid", "3.mid"]
    assert found == whole
    assert list(journal.documents()) == [one.document for one in whole]
    assert run(file, files)[1] == []


def test_whatever_byte_it_ends_at_nothing_is_lost_and_nothing_twice(
    files: list[HandedIn],
) -> None:
    file = io.BytesIO()
    whole, _, _ = run(file, files[1:3])
    raw = file.getvalue()
    for size in (*range(len(MAGIC) + 12), *range(len(MAGIC), len(raw), 997), len(raw) - 1):
        cut = io.BytesIO(raw[:size])
        found, seen, journal = run(cut, files[1:3])
        assert found == whole
        assert len(seen) == 2 - raw[:size].count(b"\n", len(MAGIC))
        assert len(journal) == 2
        assert run(io.BytesIO(cut.getvalue()), files[1:3])[1] == []


def test_a_damaged_line_is_graded_anew(files: list[HandedIn]) -> None:
    file = io.BytesIO()
    whole, _, _ = run(file, files)
    raw = bytearray(file.getvalue())
    raw[len(MAGIC) + 60] ^= 1
    found, seen, _ = run(io.BytesIO(bytes(raw)), files)
    assert (found, seen) == (whole, ["0.mid"])


@pytest.mark.parametrize(
    "changed",
    [
        replace(SETTING, chart_text=CHART.replace("tempo: 96", "tempo: 90")),
        replace(SETTING, rubric=replace(STEADY, pass_mark=80.0)),
        replace(SETTING, hand="left"),
        replace(SETTING, documents=False),
    ],
)
def test_another_chart_or_rubric_is_another_run(
    files: list[HandedIn], changed: ClassSetting
) -> None:
    file = io.BytesIO()
    run(file, files[:2])
    assert run(file, files[:2], changed)[1] == ["0.mid", "1.mid"]
    assert run(file, files[:2])[1] == []


def test_another_program_grades_anew(
    files: list[HandedIn], monkeypatch: pytest.MonkeyPatch
) -> None:
    file = io.BytesIO()
    run(file, files[:1])
    monkeypatch.setattr(journal_module, "fingerprint", lambda: "newer")
    assert run(file, files[:1])[1] == ["0.mid"]


def test_a_take_that_was_changed_or_given_to_another_is_graded_anew(
    files: list[HandedIn],
) -> None:
    file = io.BytesIO()
    run(file, files[:2])
    again = [replace(files[0], content=files[3].content), replace(files[1], student="Bo")]
    assert run(file, again)[1] == ["0.mid", "1.mid"]


def test_files_whose_names_look_alike_are_not_mixed_up(files: list[HandedIn]) -> None:
    alike = [files[1], files[1], files[3]]
    for crew in (Counting(), Counting(eager=True)):
        found, _, _ = run(io.BytesIO(), alike, crew=crew)
        assert [one.take.file for one in found] == ["1.mid", "1.mid", "3.mid"]


def test_what_is_told_beside_a_take_is_told_as_it_is_now(files: list[HandedIn]) -> None:
    file = io.BytesIO()
    run(file, files[1:2])
    (outcome,), seen, _ = run(file, [replace(files[1], same_as="0.mid")])
    assert (seen, outcome.take.same_as) == ([], "0.mid")


def test_a_file_of_somebody_elses_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "class.csv.unfinished"
    for content in (b"my notes\n", MAGIC[:-1] + b"7\n"):
        path.write_bytes(content)
        with path.open("a+b") as file, pytest.raises(JournalError):
            Journal(file)
        assert path.read_bytes() == content


def test_what_is_no_line_has_no_key() -> None:
    assert key_of(b"") is None
    assert key_of(b"zzzzzzzz [1]\n") is None
