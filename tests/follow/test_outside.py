"""What is played around the song is none of it.

Counting in on a key, warming up, and striking the last chord once more are common practice of
teaching and playing, no source.
"""

import pytest

from evaluator.chart import read_chart
from evaluator.follow import Path, follow
from evaluator.follow.outside import FEWEST_BEFORE, after_silence
from evaluator.take.midi_file import read_take
from evaluator.take.strike import Strike, strikes
from tests.bench.by_hand import Script, played, trying_out
from tests.bench.kinds import play_kind
from tests.follow import songs
from tests.follow.songs import CHORUS, HEAD, path_of, song
from tests.playing import Pause, Restart, WrongChord, play, to_midi


def followed(script: Script) -> tuple[Path, tuple[Strike, ...]]:
    take = played(script)
    heard = strikes(read_take(take.midi_bytes))
    return follow(read_chart(take.chart_text), heard), heard


def test_four_times_one_key_before_the_song_is_none_of_its_bars() -> None:
    count = trying_out(67, 67, 67, 67, apart=0.77, rest=0.0)
    path, heard = followed(Script("counted in", "quarry_road", bars="1-20", after=(count,)))
    assert [bar.bar for bar in path.bars] == list(range(20))
    assert path.bars[0].entry == "start"
    assert path.before == (0, 1, 2, 3)
    assert all(heard[at].pitches == (67,) for at in path.before)


def test_a_first_bar_begun_again_is_a_bar() -> None:
    again = Script("begun again", "quarry_road", bars="1 1-20", faults=(Restart(1, 3.0, 1.0),))
    path, _ = followed(again)
    assert [bar.bar for bar in path.bars[:3]] == [0, 0, 1]


@pytest.mark.parametrize("kind", ["single notes before", "chords before"])
@pytest.mark.parametrize("seed", [1, 9, 20])
def test_what_is_played_before_a_silence_and_the_song_is_none_of_it(kind: str, seed: int) -> None:
    """It fits some bars by chance; the song was found far into itself, and jumped back."""
    take = play_kind(kind, seed)
    path = path_of(take)
    assert [bar.bar for bar in path.bars] == [bar.index for bar in take.truth.bars]
    assert path.bars[0].start == pytest.approx(take.truth.bars[0].start, abs=0.1)


def test_bars_before_a_halt_with_wrong_chords_stay_bars_of_the_song() -> None:
    wrong = tuple(WrongChord(bar, "Eb") for bar in (1, 2, 3))
    script = Script("lost", "quarry_road", bars="1-20", faults=(*wrong, Pause(4, 0.0, 3.0)))
    path, _ = followed(script)
    assert [bar.bar for bar in path.bars] == list(range(20))


def test_a_first_line_with_wrong_chords_is_played_where_it_may_come_once_less() -> None:
    """What comes behind the halt might as well be the song from its beginning."""
    graph = song(HEAD + "[Verse]\n| C | Am | F | G | x1-4\n" + CHORUS)
    wrong = [WrongChord(bar, chord) for bar, chord in enumerate(("F#", "Eb", "B", "Ab"), 1)]
    path = songs.followed(graph, None, *wrong, Pause(5, 0.0, 2.0))
    assert songs.numbers(graph, path) == list(range(1, len(path.bars) + 1))
    assert path.bars[0].start < 2.0


@pytest.mark.parametrize("seed", [1, 3])
def test_the_last_chord_struck_again_is_no_bar_that_came_again(seed: int) -> None:
    take = play_kind("last chord again", seed)
    path = path_of(take)
    assert [bar.bar for bar in path.bars] == [bar.index for bar in take.truth.bars]
    assert path.after


def test_a_last_bar_played_whole_again_is_a_bar() -> None:
    path, _ = followed(Script("once more", "quarry_road", bars="1-56 56"))
    assert [bar.bar for bar in path.bars[-2:]] == [55, 55]


def test_where_too_little_was_played_nothing_lies_before_the_song() -> None:
    graph = song(HEAD + "[Verse]\n| C | F |\n")
    few = strikes(read_take(to_midi(play(graph))))[:FEWEST_BEFORE]
    path = follow(graph, few)
    assert path.bars
    assert after_silence(path, few) == 0
    assert after_silence(follow(graph, ()), ()) == 0
