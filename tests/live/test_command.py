"""The command as a person gives it, from a chart to a report, with whatever may happen."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from evaluator.cli.which_piano import port_name
from evaluator.errors import UsageError
from evaluator.live.names import PortName
from evaluator.take.gaps import gaps_in
from evaluator.take.midi_file import read_take
from tests.cli.commands import CHART, UNCOMPILED, evaluator, program, refused, take
from tests.live.jack import wait_until
from tests.playing import WrongBass, WrongChord

FAKE = str(Path(__file__).parent / "fake")
QUICK = ("--speed", "25")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "row.txt").write_text(CHART, encoding="utf-8")
    (tmp_path / "monday.mid").write_bytes(take(WrongBass(2, "A"), WrongChord(6, "Gm")))
    return tmp_path


def started(folder: Path, *words: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "evaluator", "listen", "row.txt", *words],
        cwd=folder,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )


def journal_with(folder: Path, lines: int) -> Path:
    """The journal that is being written, once it has so many lines."""
    found: list[Path] = []

    def there() -> bool:
        found[:] = (folder / "recordings").glob("*.journal")
        return bool(found) and found[0].read_bytes().count(b"\n") > lines

    wait_until(there, "no journal")
    return found[0]


def saved(folder: Path) -> Path:
    (path,) = (folder / "recordings").glob("*.mid")
    return path


def test_a_replay_is_followed_saved_and_reported(folder: Path) -> None:
    done = evaluator(folder, "listen", "row.txt", "--replay", "monday.mid", *QUICK, "--plain")
    assert (done.returncode, done.stderr) == (0, "")
    told, _, report = done.stdout.partition("The take is saved: ")
    assert "bar 2, Verse: bass A instead of C#" in told
    assert "bar 6, Verse: Gm instead of A/C#" in told
    assert "That was the end." in told
    name, _, report = report.partition("\n\n")
    assert name.endswith("_row.mid")
    # The very report that `grade` gives on the saved file.
    assert report == evaluator(folder, "grade", "row.txt", name, "--plain").stdout
    assert [path.suffix for path in (folder / "recordings").iterdir()] == [".mid"]


def test_a_channel_that_is_asked_for_alone_is_judged(folder: Path) -> None:
    words = ("listen", "row.txt", "--replay", "monday.mid", *QUICK, "--plain")
    done = evaluator(folder, *words, "--channel", "1")
    assert "bar 2, Verse: bass A instead of C#" in done.stdout
    other = evaluator(folder, *words, "--channel", "2")
    assert "Nothing is on channel 2; the notes are on channel 1." in refused(other, 1)


def test_the_saved_take_is_what_was_played(folder: Path) -> None:
    evaluator(folder, "listen", "row.txt", "--replay", "monday.mid", *QUICK, "--save", "here")
    (path,) = (folder / "here").glob("*.mid")
    before, after = (
        read_take(take(WrongBass(2, "A"), WrongChord(6, "Gm"))),
        read_take(path.read_bytes()),
    )
    assert after.pitches.tolist() == before.pitches.tolist()
    onsets = before.onsets - before.onsets[0]
    assert after.onsets.tolist() == pytest.approx(onsets.tolist(), abs=0.002)


def test_a_count_in_comes_before_a_replay(folder: Path) -> None:
    words = ("--replay", "monday.mid", *QUICK, "--plain", "--count-in", "1")
    done = evaluator(folder, "listen", "row.txt", *words)
    assert done.stdout.index("Counting in") < done.stdout.index("bar 1, Verse")
    assert "bar 16, Chorus: right" in done.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent otherwise there")
def test_control_c_ends_a_take_in_good_order(folder: Path) -> None:
    running = started(folder, "--replay", "monday.mid", "--speed", "5", "--plain")
    journal_with(folder, 40)
    running.send_signal(signal.SIGINT)
    out, err = running.communicate(timeout=60)
    assert (running.returncode, err) == (0, "")
    assert "The take stops in Verse" in out
    assert len(read_take(saved(folder).read_bytes())) >= 15


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent otherwise there")
def test_a_closed_window_saves_the_take(folder: Path) -> None:
    running = started(folder, "--replay", "monday.mid", "--speed", "5", "--plain")
    journal_with(folder, 40)
    running.send_signal(signal.SIGHUP)
    out, _ = running.communicate(timeout=60)
    assert running.returncode == 0
    assert out.strip().endswith("_row.mid")
    assert len(read_take(saved(folder).read_bytes())) >= 15


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent otherwise there")
def test_a_killed_take_can_be_graded_and_is_saved_at_the_next_start(folder: Path) -> None:
    running = started(folder, "--replay", "monday.mid", "--speed", "5", "--plain")
    journal = journal_with(folder, 60)
    os.killpg(running.pid, signal.SIGKILL)
    running.communicate(timeout=60)
    rows = journal.read_bytes().count(b" 903") + journal.read_bytes().count(b" 904")
    assert rows > 10
    graded = evaluator(folder, "grade", "row.txt", str(journal), "--plain")
    assert graded.returncode == 0
    assert "The take stops in Verse" in graded.stdout
    again = evaluator(folder, "listen", "row.txt", "--replay", "monday.mid", *QUICK, "--plain")
    assert again.stdout.startswith("An unfinished take was found; it is saved now: ")
    assert not journal.exists()
    assert len(list((folder / "recordings").glob("*.mid"))) == 2


@pytest.mark.skipif(sys.platform != "linux", reason="finds the recorder in /proc")
def test_a_recorder_that_is_killed_is_started_again(folder: Path) -> None:
    """A replay begins again from its beginning, as a piano would not."""
    running = started(folder, "--replay", "monday.mid", "--speed", "5", "--plain")
    journal = journal_with(folder, 30)
    children = Path(f"/proc/{running.pid}/task/{running.pid}/children").read_text().split()
    os.kill(int(children[0]), signal.SIGKILL)
    wait_until(lambda: journal.read_bytes().count(b"\nopen") == 2, "not started again")
    time.sleep(1)
    running.send_signal(signal.SIGINT)
    running.communicate(timeout=60)
    assert len(gaps_in(saved(folder).read_bytes())) == 1


@pytest.mark.skipif(sys.platform == "win32", reason="limits are set otherwise there")
def test_a_full_disk_ends_the_take_and_keeps_what_there_is(folder: Path) -> None:
    """No file may grow beyond 2,000 bytes, which stands for a disk that is full."""
    limit = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))"
    code = f"{limit}; from evaluator.cli.main import main; raise SystemExit(main())"
    words = ["listen", "row.txt", "--replay", "monday.mid", *QUICK, "--plain", "--no-history"]
    done = subprocess.run(
        [sys.executable, "-c", code, *words],
        cwd=folder,
        env={**os.environ, **UNCOMPILED},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 1
    assert "Nothing more can be recorded: " in done.stderr
    assert "Traceback" not in done.stderr
    assert "The take stops in Verse" in done.stdout
    assert len(read_take(saved(folder).read_bytes())) > 10


FAILING = """
import evaluator.judge.judgement as judgement
from evaluator.cli.main import main
whole = judgement.judge_form
def judge_form(graph, path, **given):
    if len(path.bars) >= 10:
        raise IndexError("list index out of range")
    return whole(graph, path, **given)
judgement.judge_form = judge_form
raise SystemExit(main())
"""


def test_a_fault_of_the_program_costs_neither_marks_nor_report_nor_take(folder: Path) -> None:
    words = ["listen", "row.txt", "--replay", "monday.mid", *QUICK, "--plain", "--no-history"]
    done = subprocess.run(
        [sys.executable, "-c", FAILING, *words],
        cwd=folder,
        capture_output=True,
        encoding="utf-8",
        timeout=60,
        check=False,
    )
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    assert "bar 16, Chorus: right" in done.stdout  # the marks went on
    assert "The take stops in " in done.stdout
    assert "please report it. The take is kept. This is the report on its first" in done.stderr
    assert len(read_take(saved(folder).read_bytes())) == len(read_take(take()))


def test_what_lies_in_the_folder_of_the_takes_is_not_touched(folder: Path) -> None:
    takes = folder / "recordings"
    takes.mkdir()
    row = "m 5.000000 0.000000 903c40"
    journal = f"evaluator journal 1 {{}}\nopen 4.000000 P\n{row}\n".encode()
    mine = {
        "Anna.mid": b"my own take",
        "Anna.log": b"my notes",
        "other.journal": b"dear diary\r\n",
        "empty.journal": b"",
    }
    for name, content in mine.items():
        (takes / name).write_bytes(content)
    (takes / "Anna.journal").write_bytes(journal)
    (takes / "crlf.journal").write_bytes(journal.replace(b"\n", b"\r\n"))
    (takes / "odd.journal").write_bytes(b"evaluator journal 1 {}\nwhat is this\n")
    os.mkfifo(takes / "pipe.journal")
    words = ("--replay", "monday.mid", *QUICK, "--plain", "--no-history")
    done = evaluator(folder, "listen", "row.txt", *words)
    assert done.returncode == 0
    assert {name: (takes / name).read_bytes() for name in mine} == mine
    assert "it is saved now: recordings/Anna-2.mid (one note)." in done.stdout
    assert "it is saved now: recordings/crlf.mid (one note)." in done.stdout
    assert "the journal is kept: recordings/odd.journal.unreadable." in done.stderr
    assert (takes / "odd.journal.unreadable").read_bytes().endswith(b"what is this\n")


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent otherwise there")
def test_a_take_is_saved_at_control_c_however_much_is_still_to_be_followed(folder: Path) -> None:
    """Here the program stands still in the judging; only the second Ctrl-C breaks off."""
    code = FAILING.replace("judgement.judge_form = judge_form", STANDING_STILL)
    words = ["listen", "row.txt", "--replay", "monday.mid", "--speed", "5", "--plain"]
    running = subprocess.Popen(
        [sys.executable, "-c", code, *words],
        cwd=folder,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    )
    journal_with(folder, 60)
    running.send_signal(signal.SIGINT)
    wait_until(lambda: bool(list((folder / "recordings").glob("*.mid"))), "not saved")
    assert running.poll() is None
    running.send_signal(signal.SIGINT)
    running.communicate(timeout=60)
    assert len(read_take(saved(folder).read_bytes())) >= 15


STANDING_STILL = """
import time
def judge_form(graph, path, **given):
    while True:
        time.sleep(0.1)
judgement.judge_form = judge_form
import evaluator.live.following as following
following.judge_form = judge_form
"""


@pytest.mark.skipif(sys.platform == "win32", reason="a program cannot be stopped there")
def test_two_programs_do_not_take_each_others_takes_for_left_behind(folder: Path) -> None:
    """The one stands still while the other runs from beginning to end, however long that takes."""
    running = started(folder, "--replay", "monday.mid", "--plain")
    journal = journal_with(folder, 10)
    os.killpg(running.pid, signal.SIGSTOP)
    try:
        words = ("listen", "row.txt", "--replay", "monday.mid", *QUICK, "--plain")
        other = evaluator(folder, *words)
        assert "unfinished take" not in other.stdout
        assert (other.returncode, journal.exists()) == (0, True)
    finally:
        os.killpg(running.pid, signal.SIGKILL)
    running.communicate()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--speed", "2"), "--speed works only with --replay"),
        (("--count-in", "9"), "is not a number of bars to count in; give 0 to 8"),
        (("--tempo", "7"), "is not a tempo; give a number from 20 to 400"),
        (
            ("--replay", "monday.mid", "--speed", "nan"),
            "is not a speed; give a number from 0.1 to 100",
        ),
    ],
)
def test_wrong_words_are_told(folder: Path, words: tuple[str, ...], said: str) -> None:
    assert said in refused(evaluator(folder, "listen", "row.txt", *words), 2)


def test_what_cannot_be_read_is_told_before_anything_is_played(folder: Path) -> None:
    assert "no chart" in refused(evaluator(folder, "listen", "rwo.txt"), 1)
    words = ("listen", "row.txt", "--replay", "row.txt")
    assert "not a MIDI file" in refused(evaluator(folder, *words), 1)
    (folder / "file").write_text("x")
    words = ("listen", "row.txt", "--replay", "monday.mid", "--save", "file")
    assert "Give another --save" in refused(evaluator(folder, *words), 1)


def test_without_the_library_it_says_how_to_get_it(folder: Path) -> None:
    (folder / "rtmidi.py").write_text("raise ImportError")
    done = program(folder, "ports", PYTHONPATH=str(folder))
    assert "pip install python-rtmidi" in refused(done, 2)


def test_ports_are_listed(folder: Path) -> None:
    ports = "Midi Through Port-0 14:0;Grand 20:0"
    done = program(folder, "ports", PYTHONPATH=FAKE, FAKE_PORTS=ports, HOME=str(folder))
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines() == [
        "Grand 20:0 (JACK)",
        "Midi Through Port-0 14:0 (JACK), no piano",
    ]


def test_no_port_says_what_to_check(folder: Path) -> None:
    done = program(folder, "ports", PYTHONPATH=FAKE, HOME=str(folder))
    assert "switched on" in done.stdout
    assert "no other program is holding it" in done.stdout


def test_several_pianos_and_nobody_to_ask(folder: Path) -> None:
    done = program(
        folder, "listen", "row.txt", PYTHONPATH=FAKE, FAKE_PORTS="A 1;B 2", HOME=str(folder)
    )
    assert "Say which with --port" in refused(done, 2)


class Asked:
    """What the question is answered with, and what ports there are."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
        from evaluator.live import port

        self.ports: list[PortName] = []
        self.answers: list[str] = []
        monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
        monkeypatch.setattr(port, "inputs", lambda: self.ports)
        monkeypatch.setattr("builtins.input", lambda _: self.answers.pop(0))
        monkeypatch.setattr("sys.stdin", self)

    def isatty(self) -> bool:
        return True


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Asked:
    return Asked(monkeypatch, tmp_path)


def named(*names: str) -> list[PortName]:
    return [PortName("ALSA", name) for name in names]


def test_one_piano_is_used_unasked(asked: Asked) -> None:
    asked.ports = named("Midi Through:Midi Through Port-0 14:0", "Grand 20:0")
    assert port_name(None) == "Grand 20:0"


@pytest.mark.skipif(sys.platform in ("win32", "darwin"), reason="remembers elsewhere there")
def test_of_several_the_one_chosen_is_remembered(asked: Asked) -> None:
    asked.ports = named("Grand 20:0", "Upright 24:0")
    asked.answers = ["3", "upright", "2"]
    assert port_name(None) == "Upright 24:0"
    asked.ports = named("Upright 28:0", "Grand 20:0")
    assert port_name(None) == "Upright 28:0"  # under another number, and unasked


def test_two_pianos_of_one_name_are_asked_for_each_time(asked: Asked) -> None:
    asked.ports = named("Grand 20:0", "Grand 24:0")
    asked.answers = ["1", "2"]
    assert port_name(None) == "Grand 20:0"
    assert port_name(None) == "Grand 24:0"


def test_a_port_is_chosen_by_a_part_of_its_name(asked: Asked) -> None:
    asked.ports = named("Grand 20:0", "Upright 24:0")
    assert port_name("upri") == "Upright 24:0"


def test_it_waits_for_a_piano_to_be_plugged_in(
    asked: Asked, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def plug_in(_: float) -> None:
        asked.ports = named("Grand 20:0")

    monkeypatch.setattr(time, "sleep", plug_in)
    assert port_name(None) == "Grand 20:0"
    told = capsys.readouterr().out
    assert "cable" in told
    assert "Waiting for it" in told


def test_nobody_answers(asked: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    def end(_: str) -> str:
        raise EOFError

    monkeypatch.setattr("builtins.input", end)
    asked.ports = named("Grand 20:0", "Upright 24:0")
    with pytest.raises(UsageError, match="--port"):
        port_name(None)
