"""A desk for one lesson."""

from pathlib import Path
from typing import Any, Protocol

import pytest

from tests.end_to_end.lesson import SONG, Graded, graded
from tests.playing import Fault


class Student(Protocol):
    """Plays the song with these faults, and has it graded; keywords as for `performed`."""

    def __call__(self, *faults: Fault, **playing: Any) -> Graded: ...


@pytest.fixture
def student(tmp_path: Path) -> Student:
    def plays(*faults: Fault, **playing: Any) -> Graded:
        return graded(tmp_path, SONG, *faults, **playing)

    return plays
