"""Do the commands of the readers' pages work, one after another, as they stand there?

Each page is followed from top to bottom in what a fresh checkout holds; what it prints is
held against what the page shows. Takes that need a piano are left to the tests of it. Only the
README shows what is said of the whole class.
"""

import os
import re
import shutil
import sys
from pathlib import Path

import pytest

from tests.cli.fresh import ROOT, fresh_checkout, needs_a_piano, run_line, send_home

PAGES = ("README.md", "charts/README.md", "recordings/README.md")
pytestmark = pytest.mark.skipif(
    shutil.which("bash") is None or sys.platform == "win32", reason="runs the lines in a bash"
)


def text_of(page: str) -> str:
    return (ROOT / page).read_text(encoding="utf-8")


def commands(page: str) -> list[str]:
    """The lines that begin with the command's name, in fences and in indented blocks."""
    lines = re.findall(r"^(?:    )?(evaluator .+?)(?: +#.*)?$", text_of(page), re.M)
    return [line for line in lines if not needs_a_piano(line)]


def shown(page: str, beginning: str) -> str:
    """The fenced block that begins so."""
    found = re.search(rf"^```\n({re.escape(beginning)}.*?)^```$", text_of(page), re.M | re.S)
    assert found is not None
    return found[1]


@pytest.fixture(scope="module", params=PAGES)
def followed(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[str, dict[str, str]]:
    """A page, and what each of its commands printed."""
    page: str = request.param
    checkout = tmp_path_factory.mktemp("page") / "checkout"
    desk = fresh_checkout(checkout, few=page != "README.md")
    (desk / "kettle_lane.txt").write_text(shown("README.md", "title: Kettle Lane"), "utf-8")
    printed = {}
    for line in commands(page):
        if line.endswith("--html pages"):  # whose words are not shown
            send_home(desk)
        printed[line] = run_line(line, desk).stdout
    return page, printed


def test_every_command_works(followed: tuple[str, dict[str, str]]) -> None:
    page, printed = followed
    assert len(printed) == {"README.md": 16, "charts/README.md": 4, "recordings/README.md": 1}[page]
    silent = [line for line, out in printed.items() if not out and " -o " not in line]
    assert all("--html kettle.html" in line for line in silent)


def test_the_class_is_taught_again_what_the_page_shows(
    followed: tuple[str, dict[str, str]],
) -> None:
    page, printed = followed
    if page == "README.md":
        report = printed["evaluator grade charts/kettle_lane.txt recordings/class --csv class.csv"]
        assert shown(page, "Teach this again") in report


def test_the_history_looks_as_the_page_shows_it(tmp_path: Path) -> None:
    """Marks apart, which change with every improvement of the follower."""
    desk = fresh_checkout(tmp_path / "checkout", few=True)
    (desk / "takes").mkdir()
    for day, take in enumerate(("student", "short-tail", "clean"), start=3):
        copy = desk / "takes" / f"Anna Appleby - day {day}.mid"
        shutil.copyfile(desk / f"recordings/kettle_lane-{take}.mid", copy)
        played = 1770116400 + 86400 * (day - 3)  # the third of February 2026 at noon
        os.utime(copy, (played, played))
    run_line("evaluator grade charts/kettle_lane.txt takes", desk)
    line = 'evaluator history charts/kettle_lane.txt --student "Anna Appleby"'
    assert line in text_of("README.md")
    marks = re.compile(r" +\d+ \|[#.]+\|")
    printed = run_line(line, desk).stdout
    assert marks.sub("", printed) == marks.sub("", shown("README.md", "Kettle Lane, Anna"))
