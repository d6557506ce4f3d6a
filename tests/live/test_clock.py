"""When was a key struck? The faults of drivers are those told of in the projects' own
threads: a first delta of 0 (python-rtmidi#83), one delta for a whole packet
(python-rtmidi#204), deltas cut short by messages left out, clocks that drift."""

import sys
from collections.abc import Callable
from types import FrameType
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluator.live.clock import BEHIND, LASTING, Stamper, sped_up


def stamped(rows: list[tuple[float, float]]) -> list[float]:
    stamper = Stamper()
    return [stamper.stamp(delta, host) for delta, host in rows]


def test_the_first_message_came_when_it_was_fetched() -> None:
    assert stamped([(0.0, 100.0)]) == [100.0]
    assert stamped([(7.5, 100.0)]) == [100.0]


def test_a_program_that_was_busy_does_not_make_the_player_late() -> None:
    """Four notes half a second apart, all fetched 0.3 s late but the first."""
    rows = [(0.0, 10.0), (0.5, 10.8), (0.5, 11.3), (0.5, 11.8)]
    assert stamped(rows) == pytest.approx([10.0, 10.5, 11.0, 11.5])


def test_a_packet_whose_delta_is_told_for_each_of_its_notes_counts_it_once() -> None:
    """A chord of four after a second of rest, each note with the delta of the packet."""
    rows = [(0.0, 10.0)] + [(1.0, 11.001)] * 4
    assert stamped(rows) == pytest.approx([10.0, 11.0, 11.001, 11.001, 11.001], abs=1e-9)


def test_a_wrong_long_delta_does_not_carry_on() -> None:
    rows = [(0.0, 10.0), (60.0, 10.5), (0.5, 11.0)]
    assert stamped(rows) == [10.0, 10.5, 11.0]


def test_deltas_that_are_too_short_are_caught_up_with_within_two_seconds() -> None:
    """After a rest of which the driver told nothing, times move up to the host's."""
    rows = [(0.0, 10.0), (0.05, 12.05), *((0.1, 12.15 + 0.1 * n) for n in range(40))]
    late = [host - time for (_, host), time in zip(rows, stamped(rows), strict=True)]
    assert late[1] == pytest.approx(2.0)
    assert late[-1] == pytest.approx(0.0, abs=1e-6)
    assert sum(one > 0.020 for one in late) <= 22


def test_a_busy_program_is_not_taken_for_short_deltas() -> None:
    """Messages every 0.1 s, most fetched late, but one a second in time: no move."""
    rows = [(0.1, 10.0 + 0.1 * n + (0.08 if n % 10 else 0.0)) for n in range(100)]
    times = np.array(stamped(rows))
    assert np.allclose(np.diff(times), 0.1)


def test_a_clock_that_drifts_is_followed() -> None:
    """The driver's clock is slow by a tenth of a percent: 3.6 s in an hour."""
    rows = [(0.999 * 0.5, 0.5 * n) for n in range(7200)]
    late = [host - time for (_, host), time in zip(rows, stamped(rows), strict=True)]
    assert max(late) < 0.025


def test_times_never_go_back() -> None:
    dice = np.random.default_rng(3)
    hosts = np.cumsum(dice.exponential(0.1, 2000))
    rows = list(zip(dice.exponential(0.1, 2000).tolist(), hosts.tolist(), strict=True))
    times = np.array(stamped(rows))
    assert (np.diff(times) >= 0).all()
    assert (times <= hosts).all()


def test_a_new_connection_begins_with_the_host() -> None:
    stamper = Stamper()
    stamper.stamp(0.0, 10.0)
    stamper.begin_anew()
    assert stamper.stamp(3.0, 20.0) == 20.0


def test_a_clock_can_run_faster() -> None:
    now = [100.0]
    clock = sped_up(4.0, 100.0, lambda: now[0])
    assert clock() == 100.0
    now[0] = 102.0
    assert clock() == 108.0


def test_a_flood_costs_no_more_a_message_than_a_trickle() -> None:
    """Thirty thousand messages within a minute; counted in lines that are run, not in time."""
    few, many = (_lines_run(rate) / rate for rate in (100, 5000))
    assert many < 1.5 * few


def _lines_run(rate: int) -> int:
    rows = [(0.9 / rate, 10.0 + n / rate) for n in range(6 * rate)]
    lines = 0

    def count(frame: FrameType, event: str, _: object) -> Callable[..., Any]:
        nonlocal lines
        lines += event == "line"
        return count

    before = sys.gettrace()
    sys.settrace(count)
    try:
        stamped(rows)
    finally:
        sys.settrace(before)
    return lines


@given(st.lists(st.tuples(st.floats(0.0, 0.6), st.floats(0.0, 0.4)), max_size=60))
def test_the_least_of_the_last_two_seconds_is_kept_rightly(gaps: list[tuple[float, float]]) -> None:
    """Against the rule as it is written, gone through anew for every message."""
    host, rows = 10.0, []
    for delta, gap in gaps:
        host += gap
        rows.append((delta, host))
    assert stamped(rows) == plainly(rows)


def plainly(rows: list[tuple[float, float]]) -> list[float]:
    times: list[float] = []
    late: list[tuple[float, float]] = []
    for delta, host in rows:
        time = min(host, times[-1] + delta) if times else host
        if times:
            late.append((host, host - time))
            while len(late) > 1 and host - late[1][0] >= LASTING:
                del late[0]
            least = min(one for _, one in late)
            if host - late[0][0] >= LASTING and least > BEHIND:
                time, late = time + least, []
        times.append(time)
    return times
