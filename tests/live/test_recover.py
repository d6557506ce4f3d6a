"""What lies in the folder of the takes, and what is not touched? Rules of this program, no
outside source."""

import os
from pathlib import Path

import pytest

from evaluator.live.journal import head, line
from evaluator.live.recover import Finished, Saved, finish, journal_for, left_behind, save
from evaluator.take.midi_file import read_take
from tests.live.script import gone, in_order, opened, stroke

ROWS = in_order(opened(), *stroke(1.0, 60), *stroke(2.0, 64))
TEXT = head({"title": "Row"}) + "".join(map(line, ROWS))


@pytest.fixture
def journal(tmp_path: Path) -> Path:
    """A journal that was left behind."""
    path = tmp_path / "Anna.journal"
    path.write_text(TEXT)
    return path


def take_of(finished: Finished) -> Saved:
    assert finished.take is not None
    return finished.take


def test_a_journal_that_was_left_behind_becomes_a_take(journal: Path) -> None:
    assert left_behind(journal.parent) == [journal]
    take = take_of(finish(journal))
    assert (take.path, take.notes) == (journal.with_suffix(".mid"), 2)
    assert not journal.exists()


@pytest.mark.parametrize("other", [b"", b"evaluator jour", b"evaluator journal 2 {}\n", b"\0" * 99])
def test_a_journal_of_another_kind_is_not_touched(tmp_path: Path, other: bytes) -> None:
    (tmp_path / "my.journal").write_bytes(other)
    assert left_behind(tmp_path) == []


def test_line_ends_of_another_system_are_read(journal: Path) -> None:
    journal.write_bytes(TEXT.replace("\n", "\r\n").encode())
    assert take_of(finish(journal)).notes == 2


def test_what_cannot_be_read_is_put_aside(journal: Path) -> None:
    journal.write_text(head({}) + "some other words\nand more\n")
    aside = journal.with_name("Anna.journal.unreadable")
    assert finish(journal) == Finished(None, aside)
    assert aside.read_text().endswith("and more\n")
    journal.write_text(TEXT.replace("m 1001.000000", "m 1001.0o0000", 1))
    finished = finish(journal)
    assert take_of(finished).notes == 1
    assert finished.aside == journal.with_name("Anna.journal.unreadable-2")
    assert left_behind(journal.parent) == []


def test_the_last_line_of_a_power_cut_is_nothing_to_be_put_aside(journal: Path) -> None:
    journal.write_text(TEXT[:-7])
    assert finish(journal).aside is None


def test_no_take_is_written_over(journal: Path) -> None:
    mine = journal.with_suffix(".mid")
    mine.write_bytes(b"my own take")
    journal.with_name("Anna-2.mid").symlink_to("nowhere")
    assert take_of(finish(journal)).path == journal.with_name("Anna-3.mid")
    assert mine.read_bytes() == b"my own take"
    assert os.readlink(journal.with_name("Anna-2.mid")) == "nowhere"


def test_a_take_that_was_saved_when_the_piano_was_gone_is_brought_up_to_date(
    journal: Path,
) -> None:
    """Once and again; it is one take."""
    with journal.open("a") as file:
        file.write(line(gone(3.0)))
    save(journal)
    with journal.open("a") as file:
        file.write("".join(map(line, in_order(opened(5.0), *stroke(6.0, 67), gone(7.0)))))
    save(journal)
    with journal.open("a") as file:
        file.write("".join(map(line, in_order(opened(8.0), *stroke(9.0, 72)))))
    take = take_of(finish(journal))
    assert take.path == journal.with_suffix(".mid")
    assert [path.name for path in journal.parent.iterdir()] == ["Anna.mid"]
    assert len(read_take(take.path.read_bytes())) == 4


def test_nothing_else_of_that_name_is_deleted(journal: Path) -> None:
    journal.with_suffix(".log").write_text("my notes")
    finish(journal)
    assert journal.with_suffix(".log").read_text() == "my notes"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no such pipes")
def test_a_pipe_and_a_link_of_that_name_are_passed_by(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.journal")
    (tmp_path / "elsewhere").write_text(TEXT)
    (tmp_path / "link.journal").symlink_to("elsewhere")
    (tmp_path / "folder.journal").mkdir()
    assert left_behind(tmp_path) == []


def test_a_new_journal_has_a_name_that_nothing_has(tmp_path: Path) -> None:
    from datetime import datetime

    now = datetime(2025, 3, 1, 17, 20, 5)
    first = journal_for(tmp_path, "row", now)
    first.symlink_to("nowhere")
    second = journal_for(tmp_path, "row", now)
    second.with_suffix(".mid").symlink_to("nowhere")
    third = journal_for(tmp_path, "row", now)
    assert len({first, second, third}) == 3
