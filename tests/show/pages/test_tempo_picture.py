"""The course of the tempo."""

import re
from itertools import pairwise

from evaluator.show.pages.tempo_picture import TempoPicture, tempo_picture
from tests.playing import Pause, Restart
from tests.show.pages.takes import CHART, graded


def picture(*faults: Pause | Restart, **manner: object) -> TempoPicture:
    found = tempo_picture(graded(*faults, **manner))  # type: ignore[arg-type]
    assert found is not None
    return found


def heights(path: str) -> list[float]:
    return [float(y) for y in re.findall(r"[ML]\d+ ([\d.]+)", path)]


def test_a_slower_take_runs_below_the_written_tempo() -> None:
    shown = picture(tempo=0.8)
    assert min(heights(shown.played)) > max(heights(shown.written))


def test_the_scale_has_the_tempo_that_was_played_within_it() -> None:
    shown = picture(tempo=0.8)
    assert all(0 <= y <= 100 for y in heights(shown.played) + heights(shown.written))
    assert 80 in [bpm for bpm, _ in shown.lines]


def test_sections_are_told_with_both_tempi() -> None:
    shown = picture(tempo=0.8)
    assert [section.label for section in shown.sections] == ["Verse", "Solo", "Chorus"]
    for section in shown.sections:
        assert section.written == 96
        assert section.played is not None
        assert abs(section.played - 76.8) < 1


def test_a_section_with_a_tempo_of_its_own_is_held_against_that() -> None:
    shown = picture(chart=CHART.replace("[Solo] optional", "[Solo] optional tempo 60"))
    assert [round(section.played or 0) for section in shown.sections] == [96, 60, 96]
    assert [section.written for section in shown.sections] == [96, 60, 96]


def test_a_halt_is_marked_where_it_was_and_does_not_bend_the_curve() -> None:
    shown = picture(Pause(6, 2.0, 3.0))
    ((sign, say, place),) = shown.halts
    assert sign == "//"
    assert "halt" in say
    assert 20 <= place <= 35
    flat = heights(shown.played)
    assert max(flat) - min(flat) < 12


def test_a_restart_does_not_bend_the_curve_either() -> None:
    shown = picture(Restart(6, 2.0, 2.0), again=6)
    assert [sign for sign, _, _ in shown.halts] == ["«"]
    flat = heights(shown.played)
    assert max(flat) - min(flat) < 12


def test_names_that_have_no_room_are_left_to_the_table() -> None:
    chords = 10 * ("D", "Bm", "G")
    bars = "".join(f"[Part {number}]\n| {chord} |\n" for number, chord in enumerate(chords, 1))
    shown = picture(chart=f"title: Steps\ntempo: 90\n\n{bars}")
    named = [section.left for section in shown.sections if section.name]
    assert len(shown.sections) == 30
    assert 5 < len(named) < 25
    assert all(later - before >= 4.4 for before, later in pairwise(named))
