"""How long was a halt, where did the bar before it end, and where do odd strikes belong?

The player's own bar lines are the truth.
"""

import pytest

from evaluator.follow import follow
from tests.follow.songs import BEAT, HEAD, LINES, TAIL, followed, heard, order, song
from tests.playing import Missed, Note, Pause, Performance, Restart, play

FREE = "title: Free\nkey: C major\ntempo: 100\n[A]\n| C | Am | F | G |\n| Em | Bb | Dm | A |\n"


def test_a_bar_before_a_halt_ends_where_the_next_was_due() -> None:
    graph = song(LINES)
    take = play(graph, faults=[Pause(7, 0.0, 2.5)])
    path = follow(graph, heard(take))
    assert path.bars[5].end == pytest.approx(1.0 + 6 * 4 * BEAT, abs=0.03)
    assert path.bars[6].start == pytest.approx(1.0 + 6 * 4 * BEAT + 2.5, abs=0.03)
    assert path.bars[6].pause == pytest.approx(2.5, abs=0.05)
    assert path.bars[6].pause_beat == 0.0


def test_of_two_halts_in_a_bar_the_longer_is_told() -> None:
    graph = song(LINES)
    for first, second, told in ((1.5, 2.5, (2.5, 3.0)), (2.5, 1.5, (2.5, 1.0))):
        take = play(graph, faults=[Pause(9, 1.0, first), Pause(9, 3.0, second)])
        halted = follow(graph, heard(take)).bars[8]
        assert (halted.pause, halted.pause_beat) == pytest.approx(told, abs=0.06)


@pytest.mark.parametrize("seconds", [1.5, 4.0])
def test_the_halt_of_a_restart_is_all_of_its_silence(seconds: float) -> None:
    graph = song(LINES)
    bars = order(graph, *range(1, 10), *range(9, 25))
    take = play(graph, bars, faults=[Restart(9, 2.0, seconds)])
    path = follow(graph, heard(take))
    onto, strikes = path.bars[9], heard(take)
    silence = strikes[onto.strikes[0].strike].time - strikes[onto.strikes[0].strike - 1].time
    assert onto.entry == "restart"
    assert onto.pause == pytest.approx(silence, abs=0.01)


def test_a_bar_broken_off_after_its_last_strike_was_played_to_its_end() -> None:
    graph = song(LINES)
    bars = order(graph, *range(1, 10), *range(9, 25))
    take = play(graph, bars, faults=[Restart(9, 4.0, 3.0)])
    broken = follow(graph, heard(take)).bars[8]
    assert broken.beats_played == 4.0
    assert broken.end == pytest.approx(1.0 + 9 * 4 * BEAT, abs=0.05)


def test_a_silent_bar_that_was_broken_off_has_no_beats() -> None:
    graph = song(HEAD + "[A]\n| C | Am | F | G |\n| N.C. | C | Dm | G |\n")
    bars = order(graph, 1, 2, 3, 4, 5, 1, *range(2, 9))
    take = play(graph, bars, faults=[Restart(5, 2.0, 4.0)])
    path = follow(graph, heard(take))
    at = next(place for place, bar in enumerate(path.bars) if bar.entry == "restart")
    assert path.bars[at].bar == 0
    assert path.bars[at - 1].end <= path.bars[at].start


def test_a_foreign_key_just_behind_a_strike_is_an_ornament_of_its_bar() -> None:
    graph = song(LINES)
    take = play(graph, jitter_ms=5, seed=2)
    start = take.truth.bars[11].start + 0.15 * BEAT
    odd = Note(start, start + 0.1, 61, 40, "right")
    notes = tuple(sorted((*take.notes, odd), key=lambda note: (note.onset, note.pitch)))
    strikes = heard(Performance(notes, (), take.truth))
    path = follow(graph, strikes)
    found = [(at, strikes[one].time) for at, bar in enumerate(path.bars) for one in bar.ornaments]
    assert found == [(11, start)]


def test_a_clean_take_is_all_but_certain() -> None:
    for text in (LINES, TAIL):
        path = followed(song(text))
        assert min(bar.confidence for bar in path.bars[:-1]) > 0.99
        # Behind the last bar no strikes tell how it went on.
        assert 0.9 < path.bars[-1].confidence < 0.999


def test_strikes_that_gain_less_than_aimless_playing_make_doubtful() -> None:
    graph = song(LINES)
    take = play(graph)
    start, end = take.truth.bars[10].start - 0.1, take.truth.bars[11].start - 0.1
    notes = tuple(
        note if not start < note.onset < end else Note(note.onset, note.offset, 61, 60, note.hand)
        for note in take.notes
    )
    bars = follow(graph, heard(Performance(notes, (), take.truth))).bars
    assert bars[10].confidence < bars[5].confidence


def test_without_a_pattern_a_bar_again_in_time_is_a_jump_and_after_a_wait_a_restart() -> None:
    graph = song(FREE)
    again = order(graph, 1, 2, 3, 4, 5, 5, 6, 7, 8)
    in_time = follow(graph, heard(play(graph, again)))
    assert in_time.bars[5].entry == "jump"
    waiting = follow(graph, heard(play(graph, again, faults=[Restart(5, 2.0, 4.0)])))
    assert "restart" in {bar.entry for bar in waiting.bars}


def test_a_rest_that_the_chart_does_not_end_with_is_not_played() -> None:
    graph = song(HEAD + "[A]\n| C | Am | N.C. | F |\n")
    path = follow(graph, heard(play(graph, [0, 1])))
    assert [bar.bar for bar in path.bars] == [0, 1]


def test_a_missed_downbeat_after_a_halt_does_not_shorten_the_halt() -> None:
    graph = song(LINES)
    take = play(graph, faults=[Pause(7, 1.0, 2.0), Missed(7, 0.0, "left")])
    path = follow(graph, heard(take))
    assert path.bars[6].start == pytest.approx(take.truth.bars[6].start, abs=0.1)
