"""Swing as scores say it: `swing` of MusicXML 4.0 (W3C), metronome relations, words.

The relations are those of printed jazz parts; common practice of notation.
"""

import pytest

from evaluator.notation import import_score
from tests.notation.sheets import chord, note, score, words

BAR = chord("C") + note()


def relation(*notes: str) -> str:
    made = "".join(
        f"<metronome-note><metronome-type>{one}</metronome-type></metronome-note>" for one in notes
    )
    two = made.split("</metronome-note>")
    body = "</metronome-note>".join(two[:2]) + "</metronome-note>"
    body += "<metronome-relation>equals</metronome-relation>" + "</metronome-note>".join(two[2:])
    return f"<direction><direction-type><metronome>{body}</metronome></direction-type></direction>"


def sound(said: str) -> str:
    return f"<sound><swing>{said}</swing></sound>"


@pytest.mark.parametrize(
    ("mark", "feel"),
    [
        (words("Medium Swing"), "2:1"),
        (words("swing 5:3"), "5:3"),
        (words("Shuffle"), "2:1"),
        (sound("<first>3</first><second>2</second>"), "3:2"),
        (relation("eighth", "eighth", "quarter", "eighth"), "2:1"),
        (relation("eighth", "eighth", "eighth", "16th"), "3:1"),
    ],
)
def test_a_swung_song_has_its_feel(mark: str, feel: str):
    assert f"\nfeel:  swing {feel}\n" in import_score(score(mark + BAR, BAR), name="x").text


@pytest.mark.parametrize(
    "mark",
    [
        words("no swing"),
        sound("<straight/>"),
        sound("<first>2</first><second>1</second><swing-type>16th</swing-type>"),
        sound("<first>1</first><second>0</second>"),
        sound("<first>x</first>"),
        relation("quarter", "quarter", "half", "half"),
    ],
)
def test_a_straight_song_has_none(mark: str):
    assert "feel" not in import_score(score(mark + BAR, BAR), name="x").text


def test_a_feel_that_changes_later_is_said():
    chart = import_score(score(BAR, BAR, BAR, words("Swing") + BAR), name="x")
    assert "\nfeel" not in chart.text
    assert [one for one in chart.remarks if "bar 4: the feel changes there" in one]
