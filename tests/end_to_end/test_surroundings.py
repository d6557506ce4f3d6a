"""The same take is given the same marks wherever the program runs.

Each of the surroundings is one in which programs in Python are known to break: a locale
that knows nothing but ASCII (PEP 538 and 540 turned off), a terminal that cannot draw, one
of sixty columns, a home that may not be written to, none at all. Workers of a class are
started afresh everywhere, as on Windows and macOS, and so `--jobs 2` is one of them.
"""

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

import pytest

from tests.cli.commands import CHART, take
from tests.end_to_end.test_places import without_rights
from tests.playing import WrongBass, WrongChord

TITLE: Final = "Käthes Kessel — 鍋♭"
STUDENT: Final = "Zoë Ängström"
SONG: Final = CHART.replace("Copper Kettle Row", TITLE)

SURROUNDINGS: Final[dict[str, dict[str, str]]] = {
    "a locale without letters": {
        "LC_ALL": "C",
        "PYTHONUTF8": "0",
        "PYTHONCOERCECLOCALE": "0",
    },
    "a locale of another encoding": {"LC_ALL": "C", "PYTHONIOENCODING": "latin-1"},
    "a terminal that cannot draw": {"TERM": "dumb"},
    "no terminal at all": {"TERM": ""},
    "no colours": {"NO_COLOR": "1", "TERM": "xterm-256color"},
    "a terminal of sixty columns": {"COLUMNS": "60"},
    "a home that is not there": {"HOME": "/nowhere/at/all", "USERPROFILE": "/nowhere"},
    "a home that may not be written to": {"HOME": "closed", "XDG_DATA_HOME": ""},
    "no place for what is for a while": {"TMPDIR": "/nowhere", "HOME": "closed"},
    "no bytecode, and every warning an error": {
        "PYTHONDONTWRITEBYTECODE": "1",
        "PYTHONWARNINGS": "error",
        "PYTHONWARNDEFAULTENCODING": "1",
    },
    "optimised": {"PYTHONOPTIMIZE": "2"},
}


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    return laid(tmp_path)


def laid(tmp_path: Path) -> Path:
    (tmp_path / "kessel.txt").write_text(SONG, encoding="utf-8")
    (tmp_path / "takes").mkdir()
    (tmp_path / "takes" / f"{STUDENT} - eins.mid").write_bytes(
        take(WrongBass(2, "A"), WrongChord(3, "G"), without=(16,))
    )
    (tmp_path / "takes" / "Ben - zwei.mid").write_bytes(take())
    (tmp_path / "closed").mkdir(mode=0o555)
    return tmp_path


def run(
    desk: Path,
    surroundings: Mapping[str, str],
    *words: str,
    program: tuple[str, ...] = ("-m", "evaluator"),
) -> subprocess.CompletedProcess[bytes]:
    """The command with nothing of the surroundings of the tests but the way to programs."""
    known = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT") if name in os.environ}
    known |= {"HOME": str(desk), "EVALUATOR_HISTORY": str(desk / "kept")} | surroundings
    if surroundings.get("HOME") == "closed":
        known["HOME"] = str(desk / "closed")
        del known["EVALUATOR_HISTORY"]
    command = [sys.executable, *program, *words]
    return subprocess.run(
        without_rights(*command) if sys.platform == "linux" else command,
        cwd=desk,
        env=known,
        capture_output=True,
        timeout=120,
        check=False,
    )


def marks(raw: bytes) -> Any:
    """A report without the times at which it was made."""
    return json.loads(raw.decode("ascii"))


@pytest.fixture(scope="module")
def expected(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The report of the take where nothing is odd."""
    desk = laid(tmp_path_factory.mktemp("usual"))
    words = ("grade", "kessel.txt", f"takes/{STUDENT} - eins.mid", "--json", "-")
    done = run(desk, {"LC_ALL": "C.UTF-8"}, *words)
    assert (done.returncode, done.stderr) == (0, b"")
    return marks(done.stdout)


@pytest.mark.parametrize("surroundings", SURROUNDINGS.values(), ids=SURROUNDINGS.keys())
def test_marks_are_the_same_everywhere(
    desk: Path, expected: Any, surroundings: dict[str, str]
) -> None:
    words = ("grade", "kessel.txt", f"takes/{STUDENT} - eins.mid")
    done = run(desk, surroundings, *words, "--json", "out.json", "--csv", "out.csv")
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr
    assert marks((desk / "out.json").read_bytes()) == expected
    assert STUDENT in (desk / "out.csv").read_text(encoding="utf-8-sig")
    assert b"\x1b" not in done.stdout
    # Nothing but the history may be missed, and then it is said.
    said = done.stderr.decode("ascii", "replace")
    assert said == "" or said.startswith("evaluator: Nothing was kept in the history. ")
    widest = max(map(len, done.stdout.decode("utf-8", "replace").splitlines()))
    assert widest <= int(surroundings.get("COLUMNS", "80"))


COMMANDS: Final[dict[str, tuple[str, ...]]] = {
    "a class": ("grade", "kessel.txt", "takes", "--jobs", "2", "--html", "pages"),
    "a chart": ("chart", "show", "kessel.txt"),
    "a check": ("chart", "check", "kessel.txt"),
    "a guide": ("chart", "guide", "kessel.txt", "-o", "guide.mid"),
    "a score": ("chart", "export", "kessel.txt", "-o", "kessel.musicxml"),
    "a take live": (
        *("listen", "kessel.txt", "--replay", "takes/Ben - zwei.mid", "--speed", "60"),
        *("--student", STUDENT),
    ),
    "a lesson": (
        *("practise", "kessel.txt", "--bars", "1-2", "--replay", "takes/Ben - zwei.mid"),
        *("--student", STUDENT),
    ),
    "the history": ("history", "--student", STUDENT),
    "the demonstration": ("demo",),
    "help": ("grade", "--help"),
}


AFTER_EACH: Final = "\n--- done: "
IN_ORDER: Final = f"""
import json, sys
from evaluator.cli.main import main
for words in json.loads(sys.argv[1]):
    print(end={AFTER_EACH!r} + str(main(words)) + "\\n", flush=True)
"""
"""A program that gives one command after the other. It saves the start of a program for each,
which `test_marks_are_the_same_everywhere` has in all surroundings."""


@pytest.mark.parametrize(
    "name",
    [
        "a locale without letters",
        "a terminal of sixty columns",
        "no place for what is for a while",
        "no bytecode, and every warning an error",
    ],
)
def test_every_command_works_there(desk: Path, name: str) -> None:
    asked = json.dumps([*COMMANDS.values()])
    done = run(desk, SURROUNDINGS[name], asked, program=("-c", IN_ORDER))
    assert b"Traceback" not in done.stderr
    *told, rest = done.stdout.decode("utf-8", "replace").split(AFTER_EACH)
    statuses = [part.partition("\n")[0] for part in (*told[1:], rest)]
    assert dict(zip(COMMANDS, statuses, strict=True)) == dict.fromkeys(COMMANDS, "0"), done.stderr
    columns = int(SURROUNDINGS[name].get("COLUMNS", "80"))
    loose = (
        "example",
        "  evaluator ",
        "The take is saved: ",
        "Your own:",
        "The ",
        "No takes are kept",
    )
    rows = "\n".join(told).splitlines()
    wide = [row for row in rows if len(row) > columns and not row.startswith(loose)]
    assert wide == []
