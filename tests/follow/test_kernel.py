"""The compiled step is the step in Python: the same hypotheses after every strike.

`Follower` is the reference. Both take their numbers from the same tables, and every sum is
made in the same order; only the logarithm is another library's, whence the 1e-9.
"""

import gc
import tracemalloc
import weakref
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from evaluator.chart import BarGraph, read_chart
from evaluator.follow import compiled
from evaluator.follow.compiled import CompiledFollower, follower
from evaluator.follow.costs import Costs
from evaluator.follow.follower import APIECE, BESIDE, SLOWER, Cells, Follower
from evaluator.follow.grid import lay_out
from evaluator.follow.one_way import trace
from evaluator.follow.positions import KINDS
from evaluator.notation import import_score
from evaluator.take.midi_file import read_take
from evaluator.take.strike import Strike, strikes
from tests.bench.by_hand import quicker
from tests.bench.engraved import print_piece
from tests.bench.engraved_player import perform
from tests.bench.engraved_songs import compose
from tests.bench.students import FEW, HANDS, MANY, Faults, HandName, simulate
from tests.follow.rhythms import (
    RHYTHMS,
    TOGETHER,
    hands_apart,
    in_rhythm,
    second_section,
    single_notes,
)
from tests.follow.songs import FOUR, FREE, HEAD, LINES, OPEN, OR_LINE, PLAIN, SOLO, heard, song
from tests.playing import Performance, play

if compiled.kernel is None:
    pytest.skip("the kernel was not compiled", allow_module_level=True)

ROOT = Path(__file__).parents[2]
ONE_BAR = HEAD + "[Verse]\n| C |\n"
ONE_BEAT = "title: Blink\ntempo: 300\nmeter: 1/4\n\n[Verse]\n| C |\n"
RESTS = HEAD + "[Verse]\n| N.C. | N.C. | C | N.C. |\nor | F |\n| N.C. | F | G | N.C. |\n"
FOUR_PLAIN = "title: Plain\ntempo: 100\n\n[Verse]\n| C | Am | F | G |\n"
"""Without a pattern a song lies on the line once: four bars, 64 positions."""
EIGHT_PLAIN = FOUR_PLAIN + "| Em | F | Dm | A |\n"


def both(
    graph: BarGraph, taken: tuple[Strike, ...], *, costs: Costs | None = None, transposed: int = 0
) -> tuple[Follower, CompiledFollower]:
    """The take followed by either step."""
    grid = lay_out(graph)
    plain = Follower(grid, costs=costs, transposed=transposed)
    swift = CompiledFollower(grid, costs=costs, transposed=transposed)
    for strike in taken:
        plain.push(strike)
        swift.push(strike)
    return plain, swift


def assert_same(plain: Follower, swift: Follower) -> None:
    assert len(plain.steps) == len(swift.steps)
    for one, other in zip(plain.steps, swift.steps, strict=True):
        for name in ("position", "kind", "back"):
            np.testing.assert_array_equal(getattr(one, name), getattr(other, name))
        for name in ("cost", "beat_time", "ratio", "doubt", "amiss"):
            wanted, found = getattr(one, name), getattr(other, name)
            np.testing.assert_allclose(found, wanted, rtol=0, atol=1e-9)


def struck(*onsets: float, seed: int = 1) -> tuple[Strike, ...]:
    """A strike of any two notes at each time."""
    dice = np.random.default_rng(seed)
    found = []
    for number, onset in enumerate(onsets):
        low, high = (int(pitch) for pitch in np.sort(dice.choice(np.arange(30, 90), 2, False)))
        notes = (2 * number, 2 * number + 1)
        found.append(Strike(onset, onset, notes, (low, high), (60, 60), False))
    return tuple(found)


def test_the_kernel_is_what_follows() -> None:
    assert isinstance(follower(lay_out(song(FOUR))), CompiledFollower)


RECORDINGS = sorted((ROOT / "recordings").glob("*-student.mid"))
"""Those with mistakes, restarts among them; the others are the same songs without."""


@pytest.mark.parametrize("recording", RECORDINGS, ids=lambda path: path.stem)
def test_on_the_recordings(recording: Path) -> None:
    chart = ROOT / "charts" / f"{recording.name.partition('-')[0]}.txt"
    graph = read_chart(chart.read_text(encoding="utf-8"))
    taken = strikes(read_take(recording.read_bytes()))
    plain, swift = both(graph, taken)
    assert_same(plain, swift)
    assert trace(plain) == trace(swift)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("faults", [FEW, MANY], ids=["few faults", "many"])
def test_on_students(hand: HandName, faults: Faults) -> None:
    student = simulate(77, hand, faults=faults)
    taken = strikes(read_take(student.midi_bytes))
    assert_same(*both(student.graph, taken))


@pytest.mark.parametrize(
    "text",
    [ONE_BAR, ONE_BEAT, RESTS, EIGHT_PLAIN, FREE, OPEN, OR_LINE, FOUR + SOLO],
    ids=["one bar", "one beat", "rests", "no pattern", "free", "open", "or", "optional"],
)
def test_on_songs_of_every_form(text: str) -> None:
    graph = song(text)
    bars = [*graph.written, *graph.written[::-1]]
    assert_same(*both(graph, heard(play(graph, bars, jitter_ms=25, spread_ms=8, seed=3))))


@pytest.mark.parametrize("other", RHYTHMS.values(), ids=RHYTHMS)
def test_on_songs_in_another_rhythm(other: str) -> None:
    taken = heard(play(in_rhythm(other), jitter_ms=20, spread_ms=8, rolled=0.3, seed=3))
    plain, swift = both(song(LINES), taken)
    assert_same(plain, swift)
    assert trace(plain) == trace(swift)


def test_where_the_pattern_is_left_and_taken_up_again() -> None:
    take, _ = second_section(RHYTHMS["eighths"])
    assert_same(*both(song(LINES), heard(take)))


@pytest.mark.parametrize("apart", [0.06, 0.12, 0.2])
def test_on_hands_apart(apart: float) -> None:
    taken = heard(hands_apart(play(in_rhythm(TOGETHER), jitter_ms=10, seed=2), apart))
    plain, swift = both(song(LINES), taken)
    assert_same(plain, swift)
    assert (apart > APIECE) or any((step.kind == BESIDE).any() for step in swift.steps)


@pytest.mark.parametrize("name", ["trill", "trill, tied", "rolls in both", "turn"])
def test_on_written_ornaments(name: str) -> None:
    piece, style = compose(name, 1)
    graph = read_chart(import_score(print_piece(piece), name=name).text)
    performance, _ = perform(piece, style, 1)
    plain, swift = both(graph, heard(performance))
    assert_same(plain, swift)
    assert any((step.kind == BESIDE).any() for step in swift.steps)


@pytest.mark.parametrize("change", [0.6, 1.6])
def test_on_a_section_at_another_tempo(change: float) -> None:
    take, _ = second_section(tempo=change)
    assert_same(*both(song(LINES), heard(take)))


@pytest.mark.parametrize("text", [LINES, PLAIN], ids=["pattern", "no pattern"])
def test_on_a_hard_bar(text: str) -> None:
    take = quicker(0.5, first=8, last=9)(play(song(LINES), jitter_ms=10, seed=1), song(LINES))
    plain, swift = both(song(text), heard(take))
    assert_same(plain, swift)
    assert any((step.kind == SLOWER).any() for step in swift.steps)


@pytest.mark.parametrize("text", [LINES, PLAIN], ids=["pattern", "no pattern"])
def test_on_single_notes_before_the_song(text: str) -> None:
    take = play(song(LINES), jitter_ms=10, seed=1).later(14.0)
    notes = (*single_notes(1, 12.0), *take.notes)
    assert_same(*both(song(text), heard(Performance(notes, (), take.truth))))


def test_on_noodling_with_halts() -> None:
    dice = np.random.default_rng(5)
    onsets = np.cumsum(dice.exponential(0.3, 150) + (dice.random(150) < 0.1) * 4.0)
    assert_same(*both(song(LINES), struck(*onsets.tolist())))


def test_on_a_hundred_strikes_at_once() -> None:
    assert_same(*both(song(LINES), struck(*[1.0] * 100)))


def test_on_strikes_that_go_back_in_time() -> None:
    assert_same(*both(song(LINES), struck(5.0, 4.0, 6.0, 1.0, 1e6, 0.0)))


def test_in_another_key() -> None:
    graph = song(LINES)
    assert_same(*both(graph, heard(play(graph, seed=2)), transposed=3))


def test_at_other_prices() -> None:
    graph = song(LINES)
    dear = Costs(
        cells=20,
        cells_at_first=30,
        beam=9.0,
        echo_pattern=0.9,
        wrong=5.0,
        missed=0.7,
        pull=0.2,
        held_back=0.2,
        jump_pattern=2.0,
        restart=1.0,
    )
    bars = [*range(9), *range(4, 14), *range(8, 20)]
    taken = heard(play(graph, bars, jitter_ms=30, spread_ms=8, seed=4))
    assert_same(*both(graph, taken, costs=dear))


def test_no_strike_no_hypothesis() -> None:
    _, swift = both(song(FOUR), ())
    assert not swift.steps
    assert not trace(swift).bars


def test_what_a_follower_remembers_goes_with_it() -> None:
    """A take is followed in several keys and tempi, each time with hundreds of megabytes."""
    gc.disable()
    try:
        swift = both(song(FOUR), heard(play(song(FOUR))))[1]
        alive = weakref.ref(swift)
        del swift
        assert alive() is None
    finally:
        gc.enable()


def test_hypotheses_take_56_bytes() -> None:
    (step,) = both(song(FOUR), struck(1.0))[1].steps
    assert {getattr(step, name).strides for name in Cells._fields} == {(56,)}


def test_where_a_mistake_costs_next_to_nothing() -> None:
    """What is free is a legal way, in either step."""
    graph = song(LINES)
    cheap = Costs(beam=9.0, jump_pattern=2.0, restart=1.0, short=1.0, unhalted=1.0)
    bars = [*range(9), *range(4, 14), *range(8, 20)]
    taken = heard(play(graph, bars, jitter_ms=30, spread_ms=8, seed=4))
    assert_same(*both(graph, taken, costs=cheap))


# -- what a kernel refuses -----------------------------------------------------------------


def kernel(**changed: Any) -> Any:
    """A kernel of four bars, with some of its tables changed."""
    of = Follower(lay_out(song(FOUR_PLAIN)))
    assert compiled.kernel is not None
    numbers, tables = compiled.numbers(of), compiled.tables(of)
    for name, value in changed.items():
        (numbers if name in numbers else tables)[name] = value
    return compiled.kernel.Kernel(numbers, tables)


def bent(name: str, column: str, value: int) -> dict[str, NDArray[Any]]:
    """One of the tables with a number that is not so."""
    table = compiled.tables(Follower(lay_out(song(FOUR_PLAIN))))[name]
    table[column][-1] = value
    return {name: table}


@pytest.mark.parametrize(
    "changed",
    [
        {"x": np.zeros(3)},
        {"x": np.zeros(0)},
        {"x": np.zeros(64, np.float32)},
        {"near": np.zeros(0, np.int32)},
        {"ways_out": np.zeros((4, 3))},
        {"places": np.zeros(64)},
        {"cells": 0},
        {"cells": 40_000},
        bent("places", "bar", 4),
        bent("places", "bar", -1),
        bent("places", "harmony", -1),
        bent("places", "kind", -1),
        {"ahead": np.full((64, 4), 64, np.int32)},
        {"ahead": np.zeros(63, np.int32)},
        bent("bars", "first", 64),
        bent("bars", "entry", -1),
        bent("bars", "rest_after", 4),
        bent("starts", "position", 64),
    ],
    ids=str,
)
def test_tables_that_do_not_fit_are_refused(changed: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="kernel"):
        kernel(**changed)


def test_a_number_that_is_missing_is_named() -> None:
    of = Follower(lay_out(song(FOUR_PLAIN)))
    numbers = compiled.numbers(of)
    del numbers["apiece"]
    assert compiled.kernel is not None
    with pytest.raises(ValueError, match="apiece"):
        compiled.kernel.Kernel(numbers, compiled.tables(of))


@pytest.mark.parametrize(
    ("heard", "placed"),
    [
        (np.zeros(0), np.zeros(KINDS)),
        (np.zeros(100), np.zeros(1)),
        (np.zeros(200)[::2], np.zeros(KINDS)),
        (np.zeros(100, np.float32), np.zeros(KINDS)),
        (None, np.zeros(KINDS)),
    ],
    ids=["none", "few kinds", "strided", "small", "nothing"],
)
def test_gains_that_do_not_fit_are_refused(heard: Any, placed: Any) -> None:
    with pytest.raises((ValueError, TypeError, BufferError)):
        kernel().step(None, 1.0, 0.5, 0.0, 0.0, heard, placed)


@pytest.mark.parametrize("prices", [np.zeros(3), np.zeros(4, np.float32), None], ids=str)
def test_prices_that_do_not_fit_are_refused(prices: object) -> None:
    class Broken:
        def restarting(self, bar: int) -> object:
            return prices

    step, gains = (
        kernel().step,
        (0.5, 0.0, 0.0, np.zeros(100), np.zeros(KINDS), np.full(100, np.inf)),
    )
    step(Broken(), 0.0, *gains)
    with pytest.raises((ValueError, TypeError)):
        step(Broken(), 99.0, *gains)


def test_nothing_is_left_of_a_kernel() -> None:
    grid = lay_out(song(FOUR))

    def left_after(times: int) -> int:
        for _ in range(times):
            followed = CompiledFollower(grid)
            for strike in struck(1.0, 2.0, 9.0):
                followed.push(strike)
            with pytest.raises(ValueError, match="gains"):
                followed._kernel.step(None, 1.0, 0.5, 0.0, 0.0, *[np.zeros(1)] * 3)
            with pytest.raises(ValueError, match="kernel"):
                kernel(x=np.zeros(3))
        del followed
        gc.collect()
        return tracemalloc.get_traced_memory()[0]

    tracemalloc.start()
    try:
        settled = left_after(5)
        # What is not given back would be there twenty times; numpy keeps a few small blocks.
        assert left_after(20) - settled < 3 * TABLES
    finally:
        tracemalloc.stop()


TABLES = 4000
"""Bytes, fewer than those of one kernel's tables."""


@pytest.mark.parametrize(
    ("cells", "backs"),
    [
        (np.zeros(0, np.int16), []),
        (np.zeros(3), []),
        (np.arange(3, dtype=np.int16), [np.zeros(2, np.int16)]),
        (np.arange(1, dtype=np.int16), [np.zeros(1)]),
    ],
    ids=str,
)
def test_ancestors_that_do_not_exist_are_refused(cells: Any, backs: list[Any]) -> None:
    assert compiled.kernel is not None
    with pytest.raises(ValueError, match="type"):
        compiled.kernel.go_back(cells, backs)
