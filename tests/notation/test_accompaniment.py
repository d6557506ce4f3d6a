"""An accompaniment that repeats under chord symbols is a pattern; anything else is its notes.

Patterns as lessons have them; common practice, no source.
"""

from pathlib import Path

import pytest

from evaluator.chart import BarGraph, read_chart
from evaluator.chart.parse import parse_chart
from evaluator.grading import grade_fully, prepare
from evaluator.notation import export_chart, import_score
from tests.bench.invent import invent
from tests.notation.sheets import as_others_save_it, chord, note, piano
from tests.playing import WrongChord, play, to_midi

CHARTS = sorted(Path("charts").glob("*.txt"))
TRIADS = {"C": "C4 E4 G4", "F": "C4 F4 A4", "G": "B3 D4 G4", "A": "A3 C4 E4"}


def together(keys: str, quarters: float) -> str:
    first, *rest = keys.split()
    others = "".join(note(key, quarters).replace("<note>", "<note><chord/>") for key in rest)
    return note(first, quarters) + others


def oom_pah(root: str) -> tuple[str, str]:
    """The bass on one, the chord on two and four."""
    kind = "minor" if root == "A" else "major"
    struck = together(TRIADS[root], 1)
    right = chord(root, kind) + note("rest", 1) + struck + note("rest", 1) + struck
    return right, note(f"{root}2", 4)


def read(*bars: tuple[str, str]) -> tuple[str, BarGraph]:
    text = import_score(piano(*bars), name="x").text
    return text, read_chart(text)


def rows(text: str) -> list[str]:
    """Rows of notes, not those of patterns."""
    head, *_ = text.partition("[")
    found = [line.split() for line in text.removeprefix(head).splitlines()]
    return [" ".join(row[1:]) for row in found if row and row[0] in ("right", "left")]


def test_what_repeats_under_changing_chords_is_written_as_a_pattern():
    text, _ = read(*map(oom_pah, "CFGC"))
    assert "pattern hands\n" in text
    assert "  left  | x . . . |" in text
    assert "  right | . x . x |" in text
    assert rows(text) == []
    assert "| C | F | G | C |" in text
    assert "any inversion" in text


def test_the_last_chord_may_be_held():
    held = (chord("C") + together("C4 E4 G4", 4), note("C2", 4))
    text, _ = read(*map(oom_pah, "CFGF"), held)
    assert "| <C> |" in text
    assert rows(text) == []


def test_a_bar_with_other_notes_keeps_them_on_a_line_of_its_own():
    fill = (chord("G") + "".join(note(k, 1) for k in ("B4", "A4", "G4", "F4")), note("G2", 4))
    text, graph = read(*map(oom_pah, "CFC"), fill, *map(oom_pah, "FC"))
    assert rows(text) == ["| B4 A4 G4 F4 |", "| G2 |"]
    assert [bool(bar.exact) for bar in graph.bars] == [False] * 3 + [True] + [False] * 2


def test_a_tune_over_the_same_bass_keeps_all_its_notes():
    tune = ["C5 D5 E5 F5", "A4 C5 F5 E5", "D5 B4 G4 A4", "G4 E4 C4 E4"]
    bars = [
        (chord(root) + "".join(note(key, 1) for key in keys.split()), note(f"{root}2", 4))
        for root, keys in zip("CFGC", tune, strict=True)
    ]
    text, graph = read(*bars)
    assert "pattern" not in text
    assert all(bar.written_out for bar in graph.bars)


def test_what_repeats_under_one_chord_may_be_just_these_notes():
    text, _ = read(*[oom_pah("C")] * 6)
    assert "pattern" not in text


def test_notes_without_symbols_are_kept():
    plain = [(right.partition("</harmony>")[2], left) for right, left in map(oom_pah, "CFGC")]
    text, _ = read(*plain)
    assert "pattern" not in text


def test_a_chord_with_a_foreign_tone_is_not_the_pattern_s():
    right, left = oom_pah("G")
    changed = right.replace(together(TRIADS["G"], 1), together("C4 D4 G4", 1))
    text, _ = read(*map(oom_pah, "CFC"), (changed, left), *map(oom_pah, "FC"))
    assert rows(text) == ["| . C4+D4+G4 . C4+D4+G4 |", "| G2 |"]


def test_a_bar_with_an_ornament_keeps_its_notes():
    trill = "<notations><ornaments><trill-mark/></ornaments></notations>"
    right, left = oom_pah("G")
    adorned = right.replace("</note>", f"{trill}</note>")
    text, _ = read(*map(oom_pah, "CFC"), (adorned, left), *map(oom_pah, "FC"))
    assert "~tr" in text


def test_the_bass_of_a_chord_within_the_bar_is_written_down_or_not():
    def halves(struck: bool) -> tuple[str, str]:
        right = chord("C") + chord("F", offset=2) + note("rest", 1) + together(TRIADS["C"], 1)
        right += note("rest", 1) + together(TRIADS["F"], 1)
        return right, note("C2", 2) + note("F2", 2) if struck else note("C2", 4)

    follows, _ = read(*map(oom_pah, "CFGC"), halves(struck=True))
    assert rows(follows) == []
    assert "bass: as written" not in follows
    stays, _ = read(*map(oom_pah, "CFGC"), halves(struck=False), halves(struck=False))
    assert rows(stays) == []
    assert "bass: as written" in stays


def slashes(root: str) -> tuple[str, str]:
    one = note("B4", 1, extra="<notehead>slash</notehead>")
    return chord(root) + one * 4, note("rest", 4)


def test_slashes_leave_the_rhythm_to_the_player():
    text, graph = read(*map(slashes, "CFG"))
    assert "[A] pattern free" in text
    assert rows(text) == []
    assert all(bar.free for bar in graph.bars)


def test_slashes_among_bars_of_a_pattern_go_on_with_it():
    text, graph = read(*map(oom_pah, "CFGC"), *map(slashes, "FC"))
    assert "free" not in text
    assert [len(bar.strikes) for bar in graph.bars] == [3] * 6


@pytest.mark.parametrize(
    "text",
    [*(path.read_text(encoding="utf-8") for path in CHARTS), *map(invent, (2, 4, 9))],
    ids=[*(path.stem for path in CHARTS), "invented 2", "invented 4", "invented 9"],
)
def test_a_right_take_keeps_its_mark_when_another_program_saved_the_score(text: str):
    song = prepare(text)
    back = prepare(import_score(as_others_save_it(export_chart(parse_chart(text))), name="x").text)
    right = grade_fully(back, to_midi(play(song.graph))).judgement
    assert (right.marks.overall or 0) >= 95
    assert [one for one in right.form if one.kind != "choice"] == []
    bar = next(bar for bar in song.graph.bars if bar.spans[0].chord and bar.index > 3)
    wrong = WrongChord(bar.number, "F#dim7")
    accused = grade_fully(back, to_midi(play(song.graph, faults=[wrong]))).judgement
    assert bar.index in [one.bar for one in accused.bars if one.chord.word == "wrong"]
