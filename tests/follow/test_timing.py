"""When did the bars begin and end? The player's own bar lines are the truth."""

import pytest

from evaluator.follow import follow
from evaluator.take.midi_file import read_take
from evaluator.take.strike import strikes
from tests.bench.kinds import play_kind
from tests.follow.rhythms import RHYTHMS, in_turn
from tests.follow.songs import HEAD, LINES, PLAIN, followed, heard, order, path_of, song
from tests.playing import Missed, Pause, Restart, play

NO_DOWNBEAT = HEAD.replace("left  | x . x . |", "left  | . . x . |")


@pytest.mark.parametrize("tempo", [0.6, 1.0, 1.7])
def test_bars_of_an_even_take_begin_on_their_bar_lines(tempo: float) -> None:
    graph = song(LINES)
    take = play(graph, tempo=tempo)
    path = follow(graph, heard(take))
    for played, true in zip(path.bars, take.truth.bars, strict=True):
        assert played.start == pytest.approx(true.start, abs=0.02)
        assert played.end == pytest.approx(true.end, abs=0.02)


@pytest.mark.parametrize("seed", range(4))
def test_a_hands_scatter_is_not_the_bars(seed: int) -> None:
    graph = song(LINES)
    take = play(graph, jitter_ms=25, wander_pct=2, seed=seed)
    path = follow(graph, heard(take))
    off = [b.start - t.start for b, t in zip(path.bars, take.truth.bars, strict=True)]
    assert max(map(abs, off)) < 0.08


def test_a_bar_that_begins_with_silence_begins_on_its_bar_line() -> None:
    graph = song(NO_DOWNBEAT + "[Verse]\n| C | Am | F | G |\n| Em | Bb | Dm | A |\n")
    take = play(graph)
    path = follow(graph, heard(take))
    true = [bar.start for bar in take.truth.bars]
    assert [bar.start for bar in path.bars] == pytest.approx(true, abs=0.02)
    assert path.bars[3].strikes[0].beat == 1


def test_a_missed_downbeat_does_not_move_the_bar_line() -> None:
    graph = song(LINES)
    fault = Missed(6, 0.0, "left")
    take = play(graph, faults=[fault])
    path = follow(graph, heard(take))
    assert path.bars[5].start == pytest.approx(take.truth.bars[5].start, abs=0.02)


def test_bars_follow_one_another_without_gap_or_overlap() -> None:
    path = followed(song(LINES), None, jitter_ms=30, seed=3)
    for before, after in zip(path.bars, path.bars[1:], strict=False):
        assert before.start < before.end == pytest.approx(after.start)


@pytest.mark.parametrize("seconds", [0.8, 2.0, 6.0])
@pytest.mark.parametrize("beat", [1.0, 3.0])
def test_a_halt_has_its_length_and_its_place(beat: float, seconds: float) -> None:
    graph = song(LINES)
    take = play(graph, faults=[Pause(7, beat, seconds)])
    path = follow(graph, heard(take))
    halted = path.bars[6]
    assert halted.pause == pytest.approx(seconds, abs=0.05)
    assert halted.pause_beat == beat
    for played, true in zip(path.bars, take.truth.bars, strict=True):
        assert played.start == pytest.approx(true.start, abs=0.03)
        assert played.end == pytest.approx(true.end, abs=0.03)


def test_a_halt_before_a_bar_does_not_lengthen_the_bar_after_it() -> None:
    graph = song(LINES)
    take = play(graph, faults=[Pause(7, 0.0, 2.5)])
    path = follow(graph, heard(take))
    assert path.bars[7].start - path.bars[6].start == pytest.approx(2.4, abs=0.05)
    assert path.bars[6].start == pytest.approx(1.0 + 6 * 2.4 + 2.5, abs=0.05)


def test_a_bar_that_was_broken_off_ends_where_the_next_strike_was_due() -> None:
    graph = song(LINES)
    bars = order(graph, *range(1, 8), *range(7, 25))
    take = play(graph, bars, faults=[Restart(7, 2.0, 2.0)])
    path = follow(graph, heard(take))
    broken, onto = path.bars[6], path.bars[7]
    beat = 0.6
    assert broken.beats_played == 2
    assert broken.end == pytest.approx(take.truth.bars[6].start + 2 * beat, abs=0.02)
    assert onto.start == pytest.approx(take.truth.bars[7].start, abs=0.02)


def test_a_bar_played_to_its_end_has_all_its_beats() -> None:
    path = followed(song(LINES), range(1, 6))
    assert [bar.beats_played for bar in path.bars] == [4.0] * 5


def test_bar_lines_bend_with_a_tempo_that_changes_from_section_to_section() -> None:
    """Two strikes a bar: a straight line through the strikes about it would miss them by beats."""
    slower = play_kind("one section slower", 1)
    path = follow(slower.graph, strikes(read_take(slower.midi_bytes)))
    assert [bar.bar for bar in path.bars] == [bar.index for bar in slower.truth.bars]
    for played, true in zip(path.bars, slower.truth.bars, strict=True):
        assert played.start == pytest.approx(true.start, abs=0.1)


@pytest.mark.parametrize("tempo", [0.6, 1.5])
@pytest.mark.parametrize("name", ["whole notes", "quarters", "eighths"])
def test_the_bar_line_at_which_the_tempo_turns_is_where_it_is_struck(
    name: str, tempo: float
) -> None:
    """Those before it and those after it each lie on a line of their own."""
    rhythm = RHYTHMS[name]
    take, starts = in_turn(
        (rhythm, range(1, 9), 1.0), (rhythm, range(9, 17), tempo), (rhythm, range(17, 25), 1.0)
    )
    path = follow(song(PLAIN), heard(take))
    assert [bar.start for bar in path.bars] == pytest.approx(starts, abs=0.1)


@pytest.mark.parametrize("seed", [1, 9, 10])
def test_a_closing_ritard_takes_the_bar_lines_with_it(seed: int) -> None:
    """The last four bars slow down to half the tempo, one by one."""
    take = play_kind("a ritard of four bars", seed)
    path = path_of(take)
    starts = [bar.start for bar in path.bars]
    assert starts == pytest.approx([bar.start for bar in take.truth.bars], abs=0.15)
