"""Which way explains the whole take, and which bars does it pass through?"""

import pytest

from evaluator.follow import follow
from evaluator.follow.follower import PAUSE, RESTART, START, Follower
from evaluator.follow.grid import lay_out
from evaluator.follow.one_way import trace
from evaluator.follow.trace import best_chain, is_halt
from evaluator.follow.visits import visits
from evaluator.take.strike import Strike
from tests.follow.songs import BEAT, HEAD, LINES, VERSE, heard, order, song, struck
from tests.playing import Missed, Pause, Restart, play

REST = HEAD + "[Verse]\n| N.C. | C | Am | N.C. | F | G | N.C. |\n"


def follower(text: str, strikes: tuple[Strike, ...]) -> Follower:
    found = Follower(lay_out(song(text)))
    for strike in strikes:
        found.push(strike)
    return found


def test_a_chain_begins_at_a_start_and_misses_no_strike() -> None:
    graph = song(LINES)
    chain, cost = best_chain(follower(LINES, heard(play(graph))))
    assert chain[0].kind == START
    numbers = [link.strike for link in chain]
    assert numbers == list(range(numbers[0], numbers[0] + len(chain)))
    assert cost < 0


def test_nothing_played_is_no_chain() -> None:
    assert best_chain(follower(LINES, ())) == ([], 0.0)


def test_a_halt_and_a_breaking_off_are_links_of_their_own() -> None:
    graph = song(LINES)
    for bars, fault, kind in (
        (None, Pause(9, 2.0, 3.0), PAUSE),
        (order(graph, *range(1, 10), *range(9, 25)), Restart(9, 2.0, 1.7), RESTART),
    ):
        chain, _ = best_chain(follower(LINES, heard(play(graph, bars, faults=[fault]))))
        halts = [link for link in chain if is_halt(link)]
        assert [link.kind for link in halts] == [kind]
        assert chain.index(halts[0]) == 8 * 4 + 2  # after eight bars of four and half of one


def test_bars_of_rest_are_passed_through() -> None:
    graph = song(REST)
    found = follower(REST, heard(play(graph)))
    chain, _ = best_chain(found)
    stays = visits(chain, found)
    assert [visit.bar for visit in stays] == [0, 1, 2, 3, 4, 5, 6]
    assert [len(visit.links) for visit in stays] == [0, 4, 4, 0, 4, 4, 0]
    assert stays[0].entry == "start"
    assert {visit.entry for visit in stays[1:]} == {"onward"}


def test_a_rest_at_the_end_completes_the_song() -> None:
    assert trace(follower(REST, heard(play(song(REST))))).complete


def test_a_take_that_stops_before_a_bar_with_strikes_is_not_completed() -> None:
    graph = song(REST)
    path = trace(follower(REST, heard(play(graph, [0, 1, 2, 3]))))
    assert not path.complete
    assert path.bars[-1].bar in (2, 3)


def test_strikes_belong_to_the_bar_in_which_they_were_played() -> None:
    graph = song(LINES)
    take = play(graph, jitter_ms=15, seed=6)
    strikes = heard(take)
    path = trace(follower(LINES, strikes))
    for played, true in zip(path.bars, take.truth.bars, strict=True):
        for placed in played.strikes:
            assert true.start - 0.1 < strikes[placed.strike].time < true.end
            assert placed.beat < 4


@pytest.mark.parametrize("tempo", [0.8, 1.2])
def test_a_bar_again_in_time_is_a_jump_and_after_a_wait_a_restart(tempo: float) -> None:
    graph = song(LINES)
    again = order(graph, *range(1, 11), *range(10, 25))
    in_time = trace(follower(LINES, heard(play(graph, again, tempo=tempo))))
    assert in_time.bars[10].entry == "jump"
    waiting = play(graph, again, tempo=tempo, faults=[Restart(10, 1.0, 4.0)])
    assert trace(follower(LINES, heard(waiting))).bars[10].entry == "restart"


def test_a_bar_again_in_time_is_no_restart_if_no_more_of_it_is_played() -> None:
    graph = song(
        LINES.replace("| x . x .", "| x . x . x . x .").replace("| . x . x", "| . x . x . x . x")
    )
    again = order(graph, *range(1, 11), *range(10, 25))
    late = [strike for strike in graph.bars[again[9]].strikes if strike.beat >= 3]
    missed = [Missed(bar, float(one.beat), one.hand) for bar in (10, 11) for one in late]
    path = follow(graph, heard(play(graph, again, faults=missed)))
    assert path.bars[10].entry == "jump"
    # Where more of it is played when it comes again, it had been broken off.
    path = follow(graph, heard(play(graph, again, faults=missed[: len(late)])))
    assert path.bars[10].entry == "restart"


def test_a_halt_as_long_as_a_bar_is_no_second_playing_of_it() -> None:
    graph = song(LINES)
    take = play(graph, faults=[Pause(9, 2.0, 4 * BEAT)])
    path = follow(graph, heard(take))
    assert [bar.entry for bar in path.bars[1:]] == ["onward"] * 23
    assert path.bars[8].pause == pytest.approx(4 * BEAT, abs=0.05)


def test_where_no_pattern_is_written_a_bar_broken_off_in_time_is_a_restart() -> None:
    """Its second half is silent, and played when the bar comes again."""
    text = (
        "title: Free\nkey: C major\ntempo: 100\n[A]\n"
        + 3 * "| C | Am | F | G |\n| Em | Bb | Dm | A |\n"
    )
    graph = song(text)
    notes: list[tuple[float, int]] = []
    time = 1.0
    for place in (*range(10), 9, *range(10, 24)):
        bar = graph.bars[place]
        chord = bar.spans[0].chord
        assert chord is not None
        keys = (36 + chord.root.pc, *(60 + pc for pc in sorted(chord.tones)))
        for beat in range(2 if place == 9 and time < 1.0 + 9.5 * 4 * BEAT else 4):
            notes += [(time + beat * BEAT, key) for key in keys]
        time += 4 * BEAT
    path = follow(graph, struck(notes))
    assert path.bars[10].bar == 9
    assert path.bars[10].entry == "restart"


def test_what_comes_after_the_end_is_not_played_bars() -> None:
    graph = song(HEAD + VERSE)
    strikes = heard(play(graph))
    end = strikes[-1].time
    late = tuple(
        Strike(end + 3 + gap, end + 3 + gap, (0,), (pitch,), (60,), False)
        for gap, pitch in ((0.0, 61), (0.37, 66), (0.81, 63))
    )
    path = trace(follower(HEAD + VERSE, (*strikes, *late)))
    assert path.after == (16, 17, 18)
    assert len(path.bars) == 4
