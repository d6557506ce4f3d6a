"""A take is in order, within what a keyboard can send, and cannot be altered."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evaluator.take.model import make_take
from tests.fuzz.promises import check_take


def test_notes_are_sorted_by_onset_and_then_by_pitch() -> None:
    take = make_take(
        [1.0, 0.5, 0.5],
        [2.0, 0.6, 0.7],
        [60, 64, 48],
        [10, 20, 30],
        channels=[1, 2, 3],
        tracks=[4, 5, 6],
    )
    assert take.pitches.tolist() == [48, 64, 60]
    assert take.onsets.tolist() == [0.5, 0.5, 1.0]
    assert take.offsets.tolist() == [0.7, 0.6, 2.0]
    assert take.velocities.tolist() == [30, 20, 10]
    assert take.channels.tolist() == [3, 2, 1]
    assert take.tracks.tolist() == [6, 5, 4]


def test_the_take_lasts_until_the_last_key_is_let_go_not_the_last_one_struck() -> None:
    assert make_take([0.0, 1.0], [9.0, 1.5], [40, 70], [64, 64]).seconds == 9.0
    assert len(make_take([0.0, 1.0], [9.0, 1.5], [40, 70], [64, 64])) == 2


def test_a_take_may_be_without_notes() -> None:
    silent = make_take([], [], [], [])
    assert (len(silent), silent.seconds) == (0, 0.0)
    assert silent.pedal.shape == (0, 2)


def test_pedal_spans_that_touch_are_one() -> None:
    take = make_take(
        [0.0], [1.0], [60], [64], pedal=[(4.0, 5.0), (0.0, 1.0), (0.5, 2.0), (2.0, 3.0)]
    )
    assert take.pedal.tolist() == [[0.0, 3.0], [4.0, 5.0]]


def test_a_short_pedal_span_within_a_long_one_does_not_end_it() -> None:
    take = make_take([0.0], [1.0], [60], [64], pedal=[(0.0, 5.0), (1.0, 2.0)])
    assert take.pedal.tolist() == [[0.0, 5.0]]


def test_the_columns_have_the_promised_types_and_are_read_only() -> None:
    take = make_take([0.0], [1.0], [60], [64], pedal=[(0.0, 1.0)])
    for name in ("onsets", "offsets", "pedal"):
        assert getattr(take, name).dtype == np.float64
    for name in ("pitches", "velocities", "channels", "tracks"):
        assert getattr(take, name).dtype == np.int16
        with pytest.raises(ValueError, match="read-only"):
            getattr(take, name)[0] = 1


# MIDI 1.0: keys and velocities are seven bits, velocity 0 is no stroke, sixteen channels.
@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"onsets": [math.nan]}, "not a finite number"),
        ({"offsets": [math.inf]}, "not a finite number"),
        ({"onsets": [-0.1]}, "before 0 seconds"),
        ({"onsets": [1.5]}, "note ends before it begins"),
        ({"pitches": [128]}, "pitch lies outside 0..127"),
        ({"pitches": [-1]}, "pitch lies outside 0..127"),
        ({"velocities": [0]}, "velocity lies outside 1..127"),
        ({"velocities": [128]}, "velocity lies outside 1..127"),
        ({"channels": [16]}, "channel lies outside 0..15"),
        ({"tracks": [-1]}, "track lies outside"),
        ({"pitches": [60, 61]}, "every note needs"),
        ({"pedal": [(2.0, 1.0)]}, "pedal span ends before it begins"),
    ],
)
def test_values_that_no_keyboard_sends_are_refused(changed: dict[str, Any], says: str) -> None:
    note: dict[str, Any] = {"onsets": [0.0], "offsets": [1.0], "pitches": [60], "velocities": [64]}
    with pytest.raises(ValueError, match=says):
        make_take(**(note | changed))


times = st.floats(-1, 1e4) | st.floats()
notes = st.tuples(times, times, st.integers(-2, 130), st.integers(-1, 129), st.integers(-1, 16))


@settings(max_examples=200)
@given(st.lists(notes, min_size=1, max_size=5), st.lists(st.tuples(times, times), max_size=3))
def test_whatever_is_accepted_could_have_been_played(
    columns: list[tuple[float, float, int, int, int]], pedal: list[tuple[float, float]]
) -> None:
    onsets, offsets, pitches, velocities, channels = zip(*columns, strict=True)
    possible = all(
        0 <= start <= end < math.inf and 0 <= key <= 127 and 1 <= loud <= 127 and 0 <= channel <= 15
        for start, end, key, loud, channel in columns
    ) and all(0 <= down <= up < math.inf for down, up in pedal)
    try:
        take = make_take(onsets, offsets, pitches, velocities, channels=channels, pedal=pedal)
    except ValueError:
        assert not possible
    else:
        assert possible
        check_take(take)
