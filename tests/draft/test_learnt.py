"""What a first way through a song teaches for the next one."""

import numpy as np

from evaluator.draft.align import (
    Alignment,
    Route,
    change_chances,
    changes_in,
    gained_elsewhere,
    line_costs,
)
from evaluator.draft.heard import Habits, hear
from evaluator.draft.roles import FirstWay, role_habits
from evaluator.take.strike import Strike
from evaluator.theory.symbol import parse_chord

BAR = 4


def struck(time: float, *pitches: int) -> Strike:
    return Strike(time, time, tuple(range(len(pitches))), pitches, (64,) * len(pitches), False)


def test_chords_change_where_they_did_in_the_song() -> None:
    beats = np.arange(200)
    thirds = Alignment(np.cumsum(beats % BAR == 2), beats % BAR, 0.0)
    usual, learnt = change_chances(BAR), changes_in(thirds, BAR)
    assert learnt[2] > 0.7 > usual[2]
    assert learnt[0] < usual[0]


def test_a_song_of_few_bars_teaches_little() -> None:
    beats = np.arange(8)
    thirds = Alignment(np.cumsum(beats % BAR == 2), beats % BAR, 0.0)
    assert np.allclose(changes_in(thirds, BAR), change_chances(BAR), atol=0.1)


def test_a_chord_is_known_by_what_is_struck_under_its_name() -> None:
    """Bb6 of the sheet is played as G minor all through: its root is not waited for."""
    names = (parse_chord("Bb6"), parse_chord("F"))
    strikes = [
        struck(float(beat), *((55, 62, 67) if beat % 8 < BAR else (53, 60, 69)))
        for beat in range(64)
    ]
    heard = hear(strikes, np.arange(65.0))
    beats = np.arange(64)
    way = FirstWay((beats // BAR) % 2, np.zeros(64, dtype=int), beats % BAR)
    by_role, by_chord = (
        role_habits(heard, names, way, Habits(), (1, BAR), by_chord=own).likely(0)[0, :, 0]
        for own in (False, True)
    )
    assert by_chord[0] - by_chord[1] > by_role[0] - by_role[1]


def test_a_sheet_that_spells_out_its_form_is_left_less_easily() -> None:
    """Verse and chorus, each of one line, and whether the verse stands there again."""
    once = Route((0, 1, 2, 3), (0, 2), (0, 1), (0, 1))
    spelt = Route((0, 1, 2, 3, 0, 1), (0, 2, 4), (0, 1, 2), (0, 1, 0))
    back, other = line_costs(once)[1, 0], line_costs(spelt)[1, 0]
    assert other < back < 0.0
    assert line_costs(once)[0, 1] == line_costs(spelt)[0, 1] == 0.0


def test_a_chord_is_expected_where_it_began_in_the_other_verses() -> None:
    """Two verses of two chords, the second of which came early in the first of them."""
    route = Route((0, 1, 0, 1), (0, 2), (0, 1), (0, 0))
    places = np.repeat(np.arange(4), (3, 5, 4, 4))
    way = Alignment(places, np.arange(16) % BAR, 0.0)
    gained = gained_elsewhere(way, route, change_chances(BAR))
    assert gained[3, 3] > 0 > gained[3, 0]
    assert gained[1, 0] > 0 > gained[1, 3]
    assert not gained_elsewhere(
        way, Route((0, 1, 2, 3), (0,), (0,), (0,)), change_chances(BAR)
    ).any()
