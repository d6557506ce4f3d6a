"""What do a strike's notes speak for? The order of gains that any listener would give,
common practice, no source; no figure is held."""

import numpy as np
import pytest

from evaluator.follow.costs import BOTH, HIGH, LOW, Costs
from evaluator.follow.grid import lay_out
from evaluator.follow.hearing import FEWEST_WIDE, Hearing, octaves_above
from evaluator.follow.positions import AS_WRITTEN, FREELY
from evaluator.take.strike import Strike
from tests.follow.songs import HEAD, song

CHART = HEAD + "[Verse]\n| C | F#m | C (C6) | N.C. | C/E |\n"
PLAIN = CHART.replace(HEAD, "title: Plain\ntempo: 100\n")
IN_C, IN_FSM, IN_COLOURED, IN_SILENCE, IN_C_OVER_E = range(5)


def strike(*pitches: int) -> Strike:
    return Strike(0.0, 0.0, tuple(range(len(pitches))), pitches, (60,) * len(pitches), False)


def gain(bar: int, *pitches: int, text: str = CHART, transposed: int = 0) -> float:
    """What the notes speak for the first place of a bar."""
    return suited(*pitches, text=text, transposed=transposed) + rather(
        bar, *pitches, text=text, transposed=transposed
    )


def rather(bar: int, *pitches: int, text: str = CHART, transposed: int = 0) -> float:
    """The same rather than for the chord that suits them best."""
    grid = lay_out(song(text))
    notes = Hearing(grid, Costs(), transposed=transposed).hear(strike(*pitches))
    return float(notes.gain[grid.harmony[grid.first[bar]]])


def suited(*pitches: int, text: str = CHART, transposed: int = 0) -> float:
    """What the notes speak for the chord of the song that suits them best."""
    return Hearing(lay_out(song(text)), Costs(), transposed=transposed).hear(strike(*pitches)).suits


@pytest.mark.parametrize("text", [CHART, PLAIN], ids=["pattern", "no pattern"])
def test_a_chord_speaks_for_its_own_bar(text: str) -> None:
    assert gain(IN_C, 60, 64, 67, text=text) > 0 > gain(IN_FSM, 60, 64, 67, text=text)


def test_an_inversion_speaks_as_much() -> None:
    assert gain(IN_C, 64, 67, 72) == pytest.approx(gain(IN_C, 60, 64, 67))


@pytest.mark.parametrize("pitches", [(36,), (64, 67), (48, 64, 67, 72)])
def test_what_is_struck_may_be_another_chord_of_the_song(pitches: tuple[int, ...]) -> None:
    assert suited(*pitches) == pytest.approx(max(gain(bar, *pitches) for bar in range(5)))
    assert suited(*pitches) > 0


def test_a_chord_speaks_for_no_bar_rather_than_for_the_one_that_suits_it_best() -> None:
    assert rather(IN_C, 60, 64, 67) == 0.0
    assert max(rather(bar, 61, 64, 69) for bar in range(5)) == 0.0
    assert rather(IN_FSM, 60, 64, 67) == pytest.approx(
        gain(IN_FSM, 60, 64, 67) - gain(IN_C, 60, 64, 67)
    )


@pytest.mark.parametrize("pitches", [(67,), (67, 79)])
def test_a_single_higher_note_is_hardly_of_a_chord(pitches: tuple[int, ...]) -> None:
    """Alone it is rather none of the song; where it is, it gains as much as any note."""
    assert suited(*pitches) < 0
    assert max(gain(bar, *pitches) for bar in range(5)) < 0.5 * gain(IN_C, 60, 64, 67)
    assert rather(IN_C, *pitches) > 0


def test_a_doubled_note_says_nothing_more() -> None:
    assert gain(IN_C, 60, 64, 67, 72) == pytest.approx(gain(IN_C, 60, 64, 67))


def test_a_foreign_note_speaks_against_it() -> None:
    assert gain(IN_C, 60, 63, 66) < gain(IN_C, 60, 63, 67) < gain(IN_C, 60, 64, 67)


def test_a_colour_of_the_chart_is_not_foreign() -> None:
    assert gain(IN_COLOURED, 60, 64, 67, 69) > gain(IN_C, 60, 64, 67, 69)


def test_the_right_bass_speaks_more_than_another_chord_tone_and_that_than_a_foreign_one() -> None:
    basses = [gain(IN_C, low) for low in (36, 43, 40, 42)]
    assert basses == sorted(basses, reverse=True)
    assert len(set(basses)) == 4


def test_under_a_slash_chord_the_written_bass_is_the_right_one() -> None:
    assert gain(IN_C_OVER_E, 40) > gain(IN_C_OVER_E, 36)


def test_high_notes_are_no_bass() -> None:
    above = [gain(IN_C_OVER_E, 12 * octave + 4) for octave in (6, 7)]
    assert above[0] == pytest.approx(above[1])


def test_where_nothing_is_expected_every_note_is_alike() -> None:
    assert gain(IN_SILENCE, 60) == pytest.approx(gain(IN_SILENCE, 61))
    assert gain(IN_SILENCE, 60) < gain(IN_C, 60)


@pytest.mark.parametrize("semitones", [-5, 3, 6])
def test_a_transposed_take_is_heard_as_it_was_meant(semitones: int) -> None:
    moved = [pitch + semitones for pitch in (72, 76, 79)]
    assert gain(IN_C, *moved, transposed=semitones) == pytest.approx(gain(IN_C, 72, 76, 79))
    assert gain(IN_C, *moved) < gain(IN_C, 72, 76, 79)


@pytest.mark.parametrize("octaves", [-1, 0, 2])
@pytest.mark.parametrize(
    ("pitches", "where"),
    [((36,), LOW), ((36, 48), LOW), ((60, 64, 67), HIGH), ((36, 60, 64), BOTH)],
)
def test_the_register_of_a_strike(pitches: tuple[int, ...], where: int, octaves: int) -> None:
    moved = strike(*(pitch + 12 * octaves for pitch in pitches))
    hearing = Hearing(lay_out(song(CHART)), Costs(), transposed=12 * octaves)
    assert hearing.hear(moved).register == where


@pytest.mark.parametrize("pitches", [(36, 60, 64), (60,), (40, 67)])
def test_an_octave_off_everything_is_heard_alike(pitches: tuple[int, ...]) -> None:
    up = [pitch + 12 for pitch in pitches]
    for bar in (IN_C, IN_FSM, IN_C_OVER_E):
        assert gain(bar, *up, transposed=12) == pytest.approx(gain(bar, *pitches))
    assert gain(IN_C, 60, transposed=12) > gain(IN_C, 60)  # a bass, an octave up


@pytest.mark.parametrize("octaves", [-2, -1, 0, 1])
def test_both_hands_together_show_where_a_take_lies(octaves: int) -> None:
    """From what each would strike alone nobody knows which hand it is."""
    wide = strike(*(pitch + 12 * octaves for pitch in (41, 65, 69, 72)))
    alone = strike(*(pitch + 12 * octaves for pitch in (65, 69, 72)))
    grid = lay_out(song(CHART))
    assert octaves_above([wide] * FEWEST_WIDE + [alone] * 50, grid) == octaves
    assert octaves_above([alone] * 50, grid) == 0


def test_written_notes_lie_where_they_are_written() -> None:
    text = "title: High\ntempo: 100\n\n[Verse]\n| C |\n  left | C5 |\n  right | C7 |\n"
    assert octaves_above([strike(72, 96)] * FEWEST_WIDE, lay_out(song(text))) == 0


def test_a_low_strike_stands_rather_where_the_left_hand_plays() -> None:
    grid = lay_out(song(CHART))
    hearing = Hearing(grid, Costs())
    left, right = grid.first[IN_C], grid.first[IN_C] + 4
    low, high = hearing.hear(strike(36)).placed, hearing.hear(strike(60, 64, 67)).placed
    assert low[grid.kind[left]] > low[grid.kind[right]]
    assert high[grid.kind[right]] > high[grid.kind[left]]


def test_the_same_keys_are_heard_the_same_again() -> None:
    hearing = Hearing(lay_out(song(CHART)), Costs())
    first = hearing.hear(strike(60, 64, 67))
    gain = first.gain.copy()
    for pitch in range(21, 109):
        hearing.hear(strike(pitch, pitch + 12))
    again = hearing.hear(strike(60, 64, 67))
    np.testing.assert_array_equal(again.gain, gain)
    assert again.suits == first.suits


def in_either_manner(bar: int, *pitches: int) -> tuple[float, float]:
    """What the notes speak against a bar, played in its pattern and in a rhythm of one's own."""
    grid = lay_out(song(CHART))
    notes = Hearing(grid, Costs()).hear(strike(*pitches)).gain
    freely = bar + len(grid.graph.bars)
    assert (grid.manner[bar], grid.manner[freely]) == (AS_WRITTEN, FREELY)
    written, free = (float(notes[grid.harmony[grid.first[at]]]) for at in (bar, freely))
    return written, free


@pytest.mark.parametrize("pitches", [(61, 66, 69), (60, 66, 69), (64, 66, 69, 73)])
def test_who_plays_freely_adds_notes_freely(pitches: tuple[int, ...]) -> None:
    """What speaks against a bar speaks less against it there, yet never for it."""
    written, free = in_either_manner(IN_C, *pitches)
    assert written < free < 0


def test_the_chord_that_suits_best_suits_as_well_in_either_manner() -> None:
    assert in_either_manner(IN_C, 60, 64, 67) == (0.0, 0.0)


WRITTEN = (
    "title: Written\nkey: C major\ntempo: 100\n\n"
    "pattern plain\n  left  | x . |\n  right | . x |\n\n"
    "[A]\n        | C          |\n  right | E5 D5 G4 A4 |\n  left  | C3 - - -    |\n"
)


def written_gain(beat: int, *pitches: int) -> float:
    """What the notes speak for a beat of the bar that is written out."""
    grid = lay_out(song(WRITTEN))
    hearing = Hearing(grid, Costs())
    notes = hearing.hear(strike(*pitches))
    (place,) = (index for index, at in enumerate(grid.beat.tolist()) if at == beat)
    return float(notes.gain[grid.harmony[place]]) + notes.suits


def test_a_written_note_speaks_more_for_its_place_than_any_tone_of_the_chord() -> None:
    written = {0: (48, 76), 1: (74,), 2: (67,), 3: (69,)}
    for beat, notes in written.items():
        others = [written_gain(beat, *other) for at, other in written.items() if at != beat]
        assert written_gain(beat, *notes) > 0 >= max(others)
    assert written_gain(1, 62) == pytest.approx(written_gain(1, 74))  # in any octave
    assert written_gain(1, 75) < written_gain(1, 76) < written_gain(1, 74)


def test_written_notes_are_each_a_witness() -> None:
    grid = lay_out(song(WRITTEN))
    written = [place for place, at in enumerate(grid.beat.tolist()) if at in (0, 1, 2, 3)]
    assert len(set(grid.span[written].tolist())) == 4
