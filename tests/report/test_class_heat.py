"""Where in the song does the class stumble, and on what? Our own rules, no source."""

from evaluator.report.class_heat import class_heat, heat
from evaluator.report.class_report import Exchange
from tests.report.builders import root_for_bass, wrong_chord
from tests.report.class_builders import SONG, bar, take

FIVE = {bar(5).bar}


def test_each_student_is_one_voice() -> None:
    both = {5: root_for_bass(wrong_chord(bar(5), "G"), "D", "A")}
    found = heat(FIVE, [take("Anna", both), take("Ben"), take("Carl", both)])
    assert (found.heard, found.stumbled) == (3, 2)
    assert found.on == (("bass", 2), ("chord", 2))


def test_the_commonest_wrong_chord_is_named() -> None:
    takes = [
        take("Anna", {5: wrong_chord(bar(5), "G")}),
        take("Ben", {5: wrong_chord(bar(5), "Bm")}),
        take("Carl", {5: wrong_chord(bar(5), "G")}),
    ]
    assert heat(FIVE, takes).commonest == Exchange("chord", "D", "G", 2)


def test_of_equally_common_ones_it_is_always_the_same() -> None:
    takes = [
        take("Anna", {5: wrong_chord(bar(5), "G")}),
        take("Ben", {5: wrong_chord(bar(5), "Bm")}),
    ]
    assert heat(FIVE, takes).commonest == heat(FIVE, takes[::-1]).commonest


def test_who_did_not_come_by_is_not_counted() -> None:
    short = take("Ben", order=SONG.written[:4])
    assert heat(FIVE, [take("Anna"), short]).heard == 1


def test_a_right_bar_has_no_exchange_and_no_cost() -> None:
    found = heat(FIVE, [take("Anna")])
    assert (found.stumbled, found.on, found.commonest, found.cost) == (0, (), None, 0)


def test_the_costs_of_all_students_add_up() -> None:
    wrong = {5: wrong_chord(bar(5), "G")}
    one = heat(FIVE, [take("Anna", wrong)]).cost
    assert heat(FIVE, [take("Anna", wrong), take("Ben", wrong)]).cost == 2 * one > 0


def test_the_song_lies_as_in_the_chart() -> None:
    sections = class_heat(SONG, [take("Anna", {5: wrong_chord(bar(5), "G")})])
    assert [section.label for section in sections] == [
        "Intro",
        "Verse 1",
        "Chorus",
        "Verse 2",
        "Chorus 2",
    ]
    first = sections[1].lines[0]
    assert [one.number for one in first.bars] == [5, 6, 7, 8]
    assert first.cue == "Down by the kettle where the lane runs thin"
    assert [one.heat.stumbled for one in first.bars] == [1, 0, 0, 0]
    assert sections[1].heat.stumbled == 1


def test_an_or_line_is_there_only_if_somebody_played_it() -> None:
    ways = [line.alternative for section in class_heat(SONG, [take("A")]) for line in section.lines]
    assert not any(ways)
    order = [index for index in SONG.written if not 9 <= SONG.bars[index].number <= 12]
    other = [b.index for b in SONG.bars if b.alternative]
    played = [*order[:8], *other, *order[8:]]
    sections = class_heat(SONG, [take("Anna", order=played)])
    assert [line.alternative for line in sections[1].lines] == [False, False, True]


def test_nobody_at_all_leaves_the_song_cold() -> None:
    assert all(section.heat.heard == 0 for section in class_heat(SONG, []))
