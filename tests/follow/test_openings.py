"""With which strike does a bar begin? The player's own bar lines and first chords are the truth."""

from dataclasses import replace

import pytest

from evaluator.follow import follow
from tests.bench.kinds import play_kind
from tests.follow.rhythms import RHYTHMS, in_rhythm
from tests.follow.songs import LINES, PLAIN, heard, path_of, song
from tests.playing import Missed, Pause, Performance, play


def with_late_downbeats(take: Performance, bars: tuple[int, ...], seconds: float) -> Performance:
    """The same take, in which the first strikes of some bars come late."""
    lines = [take.truth.bars[bar - 1].start for bar in bars]
    notes = [
        replace(note, onset=note.onset + seconds)
        if any(abs(note.onset - line) < 0.05 for line in lines)
        else note
        for note in take.notes
    ]
    return replace(take, notes=tuple(notes))


@pytest.mark.parametrize("late", [0.15, 0.25, 0.35])
@pytest.mark.parametrize("chart", [LINES, PLAIN])
def test_a_bar_begins_with_its_first_chord_however_late(chart: str, late: float) -> None:
    take = with_late_downbeats(play(in_rhythm(RHYTHMS["half notes"])), (5, 11, 18), late)
    path = follow(song(chart), heard(take))
    for bar in (5, 11, 18):
        played, line = path.bars[bar - 1], take.truth.bars[bar - 1].start
        assert played.strikes[0].beat == 0.0
        assert played.start == pytest.approx(line + late, abs=0.12)


@pytest.mark.parametrize("name", ["half notes", "quarters"])
@pytest.mark.parametrize("breath", [0.2, 0.3, 0.4])
def test_a_bar_begins_behind_the_breath_before_it(name: str, breath: float) -> None:
    breaths = [Pause(bar, 0.0, breath) for bar in (5, 9, 17)]
    take = play(in_rhythm(RHYTHMS[name]), faults=breaths)
    path = follow(song(PLAIN), heard(take))
    true = [bar.start for bar in take.truth.bars]
    assert [bar.start for bar in path.bars] == pytest.approx(true, abs=0.1)


@pytest.mark.parametrize("seed", [2, 3, 6, 7])
def test_hands_that_search_begin_their_bars(seed: int) -> None:
    take = play_kind("both hands search", seed)
    path = path_of(take)
    bars = zip(path.bars, take.truth.bars, strict=True)
    off = [abs(played.start - true.start) > 0.15 for played, true in bars]
    assert sum(off) < 0.06 * len(off)


def test_a_bar_without_its_downbeat_does_not_begin_with_an_off_beat_of_the_players_own() -> None:
    faults = [Missed(7, 0.0, "left"), Missed(7, 0.0, "right")]
    take = play(in_rhythm(RHYTHMS["eighths"]), faults=faults)
    path = follow(song(PLAIN), heard(take))
    assert path.bars[6].start == pytest.approx(take.truth.bars[6].start, abs=0.03)
    assert path.bars[6].strikes[0].beat == 0.5


@pytest.mark.parametrize("name", ["broken in the left hand", "another pattern"])
def test_a_bar_begins_with_the_early_strike_that_is_of_its_chord(name: str) -> None:
    take = play_kind(name, 5)
    path = path_of(take)
    true = [bar.start for bar in take.truth.bars]
    assert [bar.start for bar in path.bars] == pytest.approx(true, abs=0.15)


def test_a_bar_does_not_begin_with_a_chord_that_this_player_pushes_now_and_then() -> None:
    take = play_kind("pushed chords", 5)
    path = path_of(take)
    true = [bar.start for bar in take.truth.bars]
    assert [bar.start for bar in path.bars] == pytest.approx(true, abs=0.15)
