"""Which playings may be left out: of a piece what its repeat signs ask for, and nothing of a
song's form. Common practice, no source."""

from collections.abc import Sequence

import pytest

from evaluator.chart.graph import BarGraph
from evaluator.grading import grade_fully, prepare
from evaluator.notation import import_score
from tests.notation.sheets import chord, note, piano, rehearsal, repeat, score, words
from tests.playing import play, to_midi

TUNES = ["C5 D5 E5 G5", "A5 G5 E5 D5", "F5 E5 D5 B4", "C5 E5 G5 C6", "B5 G5 D5 F5", "E5 C5 D5 B4"]
BASSES = ["C3", "F3", "G2", "C3", "G3", "A2"]


def bars(count: int) -> list[tuple[str, str]]:
    """Bars of a piano piece, each unlike the others."""
    return [
        ("".join(note(pitch, 1) for pitch in tune.split()), note(bass))
        for tune, bass in zip(TUNES[:count], BASSES, strict=False)
    ]


def marked(pieces: list[tuple[str, str]], signs: dict[int, tuple[str, str]]) -> bytes:
    """A piece with signs before and behind the right hand's notes of some bars."""
    return piano(
        *(
            (signs.get(place, ("", ""))[0] + right + signs.get(place, ("", ""))[1], left)
            for place, (right, left) in enumerate(pieces)
        )
    )


def text(raw: bytes) -> str:
    return import_score(raw, name="x").text


def headings(raw: bytes) -> list[str]:
    return [line for line in text(raw).splitlines() if line.startswith("[")]


def findings(raw: bytes, order: Sequence[int]) -> list[str]:
    """What is said of a take of these numbers of bars, but for choices."""
    song = prepare(text(raw))
    take = to_midi(play(song.graph, of_numbers(song.graph, order)))
    form = grade_fully(song, take).judgement.form
    return [finding.kind for finding in form if finding.kind != "choice"]


def of_numbers(graph: BarGraph, numbers: Sequence[int]) -> list[int]:
    return [next(bar.index for bar in graph.bars if bar.number == one) for one in numbers]


REPEATED = marked(
    bars(6),
    {1: (repeat("forward"), ""), 5: ("", repeat("backward"))},
)
ENDINGS = marked(
    bars(6),
    {
        3: (repeat("", ending="1", stop=False), repeat("backward", ending="1")),
        4: (repeat("", ending="2", stop=False), repeat("", ending="2")),
    },
)


def test_the_second_playing_of_a_repeat_may_be_left_out():
    assert headings(REPEATED) == ["[A]", "[B]", "[B] optional"]
    assert findings(REPEATED, range(1, 12)) == []
    assert findings(REPEATED, range(1, 7)) == []


def test_the_time_with_the_first_ending_may_be_left_out():
    assert headings(ENDINGS) == ["[A] optional", "[A]", "[B]"]
    assert findings(ENDINGS, [1, 2, 3, 4, 5, 6, 7, 8, 9]) == []
    assert findings(ENDINGS, [5, 6, 7, 8, 9]) == []


def test_a_bar_lost_in_the_repeat_is_still_missing():
    assert findings(REPEATED, [1, 2, 3, 4, 5, 6, 7, 8, 10, 11]) == ["missing"]


def test_that_is_said():
    remarks = import_score(REPEATED, name="x").remarks
    assert any("may be left out" in remark for remark in remarks)
    assert not any("may be left out" in r for r in import_score(piano(*bars(6)), name="x").remarks)


def test_one_line_is_played_once_or_twice():
    raw = marked(bars(4), {1: (repeat("forward"), repeat("backward"))})
    assert " x1-2\n" in text(raw)


def test_a_repeat_that_says_how_often_is_played_so_often():
    raw = marked(bars(4), {1: (repeat("forward"), repeat("backward", times=3))})
    assert " x3\n" in text(raw)


def test_the_repeats_of_a_lead_sheet_are_the_form_of_the_song():
    one = chord("C") + note()
    two = chord("F") + note()
    assert "optional" not in text(score(repeat("forward") + one, two + repeat("backward"), one))


def test_a_verse_of_its_own_is_not_left_out():
    sung = bars(4)
    sung[1] = (note("C5", 4, words="1:sun|2:moon"), note("C3"))
    raw = marked(sung, {1: (repeat("forward"), ""), 2: ("", repeat("backward"))})
    assert "optional" not in text(raw)


def test_a_jump_is_not_left_out():
    jump = (
        "<direction><direction-type><words>D.C. al Fine</words></direction-type>"
        '<sound dacapo="yes"/></direction>'
    )
    fine = (
        '<direction><direction-type><words>Fine</words></direction-type><sound fine="yes"/>'
        "</direction>"
    )
    raw = marked(bars(4), {1: ("", fine), 3: ("", jump)})
    assert "optional" not in text(raw)
    assert findings(raw, [1, 2, 3, 4, 5, 6]) == []


@pytest.mark.parametrize("said", ["Play 4 times", "4x", "4 times", "(x4)", "played 4 times."])
def test_words_say_how_often_a_repeat_is_played(said: str):
    raw = marked(bars(3), {0: (repeat("forward") + words(said), ""), 1: ("", repeat("backward"))})
    assert "| x4\n" in text(raw)
    at_the_end = marked(bars(3), {0: (repeat("forward"), ""), 1: (words(said), repeat("backward"))})
    assert "| x4\n" in text(at_the_end)


@pytest.mark.parametrize("said", ["4", "xylophone", "x", "4 times a day"])
def test_other_words_leave_a_repeat_alone(said: str):
    raw = marked(bars(3), {0: (repeat("forward") + words(said), ""), 1: ("", repeat("backward"))})
    assert "| x1-2\n" in text(raw)


def test_a_section_may_be_left_out_where_words_say_so():
    plain = chord("C") + note("C5")
    solo = rehearsal("Solo") + words("may be left out") + chord("F") + note("C5")
    end = rehearsal("End") + plain
    assert "[Solo] optional" in headings(score(rehearsal("A") + plain, solo, end))


def test_a_first_bar_as_long_as_the_next_is_no_pickup():
    first, second = bars(2)
    change = "<attributes><key><fifths>2</fifths></key></attributes>"
    assert "Pickup" not in text(piano(first, (change + second[0], second[1])))


def test_of_meters_that_are_as_many_the_longest_holds():
    short = (note("G4", 1), note("rest", 1))
    whole, *_ = bars(1)
    xml = piano(short, whole).replace(
        b"<duration>48</duration></backup>", b"<duration>12</duration></backup>", 1
    )
    assert "\nmeter: 4/4\n" in text(xml)
