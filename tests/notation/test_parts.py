"""Of a score with several parts the piano's notes are taken, as they sound, and that is said.

Transposition as in MusicXML 4.0 (W3C); names of parts as notation programs write them.
"""

import pytest

from evaluator.notation import ScoreError, import_score
from tests.notation.sheets import DIVISIONS, attributes, chord, note, score

UP = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>"
DRUM = (
    "<note><unpitched><display-step>C</display-step><display-octave>5</display-octave></unpitched>"
    f"<duration>{4 * DIVISIONS}</duration></note>"
)
REST = note("rest")


def on(staff: int, notes: str) -> str:
    return notes.replace("</note>", f"<staff>{staff}</staff></note>")


def staves(*keys: str) -> str:
    """A bar of as many staves."""
    back = f"<backup><duration>{4 * DIVISIONS}</duration></backup>"
    written = back.join(on(number, note(key)) for number, key in enumerate(keys, 1))
    return attributes(staves=len(keys)) + written


def clarinet(bar: str) -> str:
    return attributes(fifths=2).replace("</attributes>", UP) + bar


def parts(**bars: str) -> bytes:
    """A part of one bar for each name; `_` stands for a space."""
    listed = "".join(
        f'<score-part id="{name}"><part-name>{name.replace("_", " ")}</part-name></score-part>'
        for name in bars
    )
    bodies = "".join(
        f'<part id="{name}"><measure number="1">{bar}</measure></part>'
        for name, bar in bars.items()
    )
    return (
        f'<score-partwise version="4.0"><part-list>{listed}</part-list>{bodies}</score-partwise>'
    ).encode()


def read(xml: bytes) -> tuple[str, list[str]]:
    chart = import_score(xml, name="x")
    usual = ("the score gives no tempo", "the score has no chord symbols")
    return " ".join(chart.text.split()), [one for one in chart.remarks if not one.startswith(usual)]


def test_the_piano_is_taken_and_what_stands_beside_it_named():
    text, remarks = read(
        parts(Voice=attributes() + note("D5"), Harp=staves("E5", "E3"), Piano=staves("C5", "C3"))
    )
    assert "right | C5 | left | C3 |" in text
    assert remarks == [
        "the notes are those of Piano; left out, with the number of notes: Voice (1) and Harp (2)"
    ]


def test_two_parts_named_as_hands_are_a_piano():
    text, _ = read(
        parts(
            Flute=attributes() + note("D6"),
            Piano_right_hand=attributes() + note("C5"),
            Piano_left_hand=attributes() + note("C3"),
        )
    )
    assert "right | C5 | left | C3 |" in text


def test_a_third_staff_is_said():
    _, remarks = read(parts(Organ=staves("C5", "C3", "C2")))
    assert remarks == [
        "the notes are those of Organ; left out, with the number of notes: "
        "another staff of Organ (1)"
    ]


def test_a_part_beside_the_piano_has_no_say_in_the_key():
    text, remarks = read(parts(Clarinet=clarinet(note("D5")), Piano=staves("C5", "C3")))
    assert "key: C major" in text
    assert not any("sounds" in one for one in remarks)


@pytest.mark.parametrize(
    ("bar", "written"),
    [(chord("D") + note("D5"), "| C |"), (note("D5"), "right | C5 |")],
    ids=["chords", "notes"],
)
def test_a_clarinet_is_read_as_it_sounds(bar: str, written: str):
    text, remarks = read(parts(Clarinet=clarinet(bar)))
    assert written in text
    assert "key: C major" in text
    assert remarks == ["Clarinet is written as it sounds, not as it is printed"]


@pytest.mark.parametrize("bar", [DRUM, REST], ids=["drums", "rests"])
def test_a_score_with_nothing_for_a_piano_is_refused(bar: str):
    with pytest.raises(ScoreError, match="neither notes nor chord symbols"):
        import_score(score(bar), name="x")
