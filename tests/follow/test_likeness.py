"""Do the chords of a way leave a doubt? Another rhythm, another tempo, faults and breaks are no
reason to, another song's chords are. Common practice, no source."""

import pytest

from evaluator.follow import follow
from evaluator.follow.likeness import is_certain
from tests.bench.strangers import OWN
from tests.follow.songs import HEAD, LINES, followed, heard, order, path_of, song
from tests.playing import WrongChord, play

OTHER = HEAD + "[Verse]\n" + "| F#m | B7 | C#m | G#7 |\n| E | A | D#m | F# |\n" * 3


@pytest.mark.parametrize("tempo", [0.6, 1.0, 1.6])
def test_a_clean_take_is_certain(tempo: float) -> None:
    assert is_certain(followed(song(LINES), None, tempo=tempo, jitter_ms=20, spread_ms=10, seed=1))


def test_a_part_of_the_song_is_certain_and_another_song_is_not() -> None:
    graph = song(LINES)
    assert is_certain(follow(graph, heard(play(graph, order(graph, *range(1, 9))))))
    assert not is_certain(follow(graph, heard(play(song(OTHER), jitter_ms=15, seed=3))))


def test_what_is_misfit_is_the_chords_not_the_time() -> None:
    """A late or unsteady take of the right chords misfits no more."""

    graph = song(LINES)
    unsteady = followed(graph, None, jitter_ms=40, wander_pct=3, seed=5)
    wrong = followed(graph, None, WrongChord(4, "Ab"), WrongChord(9, "Db"))
    assert followed(graph).misfit == 0.0
    assert unsteady.misfit < 0.25 * wrong.misfit


def test_a_take_in_another_key_with_one_strike_a_chord_is_followed() -> None:
    """Held chords bear little witness, but in the chart's own key there is no way at all."""
    take = OWN["transposed"](13)
    path = path_of(take)
    assert path.transposed == take.truth.transposed == -4
    assert is_certain(path)
