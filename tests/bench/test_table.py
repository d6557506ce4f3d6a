"""Is what became slower told from what only scatters? Our own rules, no source.

That the standard error of a median is 1.2533 that of a mean: any textbook, from memory.
"""

import random
from dataclasses import replace
from pathlib import Path
from statistics import NormalDist, pstdev

import pytest

from tests.bench.table import Row, beside, change, lines, read, row_of, write

ROW = Row("grade", "floor", 0.4, 0.2, 2.0, 0.01, most=2.5)


def test_a_busy_machine_leaves_the_ratio_as_it_is() -> None:
    pairs = [(0.4 * busy, 0.2 * busy) for busy in (1.0, 1.0, 3.0, 5.0, 1.2)]
    found = row_of("grade", pairs, reference="floor")
    assert found.ratio == pytest.approx(2.0)
    assert found.noise == pytest.approx(0.0)


def test_the_two_take_turns_and_the_first_turn_does_not_count() -> None:
    said: list[str] = []

    def run(name: str, *seconds: float) -> float:
        said.append(name)
        return seconds[min(said.count(name), len(seconds)) - 1]

    work = (lambda: run("ours", 9.0, 2.0), lambda: run("theirs", 1.0))
    assert beside("x", work, reference="y", turns=3).ratio == 2.0
    assert said == ["ours", "theirs"] * 4


def test_the_noise_is_that_of_the_median() -> None:
    chance = random.Random(1)
    draw = NormalDist(2.0, 0.1)

    def row() -> Row:
        shares = (draw.inv_cdf(chance.uniform(0.001, 0.999)) for _ in range(21))
        return row_of("x", [(share, 1.0) for share in shares], reference="y")

    rows = [row() for _ in range(400)]
    truth = pstdev(one.ratio for one in rows) / 2.0
    assert sum(one.noise for one in rows) / len(rows) == pytest.approx(truth, rel=0.15)


def test_of_one_turn_a_tenth_is_no_news() -> None:
    before = row_of("x", [(2.0, 1.0)], reference="y")
    assert not change(row_of("x", [(2.2, 1.0)], reference="y"), before)[1]


@pytest.mark.parametrize(
    ("ratio", "said", "slower"),
    [
        (2.08, "as before (2)", False),
        (2.2, "SLOWER by 10% (2)", True),
        (1.8, "faster by 10% (2)", False),
    ],
)
def test_only_what_is_beyond_the_noise_is_a_change(ratio: float, said: str, slower: bool) -> None:
    assert change(replace(ROW, ratio=ratio), ROW) == (said, slower)


def test_a_noisy_run_accuses_nobody() -> None:
    assert not change(replace(ROW, ratio=2.2, noise=0.05), ROW)[1]


def test_another_reference_is_another_row() -> None:
    assert change(ROW, replace(ROW, reference="another")) == ("new", False)
    assert change(ROW, None) == ("new", False)


def test_a_missed_aim_is_said() -> None:
    _, reached, missed = lines([ROW, replace(ROW, ratio=2.6)], None)
    assert "MISSED" not in reached
    assert "MISSED" in missed


def test_a_table_is_read_as_it_was_written(tmp_path: Path) -> None:
    write(tmp_path / "table.json", [ROW])
    assert read(tmp_path / "table.json") == {"grade": ROW}
