"""What stands around the notes of a score: kept where a chart has a sign, counted where not.
Notation as in MusicXML 4.0 (W3C)."""

import pytest

from evaluator.chart import read_chart
from evaluator.notation import import_score
from tests.notation.sheets import metronome, note, piano, words

LEFT = note("C3")


def row(*notes: str, hand: str = "right") -> str:
    """The row of that hand in a song of one bar."""
    text = import_score(piano(("".join(notes), LEFT)), name="x").text
    read_chart(text)
    (found,) = [line for line in text.splitlines() if line.strip().startswith(hand)]
    return found.partition("|")[2].strip(" |")


def adorned(pitch: str, quarters: float, notations: str) -> str:
    return note(pitch, quarters, extra=f"<notations>{notations}</notations>")


def small(pitch: str, kind: str = "<grace/>") -> str:
    return (
        note(pitch, 0).replace("<pitch>", f"{kind}<pitch>", 1).replace("<duration>0</duration>", "")
    )


def test_grace_notes_stand_before_their_note():
    assert row(note("C5", 2), small("D5"), small("E5"), note("F5", 2)) == "C5 - {D5,E5}F5 -"


def test_grace_notes_at_the_end_of_a_bar_stand_behind_the_last_note():
    assert row(note("C5", 4), small("B4"), small("C5")) == "C5{B4,C5}"


@pytest.mark.parametrize(
    ("notations", "sign"),
    [
        ("<ornaments><trill-mark/></ornaments>", "tr"),
        ("<ornaments><mordent/></ornaments>", "mord"),
        ("<ornaments><inverted-mordent/></ornaments>", "mord"),
        ("<ornaments><turn/></ornaments>", "turn"),
        ("<ornaments><inverted-turn/></ornaments>", "turn"),
        ('<ornaments><tremolo type="single">3</tremolo></ornaments>', "trem"),
        ("<arpeggiate/>", "roll"),
        ("<fermata/>", "hold"),
        ("<articulations><staccato/></articulations>", "short"),
        ("<articulations><staccatissimo/></articulations>", "short"),
    ],
)
def test_signs_are_kept(notations, sign):
    assert row(adorned("C5", 4, notations)) == f"C5~{sign}"


def test_a_trill_goes_on_below_a_moving_voice():
    """Its note, and the steps of the key on either side: in no sharps and flats B and D."""
    moving = "".join(note(pitch, 1) for pitch in ("E5", "F5", "G5", "E5"))
    back = "<backup><duration>48</duration></backup>"
    trill = "<voice>2</voice><notations><ornaments><trill-mark/></ornaments></notations>"
    found = row(moving + back + note("C5", 4, extra=trill))
    assert found == "C5+E5~tr F5{B4,C5,D5} G5{B4,C5,D5} E5{B4,C5,D5}"


def test_a_tremolo_between_two_may_go_to_and_fro():
    ends = ["start", "stop"]
    first, second = (
        f'<notations><ornaments><tremolo type="{one}">3</tremolo></ornaments></notations>'
        for one in ends
    )
    found = row(note("C5", 2, extra=first), note("E5", 2, extra=second))
    assert found == "C5~trem{E5} - E5~trem{C5} -"


def test_notes_that_are_not_printed_may_be_played():
    """They say how a program is to play an ornament. Common practice, no source."""
    hidden = note("D5", 2).replace("<note>", '<note print-object="no">')
    assert row(note("C5", 2), hidden) == "C5{D5} - . ."


def test_a_slide_comes_from_a_third_below():
    """A Schleifer (C. P. E. Bach, Versuch, 1753, from memory)."""
    assert row(adorned("C5", 4, "<ornaments><schleifer/></ornaments>")) == "{A4,B4}C5"


def test_small_notes_of_a_cue_are_no_notes_to_be_played():
    assert row(note("C5", 2), small("D5", "<cue/>"), note("E5", 2)) == "C5 - {D5}E5 -"


def test_a_ritard_is_kept_up_to_the_old_tempo():
    found = row(note("C5", 1), words("poco rit."), note("D5", 2), words("a tempo"), note("E5", 1))
    assert found == "C5 D5~rit - E5~tempo"


def test_what_has_no_sign_is_said_with_a_count():
    accent = adorned("C5", 2, "<articulations><accent/></articulations>")
    slurred = adorned("D5", 1, '<slur type="start" number="1"/>') + adorned(
        "E5", 1, '<slur type="stop" number="1"/>'
    )
    chart = import_score(piano((accent + slurred, LEFT)), name="x")
    told = "left out, since a chart has no sign for them: 1 slur and 1 accent"
    assert told in chart.remarks
    assert f"# {told}" in chart.text


def test_notes_that_another_cuts_short_are_counted():
    held = note("C5", 4) + "<backup><duration>48</duration></backup>"
    moving = "".join(note(pitch, 1, extra="<voice>2</voice>") for pitch in ("E5", "F5", "G5", "E5"))
    chart = import_score(piano((held + moving, LEFT)), name="x")
    assert any(remark.startswith("1 note is written shorter") for remark in chart.remarks)


def test_a_caesura_is_waited_at():
    assert row(adorned("C5", 4, "<articulations><caesura/></articulations>")) == "C5~hold"


@pytest.mark.parametrize(
    ("begins", "ends", "between"),
    [("C5", "F5", "D5,E5"), ("F5", "C5", "E5,D5"), ("F#4", "C#5", "G#4,A#4"), ("C5", "D5", "")],
)
def test_the_keys_under_a_glissando_may_be_struck(begins: str, ends: str, between: str):
    def sign(kind: str) -> str:
        return f'<glissando type="{kind}" line-type="wavy" number="1"/>'

    found = row(adorned(begins, 2, sign("start")), adorned(ends, 2, sign("stop")))
    assert found == f"{begins}{'{' + between + '}' if between else ''} - {ends} -"


def test_each_hand_may_repeat_its_note_in_a_tremolo_between_hands():
    def sign(kind: str) -> str:
        return f'<ornaments><tremolo type="{kind}">3</tremolo></ornaments>'

    right = adorned("C5", 2, sign("start")) + note("E5", 2)
    left = note("rest", 2) + adorned("C3", 2, sign("stop"))
    text = import_score(piano((right, left)), name="x").text
    assert "C5~trem - E5      -" in text
    assert "C3~trem" in text


def test_tempi_that_a_chart_cannot_keep_are_said():
    mark = metronome(60)
    by_values = (
        "<direction><direction-type><metronome><beat-unit>quarter</beat-unit>"
        "<beat-unit>half</beat-unit></metronome></direction-type></direction>"
    )
    bars = [
        (metronome(90) + note("C5"), LEFT),
        (note("C5", 2) + mark + note("D5", 2), LEFT),
        (by_values + note("C5"), LEFT),
    ]
    remarks = import_score(piano(*bars), name="x").remarks
    assert remarks[:2] == (
        "bar 2: a tempo that begins within the bar is left out",
        "bar 3: a tempo that is told by note values alone is left out",
    )


@pytest.mark.parametrize("printed", ["ca. 80", "80-84", "(80)", "80"])
def test_a_tempo_is_read_by_its_first_number(printed: str):
    mark = metronome(1).replace("<per-minute>1<", f"<per-minute>{printed}<")
    assert "\ntempo: 80\n" in import_score(piano((mark + note("C5"), LEFT)), name="x").text
