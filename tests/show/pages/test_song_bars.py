"""The song on the page: every bar of the chart once, with its marks and what it can sound."""

from evaluator.grading import grade_fully, prepare
from evaluator.show.pages.song_bars import PageBar, legend, page_song, pieces
from tests.playing import Missed, Restart, WrongBass, WrongChord, play, to_midi
from tests.show.pages.takes import CHART, graded


def bars(take: object) -> list[PageBar]:
    song = page_song(take)  # type: ignore[arg-type]
    return [bar for section in song for line in section.lines for bar in line.bars]


def test_every_bar_of_the_chart_stands_there_once_and_sounds_as_itself() -> None:
    take = graded()
    found = bars(take)
    assert [bar.number for bar in found] == list(range(1, 21))
    assert len({bar.wanted for bar in found}) == len(found)
    for bar in found:
        assert take.song.graph.bars[bar.wanted].number == bar.number


def test_a_bar_has_the_marks_of_what_was_wrong_in_it() -> None:
    take = graded(WrongBass(2, "A"), WrongChord(3, "G"), Missed(5, 2.5, "right"))
    found = bars(take)
    assert [mark.means for mark in found[1].marks] == ["bass"]
    assert "chord" in [mark.means for mark in found[2].marks]
    assert [mark.means for mark in found[4].marks] == ["pattern"]
    assert found[0].marks == ()


def test_under_the_line_stands_what_each_mark_means() -> None:
    line = page_song(graded(WrongBass(2, "A")))[0].lines[0]
    (note,) = line.notes
    ((mark, say),) = note.faults
    assert (note.number, note.time, mark.sign) == (2, "", "▼")
    assert say == "bass A instead of C#"


def test_a_bar_that_was_played_twice_has_both_times() -> None:
    take = graded(Restart(6, 2.0, 2.0), WrongBass(7, "A"), again=6)
    again = next(bar for bar in bars(take) if len(bar.played) == 2)
    assert again.number == 6
    assert [mark.sign for mark in again.marks if mark.means == "restarted here"] == ["«"]
    notes = page_song(take)[0].lines[1].notes
    assert "2nd time" in {note.time for note in notes}


def test_a_missing_bar_can_be_heard_as_it_should_be() -> None:
    take = graded(without=(6,))
    missing = next(bar for bar in bars(take) if bar.state == "missing")
    assert missing.played == ()
    assert take.song.graph.bars[missing.wanted].number == missing.number


def test_a_section_left_out_is_one_sentence() -> None:
    solo = page_song(graded(without=(9, 10, 11, 12)))[1]
    assert solo.absent == "left out, as the chart allows (bars 9 to 12)"
    assert solo.lines == ()


def test_lines_that_share_bars_do_not_share_their_places() -> None:
    """The `or` line played in the first half and the line above it in the second."""
    song = prepare(CHART)
    numbers = {(bar.number, bar.alternative): bar.index for bar in song.graph.bars}
    mixed = [numbers[number, 1 if number in (5, 6, 7) else 0] for number in range(1, 21)]
    take = grade_fully(song, to_midi(play(song.graph, mixed)))
    found = bars(take)
    assert len(found) >= 20
    assert len({bar.wanted for bar in found}) == len(found)


def test_the_legend_has_the_marks_of_this_song_and_no_other() -> None:
    assert legend(page_song(graded())) == ()
    shown = legend(page_song(graded(WrongBass(2, "A"))))
    assert [mark.means for mark in shown] == ["bass"]


def test_a_colour_that_may_be_used_is_set_apart_from_the_chord() -> None:
    assert pieces("D (Dsus2)") == (("D", False), ("(Dsus2)", True))
    assert pieces("2/4: A") == (("2/4: A", False),)
    assert pieces("G (Gadd9) / Em7 /") == (("G", False), ("(Gadd9)", True), ("/ Em7 /", False))


def test_the_words_are_those_of_the_chart() -> None:
    words = [line.cue for section in page_song(graded()) for line in section.lines]
    assert all(cue in CHART for cue in words)
