"""Two copies of the program are told apart by their text. Own rule, no source."""

from pathlib import Path

import pytest

from evaluator import errors
from evaluator.batch.program import fingerprint


@pytest.fixture
def copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the program with two small modules."""
    (tmp_path / "judge").mkdir()
    (tmp_path / "errors.py").write_bytes(b"one = 1\ntwo = 2\n")
    (tmp_path / "judge" / "chord.py").write_bytes(b"three = 3\n")
    monkeypatch.setattr(errors, "__file__", str(tmp_path / "errors.py"))
    fingerprint.cache_clear()
    return tmp_path


def printed() -> str:
    fingerprint.cache_clear()
    found = fingerprint()
    fingerprint.cache_clear()
    return found


def test_the_line_ends_of_another_system_make_no_other_program(copy: Path) -> None:
    before = printed()
    (copy / "errors.py").write_bytes(b"one = 1\r\ntwo = 2\r\n")
    assert printed() == before


def test_a_changed_a_new_and_a_moved_module_do(copy: Path) -> None:
    found = {printed()}
    (copy / "judge" / "chord.py").write_bytes(b"three = 4\n")
    found.add(printed())
    (copy / "judge" / "bass.py").write_bytes(b"")
    found.add(printed())
    (copy / "judge" / "bass.py").rename(copy / "bass.py")
    found.add(printed())
    assert len(found) == 4
