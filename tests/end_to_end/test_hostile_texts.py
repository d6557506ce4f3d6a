"""Whatever a song, a section, its words, a file, a student or a rubric is called: only a name.

Every text of `hostile` stands in every place where a text can come from, all at once, and is
looked for in everything that the commands write. Escape sequences after ECMA-48, formulas
after OWASP (CSV Injection), categories after the Unicode Character Database; files are read
back by the standard library and by mido.
"""

import csv
import io
import json
import os
import re
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import mido
import pytest

from evaluator.excerpt.song import Song
from evaluator.grading import grade_take, prepare
from evaluator.live import port
from evaluator.live.journal import Entry
from evaluator.live.names import PortName
from evaluator.live.session import Session, Settings
from evaluator.show.live_page import lay_live, news
from evaluator.show.live_screen import LineScreen, live_screen
from evaluator.show.terminal import print_report
from evaluator.take.midi_file import read_take
from tests.end_to_end.hostile import END, TEXTS, Said, lesson, steering, told, unseen
from tests.live.script import START
from tests.live.stage import entries_of, perform

PLAIN = TEXTS["a harmless text"]
FORMULAS = tuple("=+-@\t\r\n")


@pytest.fixture(scope="module", params=TEXTS.values(), ids=TEXTS.keys())
def called(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a lesson in which everything is called so, and what was made of it."""
    folder = tmp_path_factory.mktemp("lesson")
    lesson(folder, request.param)
    return folder


@pytest.fixture(scope="module")
def harmless(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same with a text that harms nobody."""
    folder = tmp_path_factory.mktemp("harmless")
    lesson(folder, PLAIN)
    write_all(folder)
    return folder


@pytest.fixture(scope="module")
def written(called: Path) -> Path:
    """The folder with everything that is written of its class and its song."""
    write_all(called)
    return called


def write_all(folder: Path) -> None:
    files = ("--json", "class.json", "--csv", "class.csv", "--html", "pages")
    by_the_rubric(folder, *files, chart(folder), ".")
    told(folder, "chart", "show", "--html", "pages/song.html", chart(folder))
    told(folder, "chart", "export", "-o", "song.musicxml", chart(folder))


def chart(folder: Path) -> str:
    (found,) = folder.glob("*.txt")
    return found.name


def take(folder: Path, number: int = 1) -> str:
    (found,) = folder.glob(f"*{number}.mid")
    return found.name


def by_the_rubric(folder: Path, *words: str) -> Said:
    """A run of `grade` with the roster and the rubric."""
    options = ("--rubric", "./rubric.toml", "--roster", "roster.csv")
    return told(folder, "grade", *options, *words)


def readable(said: str) -> None:
    """The text came through, with nothing in it that steers a terminal."""
    assert END in said
    assert not unseen(said)


@pytest.mark.parametrize("plain", [(), ("--plain",)], ids=["drawn", "plain"])
def test_a_terminal_is_not_steered(called: Path, plain: tuple[str, ...]) -> None:
    one = by_the_rubric(called, *plain, "--no-history", chart(called), take(called))
    assert (one.status, one.err) == (0, "")
    readable(one.out)
    several = by_the_rubric(called, *plain, "--reports", chart(called), ".")
    assert several.status == 1
    assert several.out.count(END) > 10
    readable(several.out)
    assert not unseen(several.err)


def test_nor_by_what_is_said_of_files(called: Path) -> None:
    for words in (
        ("grade", chart(called), take(called, 3)),
        ("grade", f"no {chart(called)}", take(called)),
        ("grade", "--section", chart(called), chart(called), take(called)),
        ("grade", "--rubric", chart(called), chart(called), take(called)),
        ("grade", "--roster", chart(called), chart(called), take(called)),
        ("grade", chart(called), take(called), "--" + "".join(chart(called).split(" "))),
        ("chart", "check", take(called)),
        ("chart", "import", take(called, 3)),
        (chart(called),),
    ):
        said = told(called, *words)
        assert said.status in (1, 2)
        readable(said.err)


def test_a_song_is_shown_and_checked(called: Path) -> None:
    for command in ("check", "show"):
        said = told(called, "chart", command, chart(called))
        assert (said.status, said.err) == (0, "")
        readable(said.out)


def test_json_is_plain_ascii(written: Path) -> None:
    raw = (written / "class.json").read_bytes()
    assert not unseen(raw.decode("ascii"))
    reports = json.loads(raw)
    assert {END in report["take"]["file"] for report in reports} == {True}
    assert END in reports[0]["chart"]["title"]


def test_no_cell_of_a_gradebook_is_a_formula(written: Path) -> None:
    rows = cells((written / "class.csv").read_bytes())
    assert len(rows) == 4
    assert all(END in row[column] for row in rows[1:] for column in (0, 1))
    assert END in rows[1][rows[0].index("rubric")]


def cells(raw: bytes) -> list[list[str]]:
    """The rows of a table, after a look at every cell."""
    rows = list(csv.reader(io.StringIO(raw.decode("utf-8-sig"), newline="")))
    for text in (cell for row in rows for cell in row):
        assert not text.startswith(FORMULAS)
        assert not unseen(text)
    assert len({len(row) for row in rows}) == 1
    return rows


def test_the_history_tells_names_only(called: Path) -> None:
    by_the_rubric(called, "--student", take(called), chart(called), take(called))
    shown = told(called, "history", chart(called))
    assert (shown.status, shown.err) == (0, "")
    readable(shown.out)
    told(called, "history", "--csv", "kept.csv", "--json", "kept.json", chart(called))
    rows = cells((called / "kept.csv").read_bytes())
    assert all(END in row[column] for row in rows[1:] for column in (2, 4, 5))
    raw = (called / "kept.json").read_bytes()
    assert not unseen(raw.decode("ascii"))
    assert END in json.loads(raw)["progress"][0]["title"]


class Tags(HTMLParser):
    """The tags of a page with the names of their attributes, and its words."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: set[tuple[str, ...]] = set()
        self.comments = 0
        self.texts: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add((tag, *(name for name, _ in attrs)))
        self.texts += [value for _, value in attrs if value is not None]

    def handle_data(self, data: str) -> None:
        self.texts.append(data)

    def handle_comment(self, data: str) -> None:
        self.comments += 1


def pages(folder: Path) -> dict[str, Tags]:
    found = sorted((folder / "pages").iterdir())
    assert all(re.fullmatch(r"[\w-]+\.html", page.name) for page in found)
    read = [Tags(page.read_text(encoding="utf-8")) for page in found]
    # The class, two takes and the song, in this order whatever the names are.
    read.sort(key=lambda page: sorted(page.tags))
    return dict(enumerate(read))  # type: ignore[arg-type]


def test_pages_hold_no_tag_that_the_program_did_not_write(written: Path, harmless: Path) -> None:
    mine, expected = pages(written), pages(harmless)
    assert len(mine) == len(expected) == 4
    for page, like in zip(mine.values(), expected.values(), strict=True):
        assert page.tags == like.tags
        assert page.comments == 0
        assert any(END in text for text in page.texts)
        assert not any(unseen(text) for text in page.texts)


def test_the_words_of_a_guide_are_words(called: Path) -> None:
    said = told(called, "chart", "guide", "-o", "guide.mid", chart(called))
    assert (said.status, said.err) == (0, "")
    texts = [
        message.text if message.type == "marker" else message.name
        for message in mido.MidiFile(called / "guide.mid", charset="utf-8")
        if message.type in ("marker", "track_name")
    ]
    assert sum(END in text for text in texts) >= 2
    assert not any(steering(text) for text in texts)


def test_a_score_is_well_formed_and_comes_back(written: Path, harmless: Path) -> None:
    files = (folder / "song.musicxml" for folder in (written, harmless))
    mine, expected = (ElementTree.parse(file).getroot() for file in files)
    assert {part.tag for part in mine.iter()} == {part.tag for part in expected.iter()}
    assert not any(steering(part.text or "") for part in mine.iter())
    assert END in (mine.findtext("work/work-title") or "")
    said = told(written, "chart", "import", "song.musicxml", "-o", "again.txt")
    assert said.status == 0, said.err
    assert not steering((written / "again.txt").read_text(encoding="utf-8"))
    (written / "again.txt").unlink()


class Watched(io.StringIO):
    """A terminal in front of which somebody sits."""

    encoding = "utf-8"

    def isatty(self) -> bool:
        return True


COLOUR = re.compile(r"\x1b\[[0-9;]*m")
DRAWING = re.compile(r"\x1b\[(\?25[lh]|[0-9;]*m|2K|1A)|\r")
"""What the library that draws in place sends: the cursor off and on, colours, a line emptied,
a line up."""


def song_and_take(folder: Path) -> tuple[Song, bytes]:
    text = (folder / chart(folder)).read_bytes().decode()
    return prepare(text, chart_file=chart(folder)), (folder / take(folder)).read_bytes()


def test_colours_are_the_programs_own(called: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    song, content = song_and_take(called)
    screen = Watched()
    print_report(grade_take(song, content, take_file=take(called)), screen)
    assert COLOUR.search(screen.getvalue())
    readable(COLOUR.sub("", screen.getvalue()))


@pytest.mark.parametrize("drawn", [True, False], ids=["drawn", "told"])
def test_the_live_screen_shows_names_only(
    called: Path, monkeypatch: pytest.MonkeyPatch, drawn: bool
) -> None:
    monkeypatch.setenv("TERM", "xterm")
    song, content = song_and_take(called)
    piano = Entry("open", START, text=take(called))
    played = [piano, *entries_of(read_take(content))[1:], Entry("gone", START + 12.0)]
    pages = perform(Session(song, Settings()), played, until=START + 12.5)
    stream = Watched()
    with open(os.devnull, "wb") as log:
        if drawn:
            with live_screen(stream, log.fileno(), lay_live, colour=True) as screen:
                for at, (_, page) in enumerate(pages):
                    if at % 25 == 0:
                        screen.show(page)
        else:
            lines = LineScreen(stream, news)
            for _, page in pages:
                lines.show(page)
    readable(DRAWING.sub("", stream.getvalue()))


def test_pianos_are_listed_by_their_names_only(
    called: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    there = [PortName("ALSA", name) for name in (take(called), f"Midi Through {take(called)}")]
    monkeypatch.setattr(port, "inputs", lambda: there)
    monkeypatch.setenv("XDG_STATE_HOME", str(called / "state"))
    said = told(called, "ports")
    assert said.status == 0
    assert said.out.count(END) == 2
    readable(said.out)
