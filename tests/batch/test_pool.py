"""How is work done over the cores, whatever happens? Our own rules, no source."""

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from evaluator.batch.crew import Craft
from evaluator.batch.pool import Local, cores, workers_for
from evaluator.batch.workers import AHEAD
from tests.batch.crafts import (
    add,
    as_it_is,
    die_on_five,
    die_on_odd,
    die_once,
    lost,
    prepare,
    slow_first,
    who,
)


@pytest.mark.parametrize("workers", [1, 2, 3])
def test_answers_come_in_the_order_of_the_work_with_any_number_of_workers(workers: int) -> None:
    craft = Craft(prepare, slow_first, lost)
    done = list(Local(workers).in_order(craft, 10, range(12)))
    assert done == [(piece, piece + 11) for piece in range(12)]


def test_one_worker_is_this_very_process() -> None:
    assert set(Local(1).in_order(Craft(prepare, who, lost), 0, range(3))) == {os.getpid()}
    assert os.getpid() not in set(Local(2).in_order(Craft(prepare, who, lost), 0, range(3)))


def test_no_work_is_no_answer() -> None:
    assert list(Local(2).in_order(Craft(prepare, add, lost), 0, [])) == []


@pytest.mark.parametrize("count", [6, 7, 20])
def test_a_worker_that_dies_costs_only_its_own_piece(count: int) -> None:
    done = list(Local(2).in_order(Craft(prepare, die_on_five, lost), 0, range(count)))
    assert done == [(piece, -1 if piece == 5 else piece + 1) for piece in range(count)]


def test_several_that_kill_their_workers_cost_no_others() -> None:
    done = list(Local(2).in_order(Craft(prepare, die_on_odd, lost), 0, range(6)))
    assert done == [(piece, -1 if piece % 2 else piece + 1) for piece in range(6)]


def test_who_died_by_chance_is_done_again(tmp_path: Path) -> None:
    craft = Craft(as_it_is, die_once, lost)
    done = list(Local(2).in_order(craft, str(tmp_path / "died"), range(4)))
    assert [piece for piece, _ in done] == [0, 1, 2, 3]
    assert all(worker != -1 for _, worker in done)


def test_work_is_taken_up_only_a_window_ahead() -> None:
    taken: list[int] = []

    def pieces() -> Iterator[int]:
        for piece in range(100):
            taken.append(piece)
            yield piece

    answers = Local(2).in_order(Craft(prepare, add, lost), 0, pieces())
    for count in range(1, 20):
        next(answers)
        assert len(taken) <= count + 2 * AHEAD
    answers.close()


def test_a_few_files_are_graded_without_workers_unless_asked() -> None:
    assert workers_for(19, None) == 1
    assert workers_for(20, None) == cores()
    assert workers_for(300, 3) == 3
    assert workers_for(2, 8) == 2
    assert workers_for(0, None) == 1
    assert workers_for(1000, 500) == 61


INTERRUPTED = """\
import os, signal
from evaluator.batch.crew import Craft
from evaluator.batch.pool import Local
from tests.batch.crafts import lost, prepare, slow_first

if __name__ == "__main__":
    answers = Local(2).in_order(Craft(prepare, slow_first, lost), 0, range(10_000))
    next(answers)
    os.killpg(0, signal.SIGINT)
    for answer in answers:
        pass
"""


@pytest.mark.skipif(not hasattr(os, "killpg"), reason="process groups are a Unix matter")
def test_an_interrupt_from_the_keyboard_is_told_once(tmp_path: Path) -> None:
    script = tmp_path / "interrupted.py"
    script.write_text(INTERRUPTED)
    root = Path(__file__).resolve().parents[2]
    done = subprocess.run(
        [sys.executable, str(script)],
        env={**os.environ, "PYTHONPATH": str(root)},
        capture_output=True,
        text=True,
        start_new_session=True,
        timeout=60,
        check=False,
    )
    assert done.stderr.count("KeyboardInterrupt\n") == 1, done.stderr
    assert "Process " not in done.stderr
