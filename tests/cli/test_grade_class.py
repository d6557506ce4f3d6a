"""`evaluator grade` over a folder, run as a person runs it. Own rules, no source."""

import csv
import io
import json
import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from math import prod
from pathlib import Path

import pytest

from evaluator.chart import read_chart
from evaluator.cli.folders import find_takes
from tests.cli.commands import CHART, evaluator, refused, take
from tests.live.jack import wait_until
from tests.playing import WrongBass, WrongChord, play, to_midi

OTHER_SONG = """\
title: Something Else
key: Eb minor
meter: 3/4
tempo: 70

pattern waltz
  left  | x . . |
  right | . x x |

[Verse]
| Ebm | Abm | Bb7 | Ebm |
| Abm | Ebm | Bb7 | Ebm |
"""


@cache
def other_song() -> bytes:
    return to_midi(play(read_chart(OTHER_SONG)))


@pytest.fixture
def school(folder: Path, student_bytes: bytes) -> Iterator[Path]:
    """A folder as it comes back from thirty homes."""
    takes = folder / "takes"
    (takes / "late").mkdir(parents=True)
    (takes / ".hidden").mkdir()
    files = {
        "Anna - one.mid": student_bytes,
        "Anna - two.mid": take(),
        "Ben - copied.mid": student_bytes,
        "Carl - cut.mid": student_bytes[: len(student_bytes) // 2],
        "Dora - empty.mid": b"",
        "Edda - other.mid": other_song(),
        "Finn - text.mid": b"I could not export it, sorry.",
        "late/Gina - take.MIDI": take(WrongChord(3, "G")),
        "late/Hugo.bin": take(WrongBass(2, "A")),
        "late/notes.txt": b"who is late",
        ".hidden/x.mid": b"no",
        "._Anna - one.mid": b"\x00\x05\x16\x07",
    }
    for name, content in files.items():
        (takes / name).write_bytes(content)
    closed = takes / "Ida - closed.mid"
    closed.write_bytes(student_bytes)
    closed.chmod(0)
    yield folder
    closed.chmod(0o600)


def gradebook(text: str) -> dict[str, dict[str, str]]:
    rows = csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline=""))
    return {row["file"].removeprefix("takes/"): row for row in rows}


STATUSES = {
    "Anna - one.mid": "graded",
    "Anna - two.mid": "graded",
    "Ben - copied.mid": "graded",
    "Carl - cut.mid": "graded",
    "Dora - empty.mid": "unreadable",
    "Edda - other.mid": "another song",
    "Finn - text.mid": "unreadable",
    "late/Gina - take.MIDI": "graded",
    "late/Hugo.bin": "graded",
}


def test_a_folder_in_any_state_is_graded_and_nothing_is_lost(school: Path) -> None:
    words = ("grade", "row.txt", "takes", "--csv", "class.csv", "--json", "class.json")
    done = evaluator(school, *words)
    assert done.returncode == 1
    assert "Traceback" not in done.stderr
    rows = gradebook((school / "class.csv").read_text(encoding="utf-8"))
    rows.pop("Ida - closed.mid")  # whether it can be read depends on who runs the tests
    assert {name: row["status"] for name, row in rows.items()} == STATUSES
    assert rows["Ben - copied.mid"]["notes"] == "The same recording as takes/Anna - one.mid."
    assert "had to be repaired" in rows["Carl - cut.mid"]["notes"]
    assert rows["Dora - empty.mid"]["notes"] == "takes/Dora - empty.mid is empty."
    assert "text file" in rows["Finn - text.mid"]["notes"]
    assert "Skipped, since they are not takes: takes/late/notes.txt." in done.stdout
    documents = json.loads((school / "class.json").read_text(encoding="ascii"))
    graded = [document["take"]["file"] for document in documents]
    assert {"takes/late/Hugo.bin", "takes/Edda - other.mid"} <= set(graded)
    (dora,) = [one for one in documents if one["take"]["file"] == "takes/Dora - empty.mid"]
    assert dora["problem"] == "takes/Dora - empty.mid is empty."
    assert "scores" not in dora


def without_rights() -> list[str]:
    """Words before a command that take from the root user the right to read every file."""
    if os.geteuid() != 0:
        return []
    gone = "-dac_override,-dac_read_search"
    return ["setpriv", f"--bounding-set={gone}", f"--inh-caps={gone}"]


@pytest.mark.skipif(sys.platform != "linux", reason="rights are told apart in this way there")
def test_a_file_that_may_not_be_read_is_told(school: Path) -> None:
    first = without_rights()
    if first and subprocess.run([*first, "true"], capture_output=True, check=False).returncode:
        pytest.skip("this user may read every file and cannot give that up")
    words = [*first, sys.executable, "-m", "evaluator", "grade", "row.txt", "takes", "--csv", "-"]
    done = subprocess.run(
        words, cwd=school, capture_output=True, encoding="utf-8", timeout=60, check=False
    )
    assert done.returncode == 1
    row = gradebook(done.stdout)["Ida - closed.mid"]
    assert row["status"] == "unreadable"
    assert "you have no permission" in row["notes"]
    assert "Ida - closed.mid could not be read: you have no permission." in done.stderr


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_neither_the_order_nor_the_jobs_change_anything(school: Path, jobs: str) -> None:
    (school / "takes" / "Ida - closed.mid").chmod(0o600)
    usual = evaluator(school, "grade", "row.txt", "takes", "--csv", "a.csv", "--json", "a.json")
    names = sorted(str(path) for path in Path(school, "takes").rglob("*.*") if path.is_file())
    files = [os.path.relpath(name, school) for name in names if "/." not in name]
    files = [name for name in files if not name.endswith(".txt")]
    words = ("--csv", "b.csv", "--json", "b.json", "--jobs", jobs)
    done = evaluator(school, "grade", "row.txt", *reversed(files), *words)
    assert (school / "a.csv").read_bytes() == (school / "b.csv").read_bytes()
    assert (school / "a.json").read_bytes() == (school / "b.json").read_bytes()
    told = usual.stdout.split("\n\nSkipped")[0]
    assert done.stdout.rstrip("\n") == told.rstrip("\n")


def test_a_file_given_twice_is_graded_once(school: Path) -> None:
    one = "takes/Anna - one.mid"
    done = evaluator(school, "grade", "row.txt", one, f"./{one}", "takes/late")
    assert done.stdout.splitlines()[1].startswith("3 students, 3 takes;")


def test_the_chart_in_the_folder_is_not_passed_over(folder: Path) -> None:
    done = evaluator(folder, "grade", "row.txt", ".")
    assert done.returncode == 0
    assert "Skipped" not in done.stdout


def test_pages_are_written_for_every_take_and_the_class(school: Path) -> None:
    done = evaluator(school, "grade", "row.txt", "takes", "--html", "out/pages")
    assert done.returncode == 1
    written = {path.name for path in (school / "out" / "pages").iterdir()}
    assert {"index.html", "Anna-one.html", "Gina-take.html", "Edda-other.html"} <= written
    assert "Dora-empty.html" not in written
    assert "./Anna-one.html" in (school / "out" / "pages" / "index.html").read_text()


def test_a_page_for_one_take_alone(folder: Path) -> None:
    done = evaluator(folder, "grade", "row.txt", "monday.mid", "--html", "pages")
    assert done.returncode == 0
    assert [path.name for path in (folder / "pages").iterdir()] == ["monday.html"]


def test_pages_cannot_be_written_into_a_file(folder: Path) -> None:
    said = refused(evaluator(folder, "grade", "row.txt", "monday.mid", "--html", "row.txt"), 1)
    assert said == "evaluator: The folder row.txt could not be made: a file has that name.\n"


def test_pages_whose_names_would_be_the_same_are_kept_apart(folder: Path) -> None:
    takes = folder / "takes"
    for name in ("a/x.mid", "b/X.mid", "b/x!.mid", "c/index.mid", "c/con.mid"):
        (takes / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(folder / "monday.mid", takes / name)
    evaluator(folder, "grade", "row.txt", "takes", "--html", "pages")
    written = sorted(path.name for path in (folder / "pages").iterdir())
    assert written == [
        *("X-3.html", "index-2.html", "index.html", "take-con.html", "x-2.html", "x.html")
    ]


def test_a_roster_gives_the_names(school: Path) -> None:
    roster = "pattern,name\nanna*,Anna Appleby\nhugo*,Hugo Ilves\nz*,Zoe\n"
    (school / "roster.csv").write_text(roster, encoding="utf-8")
    done = evaluator(school, "grade", "row.txt", "takes", "--roster", "roster.csv")
    assert "\nAnna Appleby " in done.stdout
    assert "\nHugo Ilves " in done.stdout
    assert "Nothing came from Zoe." in done.stdout


def test_mistakes_in_a_roster_are_told_with_their_lines(folder: Path) -> None:
    (folder / "roster.csv").write_text("pattern,name\n,Anna\nb*\n", encoding="utf-8")
    words = ("grade", "row.txt", "monday.mid", "--roster", "roster.csv")
    said = refused(evaluator(folder, *words), 1)
    assert "roster.csv:2:1: there is no pattern in this row" in said
    assert "roster.csv:3:1: there is no name for `b*`" in said


def test_a_rubric_by_name_changes_the_mark_and_is_told(folder: Path) -> None:
    usual = evaluator(folder, "grade", "row.txt", "monday.mid", COLUMNS="200")
    first = evaluator(
        folder, "grade", "row.txt", "monday.mid", "--rubric", "first-steps", COLUMNS="200"
    )
    assert "by the rubric steady: passed (the pass mark is 75)" in usual.stdout
    assert "by the rubric first steps: passed (the pass mark is 50)" in first.stdout
    assert "It is 100 × " in first.stdout
    assert "This rubric lets pass: a chord with a tone missing, the root" in first.stdout
    assert "bass A instead of C# (not counted)" in first.stdout


def test_a_rubric_of_ones_own(folder: Path) -> None:
    (folder / "own.toml").write_text("pass_mark = 99.5\n[counts]\nmissing_bar = false\n")
    words = ("grade", "row.txt", "monday.mid", "--rubric", "own.toml", "--json", "-")
    document = json.loads(evaluator(folder, *words).stdout)
    assert document["rubric"]["name"] == "own"
    assert document["rubric"]["passed"] is False
    assert document["rubric"]["let_pass"] == ["bars missing"]
    assert document["scores"]["form"] == 100.0
    assert "This rubric does not count it." in document["form"][0]["say"]
    terms = document["rubric"]["terms"]
    assert abs(100 * prod(term["left"] for term in terms) - document["scores"]["overall"]) < 0.051


def test_a_mistake_in_a_rubric_stops_before_anything_is_graded(folder: Path) -> None:
    (folder / "own.toml").write_text("[weights]\nchrod = 3\n")
    said = refused(evaluator(folder, "grade", "row.txt", "monday.mid", "--rubric", "own.toml"), 1)
    assert "own.toml:2:1: [weights] has no `chrod`" in said
    assert "did you mean `chord`?" in said


def test_a_rubric_that_is_not_there(folder: Path) -> None:
    said = refused(evaluator(folder, "grade", "row.txt", "monday.mid", "--rubric", "stedy"), 2)
    assert said.startswith("evaluator: There is no rubric stedy. Did you mean steady?")
    said = refused(evaluator(folder, "grade", "row.txt", "monday.mid", "--rubric", "x.toml"), 1)
    assert said == "evaluator: There is no rubric x.toml.\n"


@pytest.mark.parametrize("jobs", ["0", "-1", "two", "1.5"])
def test_jobs_are_a_number(folder: Path, jobs: str) -> None:
    done = evaluator(folder, "grade", "row.txt", "monday.mid", f"--jobs={jobs}")
    assert done.returncode == 2
    assert "is not a number of jobs" in done.stderr


def test_only_one_thing_goes_to_the_standard_output(folder: Path) -> None:
    done = evaluator(folder, "grade", "row.txt", "monday.mid", "--json", "-", "--csv", "-")
    assert done.returncode == 2
    assert "Only one of --json and --csv" in done.stderr


def test_a_gradebook_is_not_written_over_a_take(school: Path) -> None:
    one = "takes/Anna - one.mid"
    done = evaluator(school, "grade", "row.txt", "takes", "--csv", one)
    assert done.returncode == 2
    assert "is an input" in done.stderr


def test_files_and_folders_give_the_same_in_any_order(tmp_path: Path) -> None:
    for name in ("b/2.mid", "b/10.mid", "a.mid", "b/x.txt"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(b"MThd" if name.endswith("mid") else b"x")
    paths = [str(tmp_path / name) for name in ("b", "a.mid")]
    found = find_takes(paths)
    assert find_takes(paths[::-1]) == found
    names = [os.path.relpath(path, tmp_path) for path in found.takes]
    assert names == ["a.mid", "b/2.mid", "b/10.mid"]
    assert [os.path.basename(path) for path in found.passed_over] == ["x.txt"]


def test_what_begins_as_a_take_is_one_whatever_it_is_called(tmp_path: Path) -> None:
    (tmp_path / "take").write_bytes(b"MThd...")
    (tmp_path / "live").write_bytes(b"evaluator journal 1 {}\n")
    (tmp_path / "x.pdf").write_bytes(b"%PDF-1.4")
    found = find_takes([str(tmp_path)])
    assert [os.path.basename(path) for path in found.takes] == ["live", "take"]


@pytest.mark.skipif(sys.platform == "win32", reason="there are no such links")
def test_links_that_lead_nowhere_or_in_a_circle_do_no_harm(folder: Path) -> None:
    (folder / "gone.mid").symlink_to("nowhere")
    (folder / "round").symlink_to(".")
    done = evaluator(folder, "grade", "row.txt", ".")
    assert done.returncode == 1
    assert "gone.mid" in done.stdout
    assert "\nmonday " in done.stdout


PTY = """\
import os, pty, sys
pid, fd = pty.fork()
if pid == 0:
    out = os.open("out.txt", os.O_WRONLY | os.O_CREAT)
    os.dup2(out, 1)
    os.execv(sys.executable, [sys.executable, "-m", "evaluator", *sys.argv[1:]])
seen = b""
while True:
    try:
        more = os.read(fd, 4096)
    except OSError:
        break
    if not more:
        break
    seen += more
sys.stdout.buffer.write(seen)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="there are no such terminals")
@pytest.mark.parametrize(("terminal", "shown"), [("xterm", True), ("dumb", False)])
def test_a_bar_shows_the_progress_where_a_person_watches(
    folder: Path, student_bytes: bytes, terminal: str, shown: bool
) -> None:
    (folder / "tuesday.mid").write_bytes(student_bytes)
    words = [sys.executable, "-c", PTY, "grade", "row.txt", "monday.mid", "tuesday.mid"]
    done = subprocess.run(
        words,
        cwd=folder,
        env={**os.environ, "TERM": terminal, "COLUMNS": "80"},
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert (b"Grading" in done.stdout) is shown
    assert "Copper Kettle Row: the class" in (folder / "out.txt").read_text(encoding="utf-8")


def test_no_progress_goes_into_a_pipe(folder: Path, student_bytes: bytes) -> None:
    (folder / "tuesday.mid").write_bytes(student_bytes)
    done = evaluator(folder, "grade", "row.txt", "monday.mid", "tuesday.mid", FORCE_COLOR="1")
    assert done.stderr == ""


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent otherwise there")
@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP", "SIGINT"])
def test_a_run_that_is_asked_to_end_ends_in_order(tmp_path: Path, name: str) -> None:
    """Without a warning of Python's own, and what was done is put aside."""
    (tmp_path / "row.txt").write_text(CHART, encoding="utf-8")
    (tmp_path / "takes").mkdir()
    for number in range(60):
        (tmp_path / "takes" / f"{number}.mid").write_bytes(take() + bytes(number))
    words = ["grade", "row.txt", "takes", "--jobs", "2", "--csv", "c.csv", "--no-history"]
    running = subprocess.Popen(
        [sys.executable, "-m", "evaluator", *words],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
    )
    aside = tmp_path / "c.csv.unfinished"
    wait_until(lambda: aside.exists() and aside.stat().st_size > 3000, "nothing was put aside")
    number = getattr(signal, name)
    running.send_signal(number)
    out, err = running.communicate(timeout=60)
    assert (running.returncode, out) == (128 + number, "")
    assert err in ("", "evaluator: stopped\n")
    assert aside.exists()
