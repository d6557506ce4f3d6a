"""Chords by what is struck, where nobody says which."""

import numpy as np

from evaluator.draft.heard import hear
from evaluator.draft.recognise import recognise, recognise_again, vocabulary
from evaluator.take.strike import Strike

AM, F = ((45, 60, 64), (52, 57)), ((41, 60, 65), (53, 57))
G, C_OVER_A_BEAT = ((43, 59, 62), (50, 59)), ((48, 60, 64), (43, 59, 62))
BEAT = 0.6


def named(*bars: tuple[tuple[int, ...], ...]) -> list[str]:
    """The chord of each beat; a bar is the keys that are struck on each of its beats."""
    struck = [keys for bar in bars for keys in bar]
    strikes = [
        Strike(place * BEAT, place * BEAT, tuple(range(len(keys))), keys, (70,) * len(keys), False)
        for place, keys in enumerate(struck)
    ]
    heard, words = hear(strikes, BEAT * np.arange(len(struck) + 1)), vocabulary()
    way = recognise_again(heard, words, 4, recognise(heard, words, 4))
    return [words.chords[place].text for place in way.places.tolist()]


def test_a_chord_of_one_beat_is_heard_by_its_bass() -> None:
    usual = ((*AM, *F), (*G, *G))
    found = named(*(3 * usual + ((*AM, *F), (*G, *C_OVER_A_BEAT))) * 3)
    assert " ".join(found[48:64]) == "Am Am F F G G G G Am Am F F G G C G"
