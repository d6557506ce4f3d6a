"""Is a take one of a song? Asked of its chords alone: another rhythm, another tempo, faults
and breaks are no reason to doubt it, another song's chords are. Common practice, no source."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import inf

import pytest

from evaluator.chart import BarGraph
from evaluator.follow import follow
from evaluator.follow.follow import beside_chance
from evaluator.follow.likeness import CERTAIN, STRANGE, exchanged, is_certain, is_song
from evaluator.take.midi_file import read_take
from evaluator.take.strike import strikes
from tests.bench.kinds import MIXED, play_kind
from tests.bench.strangers import OWN
from tests.follow.rhythms import RHYTHMS, aimless_notes, in_rhythm, single_notes
from tests.follow.songs import FOUR, HEAD, LINES, followed, heard, order, song
from tests.playing import Note, Pause, Performance, Restart, WrongChord, play

OTHER = HEAD + "[Verse]\n" + "| F#m | B7 | C#m | G#7 |\n| E | A | D#m | F# |\n" * 3


def chords(graph: BarGraph) -> list[str]:
    return [str(span.chord and span.chord.text) for bar in graph.bars for span in bar.spans]


@pytest.mark.parametrize("tempo", [0.6, 1.0, 1.6])
def test_a_clean_take_is_certain(tempo: float) -> None:
    path = followed(song(LINES), None, tempo=tempo, jitter_ms=20, spread_ms=10, seed=1)
    assert is_certain(path)
    assert is_song(path)


@pytest.mark.parametrize("other", RHYTHMS.values(), ids=RHYTHMS)
def test_in_another_rhythm_it_is_the_song_as_well(other: str) -> None:
    assert is_song(follow(song(LINES), heard(play(in_rhythm(other), jitter_ms=15, seed=2))))


def test_breaks_and_bars_lost_are_no_reason_to_doubt_it() -> None:
    graph = song(LINES)
    broken = followed(
        graph, [*range(1, 12), *range(9, 25)], Restart(11, 2.0, 2.0), Pause(3, 1.0, 3.0)
    )
    assert is_song(broken)
    assert is_song(followed(graph, [*range(1, 9), *range(17, 25)]))


def test_six_wrong_chords_in_twenty_four_are_no_other_song() -> None:
    faults = [
        WrongChord(bar, name) for bar, name in zip(range(2, 26, 4), ["Ab", "Db"] * 3, strict=True)
    ]
    assert is_song(followed(song(LINES), None, *faults))


@pytest.mark.parametrize("rhythm", [None, "whole notes", "eighths"])
def test_another_song_in_the_same_rhythm_is_not_it(rhythm: str | None) -> None:
    other = song(OTHER) if rhythm is None else in_rhythm(RHYTHMS[rhythm], OTHER)
    assert not is_song(follow(song(LINES), heard(play(other, jitter_ms=15, seed=3))))


def test_its_chords_in_another_order_are_not_it() -> None:
    graph = song(LINES)
    for other in exchanged(graph):
        assert not is_song(follow(graph, heard(play(other, jitter_ms=15, seed=4))))


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("of", [single_notes, aimless_notes])
def test_single_notes_are_not_it(of: Callable[[int, float], list[Note]], seed: int) -> None:
    path = follow(song(LINES), heard(_of_notes(of(seed, 40.0))))
    assert not path.bars or not is_song(path)


def _of_notes(notes: Sequence[Note]) -> Performance:
    return Performance(tuple(notes), (), play(song(FOUR)).truth)


def test_what_is_misfit_is_the_chords_not_the_time() -> None:
    """A late or unsteady take of the right chords misfits no more."""

    graph = song(LINES)
    unsteady = followed(graph, None, jitter_ms=40, wander_pct=3, seed=5)
    wrong = followed(graph, None, WrongChord(4, "Ab"), WrongChord(9, "Db"))
    assert followed(graph).misfit == 0.0
    assert unsteady.misfit < 0.25 * wrong.misfit


# -- the other songs -----------------------------------------------------------------------


def test_other_songs_have_the_songs_chords_in_other_places() -> None:
    graph = song(LINES)
    others = list(exchanged(graph))
    assert len(others) == 3
    for other in others:
        assert sorted(set(chords(other))) == sorted(set(chords(graph)))
        assert chords(other) != chords(graph)
        assert [bar.meter for bar in other.bars] == [bar.meter for bar in graph.bars]
        assert other.successors == graph.successors
    assert len({tuple(chords(other)) for other in others}) == 3


def test_of_four_chords_that_go_round_no_other_order_is_their_own_begun_elsewhere() -> None:
    own = chords(song(FOUR))
    rounds = [own[at:] + own[:at] for at in range(4)]
    assert all(chords(other) not in rounds for other in exchanged(song(FOUR)))


def test_of_two_chords_there_is_no_other_song() -> None:
    assert not list(exchanged(song(HEAD + "[Verse]\n| C | G | C | G |\n")))


def test_what_is_struck_moves_with_the_chord() -> None:
    """Each strike of another song is a strike of its chord there: its bass and its tones."""
    for other in exchanged(song(FOUR)):
        for bar in other.bars:
            (span,) = bar.spans
            assert span.chord is not None
            basses = [strike for strike in bar.strikes if strike.hand == "left"]
            assert basses
            for strike in basses:
                assert strike.pitch_classes == {span.chord.root.pc}


def test_a_take_of_another_of_the_songs_bars_is_asked_against_chance_only_where_doubted() -> None:
    graph = song(LINES)
    assert followed(graph).by_chance == float("inf")
    path = follow(graph, heard(play(graph, order(graph, *range(1, 9)))))
    assert path.by_chance == float("inf")


def test_a_take_in_another_key_with_one_strike_a_chord_is_recognised() -> None:
    """Held chords bear little witness, but in the chart's own key there is no way at all."""
    take = OWN["transposed"](13)
    path = follow(take.graph, strikes(read_take(take.midi_bytes)))
    assert path.transposed == take.truth.transposed == -4
    assert is_song(path)


def test_chords_in_other_places_that_fit_far_worse_say_nothing_against_a_doubtful_take() -> None:
    """Whole notes with two halts and a bar lost."""
    take = play_kind("whole notes", 1, faults=MIXED)
    heard = strikes(read_take(take.midi_bytes))
    doubted = replace(follow(take.graph, heard), misfit=(CERTAIN + STRANGE) / 2)
    path = beside_chance(doubted, take.graph, heard)
    assert path.by_chance < inf
    assert is_song(path)
