"""Charts become scores. Read back by music21 or by this project's own import; the
notation is that of MusicXML 4.0 (W3C)."""

import re
from pathlib import Path

import pytest

from evaluator.chart import parse_chart, read_chart
from evaluator.notation import export_chart, import_score
from evaluator.notation.reading import read_score
from tests.notation.sheets import as_others_save_it

HEAD = "title: Cobbler's Rain\nkey: D major\ntempo: 96\n"
WALK = """pattern walk
  left  | x . . . x . . . |
  right | . . x . . x x . |
"""
CHARTS = sorted((Path(__file__).parents[2] / "charts").glob("*.txt"))


def exported(body: str, *, header: str = "") -> str:
    return export_chart(parse_chart(HEAD + header + body)).decode()


def keys(body: str, hand: str, *, header: str = WALK) -> list[tuple[int, ...]]:
    """The keys that a hand strikes in the exported score, bar by bar together."""
    score = read_score(exported(body, header=header).encode())
    return [
        tuple(pitch.key for tone in bar.hands[hand] if tone.struck for pitch in tone.pitches)
        for bar in score.bars
    ]


def test_title_name_key_and_tempo_are_written():
    xml = exported("[A]\n| D |", header="by: Nobody\n")
    assert "<movement-title>Cobbler's Rain</movement-title>" in xml
    assert "Nobody" in xml
    assert "<fifths>2</fifths>" in xml
    assert "<per-minute>96</per-minute>" in xml


def test_a_chart_by_nobody_is_by_nobody():
    assert "<creator" not in exported("[A]\n| D |")


@pytest.mark.parametrize(
    ("chord", "kind"),
    [
        ("D", "major"),
        ("Bm7", "minor-seventh"),
        ("G7sus4", "suspended-fourth"),
        ("A13", "dominant-13th"),
    ],
)
def test_chords_are_written_by_their_kinds(chord, kind):
    xml = exported(f"[A]\n| {chord} |")
    assert re.search(rf"<kind[^>]*>{kind}</kind>", xml)


def test_a_bass_rule_is_written_as_a_slash_chord():
    xml = exported("[A]\n| A |", header="bass: A = C#\n" + WALK)
    assert "<bass-step>C</bass-step>" in xml
    assert "<bass-alter>1</bass-alter>" in xml


def test_a_chart_without_a_pattern_gets_slashes():
    xml = exported("[A]\n| D | N.C. |")
    assert xml.count(">slash</notehead>") == 4
    assert xml.count("<rest") == 4


def test_a_pattern_is_spelled_out_on_two_staves():
    right, left = keys("[A]\n| D |", "right")[0], keys("[A]\n| D |", "left")[0]
    assert len(left) == 2
    assert {key % 12 for key in left} == {2}
    assert len(right) == 9
    assert {key % 12 for key in right} == {2, 6, 9}


def test_written_notes_come_out_as_they_are():
    body = "[A]\n| D | A |\n  right | D5 . F#5,E5,D5 A4 | - - C#5+E5 . |\n"
    assert keys(body, "right") == [(74, 78, 76, 74, 69), (73, 76)]


def test_what_is_held_over_the_bar_line_is_tied():
    body = "[A]\n| D | A |\n  right | D5 - - - | - E5 |\n"
    xml = exported(body)
    assert '<tie type="start"' in xml
    assert '<tie type="stop"' in xml
    text = import_score(as_others_save_it(xml.encode()), name="x").text
    assert read_chart(text).bars[1].strikes[0].pitches == (76,)


def test_a_counted_line_stands_between_repeat_signs():
    xml = exported("[A]\n| D | A | x3")
    assert '<repeat direction="forward"' in xml
    assert re.search(r'<repeat [^>]*times="3"', xml)


def test_the_freedoms_of_the_form_are_said_in_words():
    body = "[A]\n| D | x2-4\n| G | x2+\n| D | A |\nor | Em7 |\n[B] optional\n| D |"
    xml = exported(body)
    for words in ("2 to 4 times", "2 times or more", "or: | Em7 |", "may be left out"):
        assert words in xml


def test_sections_lines_and_words_are_written():
    xml = exported("[Verse]\n| D | A |\n  rain on the last\n| G |\n[Verse]\n[Coda]\n| D |")
    assert re.findall(r"<rehearsal[^>]*>([^<]+)", xml) == ["Verse 1", "Verse 2", "Coda"]
    assert xml.count('new-system="yes"') == 4
    assert re.findall(r"<text>([^<]+)</text>", xml)[:4] == ["rain", "on", "the", "last"]


def test_swing_is_said_and_eighths_are_straight():
    straight = keys("[A]\n| D |", "right")
    swung = keys("[A]\n| D |", "right", header="feel: swing 2:1\n" + WALK)
    assert straight == swung
    assert "swing 2:1" in exported("[A]\n| D |", header="feel: swing 2:1\n" + WALK)


@pytest.mark.parametrize("path", CHARTS, ids=lambda path: path.stem)
def test_the_projects_charts_keep_bars_meters_and_chords(path):
    graph = read_chart(path.read_text(encoding="utf-8"))
    xml = export_chart(parse_chart(path.read_text(encoding="utf-8")))
    again = read_chart(import_score(as_others_save_it(xml), name="x").text)
    bars, same = (
        [
            (
                bar.meter,
                round(bar.seconds, 3),
                [(s.beat, s.bass, s.chord and s.chord.name) for s in bar.spans],
            )
            for bar in (song.bars[index] for index in song.written)
        ]
        for song in (graph, again)
    )
    assert same == bars


def test_a_section_in_any_rhythm_gets_slashes_beside_one_with_a_pattern():
    xml = exported("[A]\n| D |\n[B] pattern free\n| Em | G / / N.C. |", header=WALK)
    assert xml.count(">slash</notehead>") == 4 + 3
