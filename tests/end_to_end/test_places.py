"""Files of every name in every place: what is read stays, what is written is whole.

Rules of names after POSIX (any bytes but `/` and NUL, at most 255) and Microsoft ("Naming
Files, Paths, and Namespaces": devices, no capitals told apart).
"""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.commands import CHART, evaluator, refused, take
from tests.end_to_end.hostile import told
from tests.playing import WrongBass

posix = pytest.mark.skipif(sys.platform == "win32", reason="names and links are otherwise there")
any_bytes = pytest.mark.skipif(sys.platform != "linux", reason="only there is a name any bytes")


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    (tmp_path / "row.txt").write_text(CHART, encoding="utf-8")
    (tmp_path / "takes").mkdir()
    (tmp_path / "takes" / "Anna.mid").write_bytes(take(WrongBass(2, "A")))
    (tmp_path / "takes" / "Ben.mid").write_bytes(take())
    (tmp_path / "roster.csv").write_text("pattern,name\nAnna*,Anna A.\n", encoding="utf-8")
    (tmp_path / "own.toml").write_text('name = "own"\nabout = "own"\npass_mark = 50\n')
    return tmp_path


ONE = ("grade", "row.txt", "takes/Anna.mid", "--roster", "roster.csv", "--rubric", "./own.toml")
INPUTS = ("row.txt", "takes/Anna.mid", "roster.csv", "own.toml")
COMMANDS = {
    "a report as JSON": (*ONE, "--json"),
    "a gradebook": (*ONE, "--csv"),
    "a guide": ("chart", "guide", "row.txt", "-o"),
    "a score": ("chart", "export", "row.txt", "-o"),
    "a chart as a page": ("chart", "show", "row.txt", "--html"),
    "the history as a table": ("history", "row.txt", "--csv"),
    "the history as JSON": ("history", "row.txt", "--json"),
}


def without_rights(*words: str) -> list[str]:
    """A command that even the root user may not use to write where it is forbidden."""
    if os.geteuid() != 0:
        return list(words)
    gone = "-dac_override,-dac_read_search"
    return ["setpriv", f"--bounding-set={gone}", f"--inh-caps={gone}", *words]


def run(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        words, cwd=folder, capture_output=True, encoding="utf-8", timeout=60, check=False
    )


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


@posix
@pytest.mark.parametrize("link", [None, os.symlink, os.link], ids=["named", "linked", "hard"])
@pytest.mark.parametrize("words", COMMANDS.values(), ids=COMMANDS.keys())
def test_nothing_is_written_over_what_is_read(
    desk: Path, words: tuple[str, ...], link: object
) -> None:
    for given in INPUTS if words[0] == "grade" else INPUTS[:1]:
        target = given
        if callable(link):
            target = f"link to {Path(given).name}"
            link(desk / given, desk / target)
        before = contents(desk)
        said = told(desk, *words, target)
        assert said.status == 2
        assert "is an input" in said.err
        assert contents(desk) == before


@posix
def test_nor_over_a_take_of_a_class_nor_by_a_page(desk: Path) -> None:
    (desk / "pages").mkdir()
    (desk / "pages" / "Ben.html").symlink_to("../takes/Ben.mid")
    os.link(desk / "row.txt", desk / "pages" / "index.html")
    before = contents(desk)
    for words in (("--csv", "takes/Ben.mid"), ("--html", "pages")):
        said = told(desk, "grade", "row.txt", "takes", *words)
        assert said.status == 2
        assert "is an input" in said.err
        assert contents(desk) == before


def test_nor_over_the_history_itself(desk: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("EVALUATOR_HISTORY", str(desk))
    assert told(desk, *ONE).status == 0
    said = told(desk, "history", "--csv", "history.db")
    assert (said.status, "is an input" in said.err) == (2, True)
    assert (desk / "history.db").read_bytes().startswith(b"SQLite format 3")


def test_two_outputs_do_not_go_into_one_file(desk: Path) -> None:
    for words in (ONE, ("history",)):
        said = told(desk, *words, "--json", "out", "--csv", f".{os.sep}out")
        assert said.status == 2
        assert "Two outputs would be written to the same place." in said.err
    assert not (desk / "out").exists()


def test_a_score_that_is_imported_never_becomes_a_chart_that_is_there(desk: Path) -> None:
    assert told(desk, "chart", "export", "row.txt", "-o", "row.musicxml").status == 0
    said = told(desk, "chart", "import", "row.musicxml", "-o", "row.txt")
    assert said.status == 1
    assert "already exists" in said.err
    assert (desk / "row.txt").read_text(encoding="utf-8") == CHART


@posix
def test_an_output_that_its_owner_has_locked_stays(desk: Path) -> None:
    (desk / "out.json").write_text("mine")
    (desk / "out.json").chmod(0o444)
    words = without_rights(sys.executable, "-m", "evaluator", *ONE, "--json", "out.json")
    done = run(desk, *words)
    assert done.returncode == 1
    assert "out.json could not be written: you have no permission." in done.stderr
    assert (desk / "out.json").read_text() == "mine"


IN_ORDER = """
import json, sys
from evaluator.cli.main import main
print(json.dumps([main(words) for words in json.loads(sys.argv[1])]), file=sys.stderr)
"""
"""A program that gives one command after the other; what they end with comes last."""


@posix
def test_a_folder_that_may_not_be_written_to_is_told_by_every_command(desk: Path) -> None:
    (desk / "closed").mkdir()
    (desk / "closed").chmod(0o555)
    asked = json.dumps([[*words, "closed/out"] for words in COMMANDS.values()])
    done = run(desk, *without_rights(sys.executable, "-c", IN_ORDER, asked))
    *told, statuses = done.stderr.splitlines()
    assert json.loads(statuses) == [1] * len(COMMANDS)
    reason = "evaluator: closed/out could not be written: you have no permission."
    assert told == [reason] * len(COMMANDS)
    assert list((desk / "closed").iterdir()) == []


@pytest.mark.parametrize("target", ["/", "", "takes", "missing/out", "row.txt/out", "x" * 300])
@pytest.mark.parametrize("words", COMMANDS.values(), ids=COMMANDS.keys())
def test_what_is_no_place_for_a_file_is_told(
    desk: Path, words: tuple[str, ...], target: str
) -> None:
    before = contents(desk)
    said = told(desk, *words, target)
    assert said.status in (1, 2)
    assert "could not be written: " in said.err
    assert contents(desk) == before


@posix
def test_a_name_may_be_as_long_as_the_system_takes(desk: Path) -> None:
    long = "n" * 251
    os.rename(desk / "row.txt", desk / f"{long}.txt")
    os.rename(desk / "takes" / "Anna.mid", desk / f"{long}.mid")
    words = ("grade", f"{long}.txt", f"{long}.mid")
    said = told(desk, *words, "--json", f"{long}.jsn", "--csv", f"{long}.csv", "--html", "pages")
    assert (said.status, said.err) == (0, "")
    assert json.loads((desk / f"{long}.jsn").read_bytes())["take"]["notes"] > 50
    assert [len(page.name) for page in (desk / "pages").iterdir()] == [205]
    replay = ("listen", f"{long}.txt", "--replay", f"{long}.mid", "--speed", "60", "--plain")
    done = evaluator(desk, *replay)
    assert (done.returncode, done.stderr) == (0, "")
    assert len(list((desk / "recordings").glob("*.mid"))) == 1


NAMES_OF_DEVICES = ("CON", "nul", "Com1", "LPT¹", "aux.", "prn ")


@posix
def test_pages_have_names_that_every_system_takes(desk: Path) -> None:
    (desk / "odd").mkdir()
    names = (*NAMES_OF_DEVICES, "index", "INDEX", "a:b*c?", "..", "-", "汉" * 80, "𠀀" * 60)
    for name in names:
        (desk / "odd" / f"{name}.mid").write_bytes(take())
    said = told(desk, "grade", "row.txt", "odd", "--html", "pages")
    assert (said.status, said.err) == (0, "")
    pages = [path.name for path in (desk / "pages").iterdir()]
    # A hidden file is no take of a class.
    assert len(pages) == len(names)
    assert len({name.casefold() for name in pages}) == len(pages)
    assert all(len(name.encode()) <= 255 for name in pages)
    stems = {name.removesuffix(".html").casefold() for name in pages}
    assert not stems & {"con", "nul", "com1", "lpt¹", "aux", "prn"}
    assert not any(set(name) & set('<>:"/\\|?* ') for name in pages)


@any_bytes
def test_names_that_are_no_text_are_names_all_the_same(desk: Path) -> None:
    here = os.fsencode(desk)
    os.rename(here + b"/row.txt", here + b"/r\xf6w.txt")
    os.rename(here + b"/takes/Anna.mid", here + b"/takes/Ann\xe9.mid")
    os.rename(here + b"/takes/Ben.mid", here + b"/takes/B\xe9n.mid")
    chart, anna = os.fsdecode(b"r\xf6w.txt"), os.fsdecode(b"takes/Ann\xe9.mid")
    one = told(desk, "grade", chart, anna, "--json", os.fsdecode(b"\xe9.json"), "--html", "pages")
    assert (one.status, one.err) == (0, "")
    with open(here + b"/\xe9.json", "rb") as file:
        report = json.load(file)
    assert report["take"]["file"] == "takes/Ann\N{REPLACEMENT CHARACTER}.mid"
    assert report["chart"]["file"] == "r\N{REPLACEMENT CHARACTER}w.txt"
    several = told(
        desk, "grade", chart, "takes", "--csv", "class.csv", "--json", "c.json", "--html", "all"
    )
    assert (several.status, several.err) == (0, "")
    assert "Ann\N{REPLACEMENT CHARACTER}" in (desk / "class.csv").read_text(encoding="utf-8-sig")
    assert len(json.loads((desk / "c.json").read_bytes())) == 2
    assert len(list((desk / "all").iterdir())) == 3
    for command in ("check", "show"):
        assert told(desk, "chart", command, chart).status == 0
    whose = ("--student", os.fsdecode(b"Zo\xeb"))
    assert told(desk, "grade", chart, anna, *whose).status == 0
    assert "Zo\N{REPLACEMENT CHARACTER}" in told(desk, "history", chart, *whose).out
    replay = ("listen", chart, "--replay", anna, "--speed", "60", "--plain")
    done = evaluator(desk, *replay)
    assert (done.returncode, done.stderr) == (0, ""), done.stderr
    assert len(list((desk / "recordings").iterdir())) == 1


def test_a_journal_of_another_program_is_left_alone(desk: Path) -> None:
    (desk / "recordings").mkdir()
    (desk / "recordings" / "diary.journal").write_text("dear diary")
    (desk / "recordings" / "begun.journal").write_text("evaluator jour")
    replay = ("listen", "row.txt", "--replay", "takes/Ben.mid", "--speed", "60", "--plain")
    assert evaluator(desk, *replay).returncode == 0
    assert (desk / "recordings" / "diary.journal").read_text() == "dear diary"
    assert (desk / "recordings" / "begun.journal").read_text() == "evaluator jour"


@posix
def test_links_that_lead_nowhere_or_round_are_told(desk: Path) -> None:
    (desk / "nowhere.mid").symlink_to("gone.mid")
    (desk / "round.mid").symlink_to("round.mid")
    assert "There is no take nowhere.mid." in refused(evaluator(desk, *ONE[:2], "nowhere.mid"), 1)
    said = refused(evaluator(desk, *ONE[:2], "round.mid"), 1)
    assert "its links go round in a circle" in said
    done = evaluator(desk, *ONE, "--json", "round.mid")
    assert done.returncode == 1
    assert "could not be written: its links go round in a circle." in done.stderr
    assert (desk / "round.mid").is_symlink()
    new = evaluator(desk, *ONE, "--json", "nowhere.mid")
    assert new.returncode == 0
    assert (desk / "nowhere.mid").is_symlink()
    assert json.loads((desk / "gone.mid").read_bytes())["scores"]["overall"] > 50
