"""A folder as a teacher has it: a chart and a take."""

from pathlib import Path

import pytest

from tests.cli.commands import CHART, take
from tests.playing import WrongBass, WrongChord


@pytest.fixture(scope="session")
def student_bytes() -> bytes:
    return take(WrongBass(2, "A"), WrongChord(3, "G"), without=(16,))


@pytest.fixture
def folder(tmp_path: Path, student_bytes: bytes) -> Path:
    (tmp_path / "row.txt").write_text(CHART, encoding="utf-8")
    (tmp_path / "monday.mid").write_bytes(student_bytes)
    return tmp_path
