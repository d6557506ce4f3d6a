"""One strike at a time: what the follower keeps alive, and what it forgets."""

import re
from functools import partial
from itertools import pairwise
from math import inf

import numpy as np
import pytest

from evaluator.follow import Path, follow
from evaluator.follow.costs import TEMPI, Costs
from evaluator.follow.follower import (
    AT_FIRST,
    HASTY,
    ONWARD,
    ORNAMENT,
    SECTION_TURNS,
    START,
    TURNS,
    Follower,
)
from evaluator.follow.grid import lay_out
from evaluator.follow.one_way import trace
from evaluator.take.midi_file import read_take
from evaluator.take.strike import Strike, strikes
from tests.bench.students import FEW, simulate
from tests.follow.songs import HEAD, LINES, TAIL, heard, order, song
from tests.playing import Restart, play

PLAYED = [*range(1, 12), *range(9, 16), *range(17, 25)]
"""Breaks off in bar 11, takes up the line again, and leaves out bar 16."""


def take() -> tuple[Strike, ...]:
    graph = song(LINES)
    bars = order(graph, *PLAYED)
    faults = [Restart(11, 2.0, 1.7)]
    return heard(play(graph, bars, faults=faults, jitter_ms=12, spread_ms=8, seed=1))


def pushed(strikes: tuple[Strike, ...], text: str = LINES) -> Follower:
    follower = Follower(lay_out(song(text)))
    for strike in strikes:
        follower.push(strike)
    return follower


def test_live_and_from_a_file_are_the_same_path() -> None:
    strikes = take()
    follower = Follower(lay_out(song(LINES)))
    live: list[Path] = []
    for number, strike in enumerate(strikes):
        follower.push(strike)
        if number in (40, len(strikes) - 1):
            live.append(trace(follower))
    assert live[1] == follow(song(LINES), strikes)
    assert live[0] == trace(pushed(strikes[:41]))


def test_asking_in_between_changes_nothing() -> None:
    strikes = take()
    asked, plain = Follower(lay_out(song(LINES))), pushed(strikes)
    for number, strike in enumerate(strikes):
        asked.push(strike)
        if number % 8 == 0:
            trace(asked)
    for one, other in zip(asked.steps, plain.steps, strict=True):
        np.testing.assert_array_equal(one.cost, other.cost)
        np.testing.assert_array_equal(one.position, other.position)


def test_the_cheapest_hypothesis_stands_first_and_none_is_beyond_the_beam() -> None:
    costs = Costs()
    for step in pushed(take()).steps:
        assert step.cost[0] == step.cost.min()
        # A twin at another tempo is dearer by its price than the hypothesis that it doubles.
        assert step.cost.max() <= step.cost[0] + max(
            costs.beam + costs.tempo_back, costs.tempo_jump
        )


@pytest.mark.parametrize("times", [1, 10])
def test_no_more_hypotheses_live_in_a_longer_take(times: int) -> None:
    graph = song(TAIL)
    bars = list(graph.written) * times
    strikes = heard(play(graph, bars, jitter_ms=20, spread_ms=12, seed=4))
    sizes = [len(step.cost) for step in pushed(strikes, TAIL).steps]
    assert max(sizes) <= Costs().cells_at_first + 2
    assert max(sizes[AT_FIRST:]) <= Costs().cells + 2
    # The doubt at the beginning passes, and does not grow again.
    assert max(sizes[-20:]) <= max(sizes[:60])


ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def in_other_keys(lines: str, keys: int) -> str:
    """A section in so many keys, one after the other."""

    def moved(sign: re.Match[str], up: int) -> str:
        return ROOTS[(ROOTS.index(sign[0]) + up) % 12]

    parts = (re.sub(r"[A-G][b#]?", partial(moved, up=key), lines) for key in range(keys))
    return "".join(f"[Part {number}]\n{part}" for number, part in enumerate(parts))


def test_work_does_not_grow_with_the_song() -> None:
    head, _, rest = LINES.partition("[Verse]\n")
    verse = rest.partition("[")[0]

    def hypotheses(keys: int) -> int:
        text = head + in_other_keys(verse, keys)
        graph = song(text)
        played = heard(play(graph, graph.written[:8], jitter_ms=12, spread_ms=8, seed=1))
        return sum(len(step.cost) for step in pushed(played, text).steps[20:30])

    assert hypotheses(12) <= 1.5 * hypotheses(1)


def test_every_hypothesis_has_a_past() -> None:
    steps = pushed(take()).steps
    for before, step in pairwise(steps):
        begun = step.back < 0
        assert (step.kind[begun] == START).all()
        assert (step.back[~begun] < len(before.cost)).all()


def test_an_ornament_leaves_everything_where_it_was() -> None:
    steps = pushed(take()).steps
    found = 0
    for before, step in pairwise(steps):
        for cell in np.flatnonzero(step.kind == ORNAMENT):
            assert step.position[cell] == before.position[step.back[cell]]
            assert step.ratio[cell] == before.ratio[step.back[cell]]
            found += 1
    assert found


@pytest.mark.parametrize(
    ("bar", "ratios", "price"),
    [(8, SECTION_TURNS, Costs().tempo_section), (4, TURNS, Costs().tempo_jump)],
    ids=["a section", "a line"],
)
def test_a_section_is_gone_on_with_at_more_tempi_than_a_line(
    bar: int, ratios: np.ndarray, price: float
) -> None:
    graph = song(LINES)
    follower = pushed(heard(play(graph)))
    step = follower.steps[4 * bar]
    assert step.position[0] == follower.grid.first[bar]
    twins = slice(-len(ratios), None)
    np.testing.assert_allclose(step.ratio[twins], step.ratio[0] * ratios)
    np.testing.assert_allclose(step.cost[twins], step.cost[0] + price)
    assert (step.position[twins] == step.position[0]).all()


@pytest.mark.parametrize(("after", "price"), [(HASTY - 0.01, Costs().hasty), (HASTY + 0.01, 0.0)])
def test_a_strike_of_its_own_so_soon_after_another_costs(after: float, price: float) -> None:
    """At no tempo that is played are sixteenths so close; its two hands may be."""

    def cheapest_onward(costs: Costs) -> float:
        follower = Follower(lay_out(song(LINES)), costs=costs)
        for at in (0.0, after):
            follower.push(Strike(at, at, (0,), (48, 64, 67), (60,) * 3, False))
        first, second = follower.steps
        own = (second.kind == ONWARD) & (second.position != first.position[second.back])
        return float(second.cost[own].min())

    found = cheapest_onward(Costs(beam=60.0)) - cheapest_onward(Costs(beam=60.0, hasty=0.0))
    assert found == pytest.approx(price)


@pytest.mark.parametrize("tempo", [0.5, 0.8, 1.25, 2.0])
def test_the_tempo_is_learnt_within_a_few_bars(tempo: float) -> None:
    graph = song(LINES)
    follower = pushed(heard(play(graph, tempo=tempo)))
    assert follower.steps[20].ratio[0] == pytest.approx(1 / tempo, rel=0.02)
    assert len(TEMPI) > 1


def test_a_song_may_begin_at_any_tempo_from_half_to_double() -> None:
    first = pushed(take()[:1]).steps[0]
    assert first.ratio.min() <= 0.71
    assert first.ratio.max() >= 1.41


def test_hypotheses_do_not_depend_on_what_comes_later() -> None:
    strikes = take()
    whole, part = pushed(strikes), pushed(strikes[:30])
    for one, other in zip(whole.steps[:30], part.steps, strict=True):
        np.testing.assert_array_equal(one.cost, other.cost)
        np.testing.assert_array_equal(one.back, other.back)


def test_a_take_whose_tempo_reaches_the_slowest_is_followed() -> None:
    """Its ratio of played to written time comes to the bound, 2.9."""
    slow = simulate(1019, "ordinary", faults=FEW)
    path = follow(slow.graph, strikes(read_take(slow.midi_bytes)))
    assert len(path.bars) == len(slow.truth.bars)


EIGHTS = """title: The Eightfold Gate
tempo: 100

pattern eights
  left  | x . . . . . . . |
  right | x x x x x x x x |

[Verse]
| C | Fm |
"""


def after(count: int, *pitches: int) -> tuple[float, float]:
    """The cost of having struck this so often in the first bar, and what is amiss there."""
    grid = lay_out(song(EIGHTS))
    follower = Follower(grid)
    for number in range(count):
        follower.push(Strike(0.3 * number, 0.3 * number, (number,), pitches, (60,), False))
    here = np.flatnonzero(np.isclose(grid.beat, 0.5 * (count - 1)) & (grid.bar == 0))
    cells = follower.steps[-1]
    cell = int(np.flatnonzero(np.isin(cells.position, here) & (cells.kind != ORNAMENT))[0])
    return float(cells.cost[cell]), float(cells.amiss[cell])


def test_a_wrong_chord_costs_no_more_than_one_mistake_however_often_it_is_struck() -> None:
    right = [after(count, 64, 67, 72) for count in (1, 2, 8)]
    wrong = [after(count, 65, 68, 72) for count in (1, 2, 8)]
    lacks = [there - here for (there, _), (here, _) in zip(wrong, right, strict=True)]
    assert 0 < lacks[0] < lacks[1] < Costs().wrong + 1e-9
    assert lacks[2] == pytest.approx(Costs().wrong)
    assert right[2][1] == pytest.approx(0.0)
    assert wrong[2][1] > Costs().wrong


def test_what_is_amiss_is_forgotten_under_the_next_sign() -> None:
    grid = lay_out(song(EIGHTS))
    follower = Follower(grid)
    for number in range(9):
        pitches = (53, 65, 68, 72)
        follower.push(Strike(0.3 * number, 0.3 * number, (number,), pitches, (60,), False))
    cells = follower.steps[-1]
    (there, *_) = np.flatnonzero((cells.position == grid.first[1]) & (cells.kind != ORNAMENT))
    assert cells.amiss[there] == 0.0


def test_written_notes_say_how_fast_they_are_how_long_and_where() -> None:
    notes = "[A]\n        | C           |\n  right | E5 D5 G4 A4 |\n  left  | C3 - - -    |\n"
    exact, plain = Follower(lay_out(song(HEAD + notes))), Follower(lay_out(song(LINES)))
    assert (exact.hasty, exact.beside, exact.slower) == (0.0, inf, inf)
    assert exact.early.min() > plain.early.max()
    assert (plain.hasty, plain.beside) == (Costs().hasty, Costs().beside)
