"""The 21 MIDI files that music21 ships (`music21/midi/testPrimitive`) give mido's notes."""

import importlib.util
from pathlib import Path

import pytest

from evaluator.take.midi_file import read_take
from tests.against.readers import notes_of, notes_of_mido, same_notes

_SPEC = importlib.util.find_spec("music21")
assert _SPEC is not None
assert _SPEC.origin is not None
FILES = sorted((Path(_SPEC.origin).parent / "midi" / "testPrimitive").glob("*.mid"))


def test_all_of_them_are_there() -> None:
    assert len(FILES) == 21


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_file_gives_the_notes_that_mido_reads(path: Path) -> None:
    raw = path.read_bytes()
    assert same_notes(notes_of(read_take(raw)), notes_of_mido(raw))
