"""Notes struck together, and runs that are not.

The windows are from measurements of pianists (see the module); that grouping them is right
for a given bar is common practice, no source.
"""

import random
from itertools import pairwise

import pytest

from evaluator.errors import TakeError
from evaluator.take.model import Take, make_take
from evaluator.take.strike import MOST_STRIKES, Strike, StrikeGrouper, strikes

# (milliseconds, MIDI key)
Notes = list[tuple[float, int]]


def played(notes: Notes) -> Take:
    onsets = [time / 1000 for time, _ in notes]
    pitches = [pitch for _, pitch in notes]
    return make_take(onsets, [onset + 0.2 for onset in onsets], pitches, [64] * len(notes))


def grouped(notes: Notes) -> list[list[int]]:
    return [list(strike.pitches) for strike in strikes(played(notes))]


def run(milliseconds: float, pitches: list[int]) -> Notes:
    return [(index * milliseconds, pitch) for index, pitch in enumerate(pitches)]


def test_a_chord_is_one_strike_from_its_first_onset() -> None:
    take = make_take(
        [0.012, 0.0, 0.048, 1.0], [2.0] * 4, [66, 69, 62, 50], [70, 80, 60, 90]
    )  # fmt: skip
    first, second = strikes(take)
    assert first == Strike(0.0, 0.048, (2, 1, 0), (62, 66, 69), (60, 70, 80), rolled=False)
    assert second == Strike(1.0, 1.0, (3,), (50,), (90,), rolled=False)


def test_within_a_hand_fifty_milliseconds_belong_together() -> None:
    assert grouped([(0, 60), (50, 64)]) == [[60, 64]]
    assert grouped([(0, 60), (51, 64)]) == [[60], [64]]


def test_between_the_hands_seventy_five_do() -> None:
    assert grouped([(0, 38), (75, 62)]) == [[38, 62]]
    assert grouped([(0, 38), (76, 62)]) == [[38], [62]]
    assert grouped([(0, 62), (70, 38)]) == [[38, 62]]


def test_an_octave_is_still_one_hand() -> None:
    assert grouped([(0, 48), (60, 60)]) == [[48], [60]]
    assert grouped([(0, 48), (60, 61)]) == [[48, 61]]


def test_the_bounds_do_not_depend_on_where_in_the_take_a_chord_is() -> None:
    for start in (0.1, 1.7, 33.3, 239.9):
        take = make_take([start, start + 0.05, start + 0.11], [300.0] * 3, [60, 64, 67], [64] * 3)
        assert [strike.pitches for strike in strikes(take)] == [(60, 64, 67)]


def test_the_window_is_measured_from_the_first_onset_and_does_not_creep() -> None:
    assert grouped([(0, 69), (30, 62), (60, 66), (90, 65)]) == [[62, 69], [65, 66]]


def test_one_key_twice_is_two_strikes_however_quick() -> None:
    assert grouped([(0, 60), (20, 60)]) == [[60], [60]]


@pytest.mark.parametrize("gap", [20, 35, 50])
@pytest.mark.parametrize("chord", [[50, 57, 62, 66, 69], [69, 66, 62, 57, 50]])
def test_a_rolled_chord_up_or_down_is_one_strike(gap: float, chord: list[int]) -> None:
    (strike,) = strikes(played(run(gap, chord)))
    assert strike.pitches == tuple(sorted(chord))
    assert strike.rolled
    assert (strike.time, strike.last) == (0.0, pytest.approx(4 * gap / 1000))


def test_a_chord_struck_within_the_window_is_not_called_rolled() -> None:
    (strike,) = strikes(played(run(12, [50, 57, 62, 66])))
    assert not strike.rolled


def test_a_roll_may_be_a_little_uneven() -> None:
    (strike,) = strikes(played([(0, 50), (40, 57), (95, 62), (130, 66), (185, 69)]))
    assert strike.rolled


@pytest.mark.parametrize("bass_at", [0, 5])
def test_a_roll_over_a_bass_struck_with_its_first_note_is_one_strike(bass_at: float) -> None:
    roll = [(3.0, 62), (43.0, 66), (83.0, 69), (123.0, 74)]
    (strike,) = strikes(played([(bass_at, 38), *roll]))
    assert strike.pitches == (38, 62, 66, 69, 74)
    assert strike.rolled


def test_a_roll_ends_after_a_quarter_of_a_second() -> None:
    assert [len(group) for group in grouped(run(50, list(range(50, 66, 2))))] == [6, 2]


# Sixteenths at 160 a minute are 93.75 ms apart, at 200 75 ms, triplet sixteenths at 160 62.5.
@pytest.mark.parametrize("gap", [62.5, 75, 93.75, 125, 187.5])
@pytest.mark.parametrize(
    "line", [[60, 62, 64, 65, 67, 69, 71, 72], [50, 54, 57, 62, 66, 69, 74, 78], [72, 67, 64, 60]]
)
def test_single_notes_at_a_steady_pace_are_never_one_strike(gap: float, line: list[int]) -> None:
    assert grouped(run(gap, line)) == [[pitch] for pitch in line]


def test_a_melody_note_soon_after_a_chord_is_not_taken_for_a_roll() -> None:
    chord: Notes = [(0, 62), (8, 66), (20, 69)]
    assert grouped([*chord, (93.75, 74)]) == [[62, 66, 69], [74]]
    assert grouped([*chord, (70, 74)]) == [[62, 66, 69], [74]]


def test_a_late_note_inside_a_chord_is_no_roll() -> None:
    assert grouped([(0, 62), (25, 74), (70, 69)]) == [[62, 74], [69]]


def test_a_roll_that_turns_round_ends_where_it_turns() -> None:
    assert grouped([(0, 60), (45, 64), (90, 67), (135, 62)]) == [[60, 64, 67], [62]]


def test_chords_at_a_steady_pace_are_strikes_of_their_own() -> None:
    dice = random.Random(3)
    notes = [
        (beat * 150 + dice.uniform(0, 45), pitch)
        for beat in range(40)
        for pitch in (50, 62, 66, 69)
    ]
    assert grouped(sorted(notes)) == [[50, 62, 66, 69]] * 40


def test_no_note_is_lost_or_counted_twice() -> None:
    dice = random.Random(4)
    # No key comes again within the 15 ms of one stroke.
    take = played([(15 * n + dice.uniform(0, 60), 30 + 37 * n % 60) for n in range(600)])
    found = strikes(take)
    assert sorted(index for strike in found for index in strike.notes) == list(range(600))
    assert all(before.last <= after.time for before, after in pairwise(found))
    for strike in found:
        assert strike.pitches == tuple(take.pitches[list(strike.notes)])
        assert list(strike.pitches) == sorted(set(strike.pitches))
        assert strike.time == take.onsets[min(strike.notes)]


def test_a_stroke_on_two_channels_or_many_tracks_is_one() -> None:
    layered = played([(at + late, key) for at in (0, 500) for key in (48, 60) for late in (0, 3)])
    assert [strike.pitches for strike in strikes(layered)] == [(48, 60)] * 2
    copied = played([(500 * beat, 60 + beat) for beat in range(4)] * 300)
    assert [strike.pitches for strike in strikes(copied)] == [(60 + beat,) for beat in range(4)]


def test_more_strikes_than_a_take_has_are_refused() -> None:
    row = [(500 * beat, 60) for beat in range(MOST_STRIKES + 1)]
    assert len(strikes(played(row[1:]))) == MOST_STRIKES
    with pytest.raises(TakeError, match="5001 strikes, more than the 5000 that are followed"):
        strikes(played(row))


def test_no_notes_make_no_strikes() -> None:
    assert strikes(make_take([], [], [], [])) == ()
    assert StrikeGrouper().close() is None
    assert StrikeGrouper().due(1.0) is None


def test_a_live_strike_is_due_once_nothing_can_join_it() -> None:
    grouper = StrikeGrouper()
    grouper.push(0, 1.0, 60, 64)
    assert grouper.due(1.07) is None
    strike = grouper.due(1.08)
    assert strike is not None
    assert strike.pitches == (60,)
    assert grouper.due(2.0) is None


def test_a_live_roll_is_waited_for() -> None:
    grouper = StrikeGrouper()
    for index, (time, pitch) in enumerate([(0.0, 50), (0.05, 57), (0.1, 62)]):
        assert grouper.due(time) is None
        assert grouper.push(index, time, pitch, 64) is None
    assert grouper.due(0.15) is None
    strike = grouper.due(0.17)
    assert strike is not None
    assert strike.rolled


def test_looking_often_whether_a_strike_is_due_changes_nothing() -> None:
    dice = random.Random(5)
    clusters = [(beat * 130 + dice.uniform(0, 80), dice.randrange(36, 84)) for beat in range(300)]
    take = played(clusters + [(time + dice.uniform(0, 60), pitch + 3) for time, pitch in clusters])
    grouper, live, now = StrikeGrouper(), [], 0.0
    for index, (onset, pitch) in enumerate(
        zip(take.onsets.tolist(), take.pitches.tolist(), strict=True)
    ):
        while now < onset:
            live.append(grouper.due(now))
            now += 0.002
        live.append(grouper.push(index, onset, pitch, 64))
    live.append(grouper.close())
    assert tuple(strike for strike in live if strike) == strikes(take)
