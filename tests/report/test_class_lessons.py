"""What should be taught again? Common practice and wordings of our own, no source."""

from evaluator.judge.verdict import StrikeFault
from evaluator.report.class_lessons import MOST_LESSONS, class_lessons
from evaluator.report.class_report import ClassTake
from tests.report.builders import finding, incomplete_chord, off_beat, root_for_bass, wrong_chord
from tests.report.class_builders import SONG, bar, take


def says(*takes: ClassTake) -> list[str]:
    return [lesson.say for lesson in class_lessons(SONG, takes)]


def roots(*numbers: int) -> dict[int, object]:
    return {number: root_for_bass(bar(number), "C#", "A") for number in numbers}


def rest(*names: str) -> list[ClassTake]:
    return [take(name) for name in names]


def test_the_root_under_a_ruled_bass_is_one_lesson_wherever_it_was_played() -> None:
    takes = [take("Anna", roots(6, 10)), take("Ben", roots(6, 10)), *rest("Carl")]
    assert says(*takes) == [
        "The bass C# under A (Verse 1, bars 6 and 10): 2 of 3 students play the root."
    ]


def test_who_it_concerns_is_told() -> None:
    takes = [take("Anna", roots(6)), *rest("Carl"), take("Ben", roots(6))]
    (lesson,) = class_lessons(SONG, takes)
    assert (lesson.students, lesson.of, lesson.names) == (2, 3, ("Anna", "Ben"))
    assert (lesson.bars, lesson.kind) == ((6,), "bass")


def test_one_chord_is_one_lesson_with_what_was_heard_most() -> None:
    takes = [
        take("Anna", {7: wrong_chord(bar(7), "G"), 23: wrong_chord(bar(23), "G")}),
        take("Ben", {7: wrong_chord(bar(7), "G"), 23: wrong_chord(bar(23), "A")}),
        take("Carl", {7: wrong_chord(bar(7), "A"), 23: wrong_chord(bar(23), "G")}),
    ]
    assert says(*takes) == [
        "The chord Bm7 (Verse 1, bar 7; Verse 2, bar 23): 3 of 3 students play another chord, "
        "most often G."
    ]


def test_a_chord_that_lacks_a_tone_is_told_as_that() -> None:
    short = {7: incomplete_chord(bar(7), "D")}
    assert says(take("Anna", short), take("Ben", short)) == [
        "The chord Bm7 (Verse 1, bar 7): 2 of 2 students leave a note out."
    ]


def test_a_place_of_the_pattern_is_one_lesson() -> None:
    missed = StrikeFault("missed", 2.5, "right")
    off = {number: off_beat(bar(number), 0.7, missed) for number in (5, 6)}
    assert says(take("Anna", off), take("Ben", off)) == [
        "The pattern, right hand: 2 of 2 students leave out the and of 3 (Verse 1, bars 5 and 6)."
    ]


def test_a_tail_is_one_place_whether_too_short_or_too_long() -> None:
    short = [finding("missing", [32], SONG, run=(29, 32))]
    long = [finding("extra", [32], SONG, run=(29, 32))]
    order = [index for index in SONG.written if SONG.bars[index].number != 32]
    takes = [
        take("Anna", form=short, order=order),
        take("Ben", form=long),
        take("Carl", form=long),
    ]
    assert says(*takes) == [
        "Chorus 2, the tail (bar 32): 3 of 3 students lose count "
        "(1 leave bars out and 2 play too many)."
    ]


def test_halts_in_one_line_are_one_place() -> None:
    takes = [
        take("Anna", form=[finding("break", [9], SONG, halt=2.0)]),
        take("Ben", form=[finding("restart", [10], SONG, halt=2.0)]),
    ]
    assert says(*takes) == [
        'Verse 1, bars 9 and 10 ("somebody\'s humming what the rain ..."): '
        "2 of 2 students stop here."
    ]


def test_the_costliest_for_the_class_comes_first() -> None:
    few = [take(name, roots(6, 10, 22)) for name in ("Anna", "Ben")]
    many = [take(name, {7: wrong_chord(bar(7), "G")}) for name in ("Carl", "Dora", "Edda", "Finn")]
    assert [text.split(" (")[0] for text in says(*few, *many)] == [
        "The chord Bm7",
        "The bass C# under A",
    ]


def test_what_one_student_needs_is_no_lesson_for_a_class() -> None:
    assert says(take("Anna", roots(6, 10)), *rest("Ben", "Carl")) == []


def test_what_few_of_many_need_is_none_either() -> None:
    some = [take(name, roots(6)) for name in ("Anna", "Ben")]
    assert says(*some, *rest(*(f"S{number}" for number in range(11)))) != []
    assert says(*some, *rest(*(f"S{number}" for number in range(12)))) == []


def test_only_bars_that_troubled_many_are_named() -> None:
    takes = [
        take("Anna", roots(6, 10)),
        take("Ben", roots(6)),
        take("Carl", roots(6)),
    ]
    assert "bar 6)" in says(*takes)[0]


def test_no_more_lessons_than_can_be_taught() -> None:
    chords = {number: wrong_chord(bar(number), "Fm") for number in (6, 7, 8, 13, 14)}
    basses = {number: root_for_bass(bar(number), "E", "B") for number in (1, 15, 21, 24, 25, 26)}
    takes = [take("Anna", chords | basses), take("Ben", chords | basses)]
    assert len(says(*takes)) == MOST_LESSONS
