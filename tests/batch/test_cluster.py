"""A class on the workers of a real Dask scheduler, all on loopback. Own rules; what Dask
promises about workers that die is its documentation's page on killed tasks."""

import csv
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.util import find_spec
from pathlib import Path
from unittest import mock

import pytest

from evaluator.batch import cluster as cluster_module
from evaluator.batch.class_run import ClassSetting, HandedIn, grade_class
from evaluator.batch.cluster import AHEAD, Cluster, ClusterError
from evaluator.batch.crew import Craft
from evaluator.judge.rubric import STEADY
from tests.batch.crafts import add, die_on_five, fails, lost, prepare, slow
from tests.batch.dask_cluster import ROOT, SECONDS, Running, children, cluster, end, wait_until
from tests.cli.commands import CHART, evaluator, program, refused, take
from tests.playing import WrongBass

pytestmark = [
    pytest.mark.skipif(not find_spec("distributed"), reason="distributed is not installed"),
    pytest.mark.skipif(not Path("/proc/self/task").is_dir(), reason="workers are found in /proc"),
]


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    with cluster(tmp_path_factory.mktemp("cluster")) as found:
        yield found


def test_answers_come_in_the_order_of_the_work(running: Running) -> None:
    done = Cluster(running.address).in_order(Craft(prepare, add, lost), 10, range(60))
    assert list(done) == [(piece, piece + 11) for piece in range(60)]


def test_a_cluster_says_what_this_process_says(running: Running) -> None:
    setting = ClassSetting(CHART, "row.txt", STEADY, documents=True)
    files = [
        HandedIn("Anna", "a.mid", take(WrongBass(2, "A"))),
        HandedIn("Ben", "b.mid", b"no music"),
        HandedIn("Carl", "c.mid", b"", problem="c.mid could not be read."),
        HandedIn("Dora", "d.mid", take()),
    ]
    assert list(grade_class(setting, files, Cluster(running.address))) == list(
        grade_class(setting, files)
    )


def test_the_one_that_kills_its_workers_is_found_and_no_other(running: Running) -> None:
    done = Cluster(running.address).in_order(Craft(prepare, die_on_five, lost), 0, range(16))
    assert list(done) == [(piece, -1 if piece == 5 else piece + 1) for piece in range(16)]


def test_what_a_killed_worker_had_is_done_again(running: Running) -> None:
    wait_until(lambda: len(running.worker_pids()) == 2)
    answers = Cluster(running.address).in_order(Craft(prepare, slow, lost), 0, range(40))
    first = next(answers)
    os.kill(running.worker_pids()[0], signal.SIGKILL)
    assert [first, *answers] == [(piece, piece + 1) for piece in range(40)]


def test_work_is_taken_up_only_a_window_ahead(running: Running) -> None:
    wait_until(lambda: len(running.worker_pids()) == 2)
    taken: list[int] = []

    def pieces() -> Iterator[int]:
        for piece in range(200):
            taken.append(piece)
            yield piece

    answers = Cluster(running.address).in_order(Craft(prepare, add, lost), 0, pieces())
    for count in range(1, 40):
        next(answers)
        # What is with the scheduler, and the answers that came together with this one.
        assert len(taken) <= count + 2 * 2 * AHEAD
    answers.close()


def test_nobody_at_the_address_is_told_in_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster_module, "CONNECT_SECONDS", 0.5)
    for address in ("127.0.0.1:1", "no address at all"):
        with pytest.raises(ClusterError, match=f"No Dask scheduler answers at {address}"):
            list(Cluster(address).in_order(Craft(prepare, add, lost), 0, range(3)))


def test_another_program_on_the_workers_is_refused(
    running: Running, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cluster_module, "fingerprint", lambda: "newer")
    with pytest.raises(ClusterError, match="another version of this program, or none"):
        list(Cluster(running.address).in_order(Craft(prepare, add, lost), 0, range(3)))


def test_another_dask_at_the_scheduler_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    import distributed

    def refuses(*words: object, **options: object) -> None:
        raise ImportError("Mismatched versions found")

    monkeypatch.setattr(distributed, "Client", refuses)
    with pytest.raises(ClusterError, match="runs another version of Dask; install the same"):
        list(Cluster("there:8786").in_order(Craft(prepare, add, lost), 0, range(3)))


def test_a_library_that_was_not_ready_is_asked_again(
    running: Running, monkeypatch: pytest.MonkeyPatch
) -> None:
    import distributed

    client, asked = distributed.Client, []

    def busy(*words: object, **options: object) -> object:
        asked.append(words)
        assert len(asked) > ready_at
        return client(*words, **options)

    monkeypatch.setattr(distributed, "Client", busy)
    ready_at = 1
    done = Cluster(running.address).in_order(Craft(prepare, add, lost), 0, range(3))
    assert [piece for piece, _ in done] == [0, 1, 2]
    ready_at = 99
    with pytest.raises(ClusterError, match="too busy"):
        list(Cluster(running.address).in_order(Craft(prepare, add, lost), 0, range(3)))


def test_a_fault_in_a_worker_is_told_and_not_waited_for(running: Running) -> None:
    with pytest.raises(ClusterError, match="A worker of the cluster failed: no such piece"):
        list(Cluster(running.address).in_order(Craft(prepare, fails, lost), 0, range(3)))


def test_no_worker_at_all_is_not_waited_for_for_ever(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cluster_module, "NO_WORKER_SECONDS", 0.2)
    monkeypatch.setattr(cluster_module, "LOOK_SECONDS", 0.1)
    with cluster(tmp_path, workers=0) as empty, pytest.raises(ClusterError, match="no worker"):
        list(Cluster(empty.address).in_order(Craft(prepare, add, lost), 0, range(3)))


LAST = "takes/T - last.mid"


@contextmanager
def endless(folder: Path) -> Iterator[None]:
    """One more take, whose file comes to its end only now: no run is over before it is stopped,
    however seldom this process has its turn."""
    last = folder / LAST
    os.mkfifo(last)
    writing = os.open(last, os.O_RDWR)  # this way nobody waits for anybody
    try:
        yield
    finally:
        os.close(writing)
        last.unlink()
        last.write_bytes(take(WrongBass(3, "A")))


def many_takes(folder: Path, count: int) -> list[str]:
    """A folder with so many takes of the chart, and their names."""
    (folder / "row.txt").write_text(CHART, encoding="utf-8")
    (folder / "takes").mkdir()
    contents = [take(WrongBass(2, "A")), take(), take(WrongBass(6, "A"))]
    names = [f"takes/S{number:03} - x.mid" for number in range(count)]
    for number, name in enumerate(names):
        (folder / name).write_bytes(contents[number % len(contents)])
    return names


def rows(folder: Path) -> list[dict[str, str]]:
    with (folder / "class.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


WORDS = ("grade", "row.txt", "takes", LAST, "--csv", "class.csv")


def started(folder: Path, *words: str) -> "subprocess.Popen[bytes]":
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "EVALUATOR_HISTORY": f"{folder}-history"}
    command = [sys.executable, "-m", "evaluator", *words]
    quiet = subprocess.DEVNULL
    return subprocess.Popen(command, cwd=folder, env=environment, stdout=quiet, stderr=quiet)


def lines(folder: Path) -> int:
    """Outcomes that a run has put down."""
    journal = folder / "class.csv.unfinished"
    return journal.read_bytes().count(b"\n") - 1 if journal.exists() else 0


@pytest.mark.parametrize("where", ["cluster", "local"])
def test_a_client_that_is_killed_goes_on_where_it_stopped(
    running: Running, tmp_path: Path, where: str
) -> None:
    names = [*many_takes(tmp_path, 40), LAST]
    crew = ("--cluster", running.address) if where == "cluster" else ("--jobs", "2")
    with endless(tmp_path):
        client = started(tmp_path, *WORDS, *crew)
        wait_until(lambda: lines(tmp_path) >= 5)
        workers = children(client.pid)
        os.kill(client.pid, signal.SIGKILL)
        client.wait(timeout=SECONDS)
    # Nobody is left behind who waits for work.
    wait_until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in workers))
    assert lines(tmp_path) >= 5
    done = program(tmp_path, *WORDS, *crew)
    assert done.returncode == 0, done.stderr
    assert "Resuming an interrupted run." in done.stderr
    assert [row["file"] for row in rows(tmp_path)] == names
    assert not (tmp_path / "class.csv.unfinished").exists()
    kept = evaluator(tmp_path, "history", "row.txt", "--csv", "-").stdout
    assert len(kept.splitlines()) == 1 + len(names)


def test_commands_that_cannot_be_carried_out_end_with_a_sentence(tmp_path: Path) -> None:
    many_takes(tmp_path, 2)
    (tmp_path / LAST).write_bytes(take())
    said = refused(program(tmp_path, *WORDS, "--cluster", "127.0.0.1:1"), 1)
    assert said == (
        "evaluator: No Dask scheduler answers at 127.0.0.1:1. Start one with `dask "
        "scheduler`; it prints its address.\n"
    )
    both = evaluator(tmp_path, *WORDS, "--cluster", "127.0.0.1:1", "--jobs", "2")
    assert "not allowed with" in refused(both, 2)
    with mock.patch.object(cluster_module, "find_spec", return_value=None):
        lacking = evaluator(tmp_path, *WORDS, "--cluster", "127.0.0.1:1")
    assert "pip install distributed" in refused(lacking, 2)


def test_a_scheduler_that_is_lost_is_told_and_what_is_done_is_kept(
    running: Running, tmp_path: Path
) -> None:
    """The last of these tests: afterwards the others have no scheduler."""
    names = [*many_takes(tmp_path, 40), LAST]
    with endless(tmp_path):
        client = subprocess.Popen(
            [sys.executable, "-m", "evaluator", *WORDS, "--cluster", running.address],
            cwd=tmp_path,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        wait_until(lambda: lines(tmp_path) >= 5)
        assert running.scheduler is not None
        end(running.scheduler)
        told, said = client.communicate(timeout=SECONDS)
    assert client.returncode == 1
    assert told == ""
    assert len(said.splitlines()) == 1, said
    assert f"The scheduler at {running.address} stopped answering during the work." in said
    assert "takes are graded and kept; run the same command again to go on from there." in said
    assert not (tmp_path / "class.csv").exists()
    done = program(tmp_path, *WORDS)
    assert done.returncode == 0
    assert [row["file"] for row in rows(tmp_path)] == names
