"""The draft of a take is right for that take: what was played otherwise than the sheet has it
stands in the draft, as a colour, another bass or another chord, and is doubted where it is odd.

Charts and takes are invented; the player of `tests.playing` knows nothing of drafting.
"""

from dataclasses import replace

import pytest

from evaluator.chart import read_chart
from evaluator.draft import write_draft
from evaluator.grading import grade_take, prepare
from tests.draft.test_played import CHORUS, TYPED, VERSE, chart, drafted, taken
from tests.playing import Added, Fill, Lacking, Missed, Note, Performance, WrongBass, play, to_midi

SONG = chart(VERSE + CHORUS)


def written(raw: bytes, sheet: str = TYPED) -> str:
    """The draft's text; the same take graded by it gets at least 97."""
    text = write_draft(drafted(sheet, raw))
    assert grade_take(prepare(text), raw).marks.overall >= 97
    return text


def played(*faults: object) -> Performance:
    return play(read_chart(SONG), faults=faults, jitter_ms=8, spread_ms=5)


def test_a_seventh_that_was_left_out_need_not_be_played() -> None:
    assert "| Bm7 (Bm) |" in written(to_midi(played(Lacking(3, "A"))))


def test_a_third_that_was_left_out_need_not_be_played() -> None:
    assert "| G (G5) |" in written(to_midi(played(Lacking(4, "B"))))


def test_a_bass_that_is_no_tone_of_its_chord_is_written_and_doubted() -> None:
    text = written(to_midi(played(WrongBass(4, "A"))))
    assert "| G/A |" in text
    assert "A is in the bass of G here; is it meant?" in text


def test_a_fill_is_no_colour() -> None:
    text = written(to_midi(played(*(Fill(bar, 3.5) for bar in (2, 4, 6, 8)))))
    assert "(" not in text
    assert "right | . . x . . x x . |" in text


def test_a_strike_now_and_then_leaves_the_pattern_as_it_is() -> None:
    text = written(to_midi(played(Added(2, 2.0, "right"), Added(9, 2.0, "right"))))
    assert "right | . . x . . x x . |" in text
    assert "free" not in text


def test_notes_that_lead_into_the_first_bar_are_none_of_its_bars() -> None:
    take = play(read_chart(SONG), jitter_ms=8).later(0.6)
    start = take.truth.bars[0].start
    tune = tuple(
        Note(start - 0.6 + 0.3 * place, start - 0.4 + 0.3 * place, key, 60, "right")
        for place, key in enumerate((69, 73))
    )
    text = written(to_midi(replace(take, notes=(*tune, *take.notes))))
    assert "1/4" not in text
    assert "[Verse]\n| D | A | Bm7 | G |" in text


def test_an_octave_over_the_bass_is_the_left_hands() -> None:
    rows = ("1 . 2 . 3 . 4 .", "x . . . x . . .", "1 3 5 3 1 3 5 3")
    take = play(read_chart(chart(VERSE + CHORUS, rows)), jitter_ms=8)
    octaves = tuple(
        replace(note, pitch=note.pitch + 12) for note in take.notes if note.hand == "left"
    )
    notes = tuple(sorted((*take.notes, *octaves), key=lambda note: note.onset))
    text = written(to_midi(replace(take, notes=notes)))
    assert "right | 1 3 5 3 1 3 5 3 |" in text


@pytest.mark.parametrize("right", ["x . x . x . x .", ". . x . . . x x"])
def test_a_section_with_a_pattern_of_its_own_has_it(right: str) -> None:
    other = f"\npattern refrain\n  left  | x . . . x . . . |\n  right | {right} |\n"
    body = (
        VERSE
        + CHORUS.replace("[Chorus]", "[Chorus] pattern refrain")
        + VERSE.replace("[Verse]", "[Verse]")
    )
    song = chart(other + body)
    text = written(taken(song), TYPED + "\n[Verse]\n")
    assert f"right | {right} |" in text
    assert "right | . . x . . x x . |" in text
    assert "[Chorus] pattern hands2" in text


THREE = TYPED + "\n[Verse]\n\n[Chorus]\n\n[Verse]\n\n[Chorus]\n"
"""The sheet with everything three times."""


def three_times(chorus: str) -> str:
    """The song three times, the second chorus as it is given."""
    return chart(VERSE + CHORUS + f"\n[Verse]\n{chorus}\n[Verse]\n\n[Chorus]\n")


def test_a_line_that_was_otherwise_once_in_three_times_is_an_or_line() -> None:
    raw = taken(three_times("\n[Chorus 2]\n| G | D/F# | Bm7 | D |\n| D | x3\n"))
    text = written(raw, THREE)
    assert "# played so in Chorus 2 alone" in text
    assert "# bar 3 of this line: Bm7 was played in the place of Em7" in text
    assert "or | G | D/F# | Bm7 | D |" in text
    assert text.count("[Chorus]\n") == 3
    assert text.count("| G | D/F# |") == 2


def test_a_line_that_was_longer_once_is_written_as_it_was() -> None:
    raw = taken(three_times("\n[Chorus 2]\n| G | G | D/F# | Em7 | D |\n| D | x3\n"))
    text = written(raw, THREE)
    assert "or |" not in text
    assert "| G | G | D/F# | Em7 | D |" in text


def test_of_two_playings_each_is_written_as_it_was() -> None:
    song = chart(VERSE + CHORUS + "\n[Verse]\n\n[Chorus 2]\n| G | D/F# | Bm7 | D |\n| D | x3\n")
    text = written(taken(song), TYPED + "\n[Verse]\n\n[Chorus]\n")
    assert "or |" not in text
    assert "| G | D/F# | Bm7 | D |" in text


def test_a_short_bar_that_comes_each_time_is_sure() -> None:
    short = CHORUS.replace("Em7", "2/4: Em7")
    draft = drafted(
        TYPED + "\n[Verse]\n\n[Chorus]\n", taken(chart(VERSE + short + "\n[Verse]\n\n[Chorus]\n"))
    )
    assert "beats long" not in write_draft(draft)
    once = taken(chart(VERSE + short + "\n[Verse]\n" + CHORUS.replace("[Chorus]", "[Chorus 2]")))
    assert "2 beats long" in write_draft(drafted(TYPED + "\n[Verse]\n\n[Chorus]\n", once))


def test_a_rule_goes_with_the_last_chord_that_it_is_about() -> None:
    song = chart((VERSE + CHORUS).replace("| A |", "| F#/C# |")).replace("bass: A = C#\n", "")
    text = written(taken(song))
    assert "F#/C#" in text
    assert "bass:" not in text


def without(first: int, from_beat: float, beats: float) -> bytes:
    """The take with nothing struck for so long, from a beat of a bar, counted from 1."""
    take = played()
    bar = take.truth.bars[first - 1]
    beat = (bar.end - bar.start) / 4
    start = bar.start + (from_beat - 0.3) * beat
    kept = tuple(one for one in take.notes if not start <= one.onset < start + beats * beat)
    return to_midi(replace(take, notes=kept))


def test_where_nothing_was_struck_nothing_is_to_be_struck() -> None:
    text = written(without(3, 0, 4))
    assert "| D | A | N.C. | G |" in text
    assert "# bar 3 of this line: nothing was struck here for Bm7" in text


def test_a_chord_for_which_nothing_was_struck_is_the_one_before_it() -> None:
    text = written(without(7, 2, 2))
    assert "| D | A | G | A |" in text
    assert "# bar 3 of this line: nothing was struck here for Em7" in text


def test_what_passes_by_no_pattern_passes_without_one() -> None:
    written(
        to_midi(
            played(
                *(Missed(bar, 1.0, "right") for bar in (7, 11, 15)),
                *(Added(bar, 3.5, "right") for bar in (7, 10, 14)),
                *(Added(bar, 1.5, "left") for bar in (1, 3, 8)),
                *(Fill(bar, 0.5) for bar in (1, 6, 11)),
                *(Fill(bar, 1.5) for bar in (3, 4, 5, 7, 13)),
            )
        )
    )


def test_two_tones_of_another_chord_are_a_colour() -> None:
    take = played()
    bar = take.truth.bars[9]  # D/F#
    notes = tuple(
        replace(one, pitch=one.pitch + {2: 8, 9: 1}.get(one.pitch % 12, 0))
        if bar.start - 0.1 <= one.onset < bar.end - 0.1 and one.hand == "right"
        else one
        for one in take.notes
    )
    assert "| D/F# (F#) |" in written(to_midi(replace(take, notes=notes)))
