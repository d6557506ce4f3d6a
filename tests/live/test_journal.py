"""What came from the piano, so that nothing of it can be lost. The form is our own."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluator.live.journal import (
    Entry,
    LineSplitter,
    head,
    is_journal,
    line,
    parse_line,
    read_journal,
)
from evaluator.live.writer import JournalWriter, in_use

ENTRIES = (
    Entry("open", 512.000481, text="Digital Piano"),
    Entry("message", 514.201877, 0.0, bytes((0x90, 60, 64))),
    Entry("message", 514.5, 0.298123, bytes((0xFE,))),
    Entry("gone", 530.118204),
    Entry("refused", 541.9, text="the port is busy"),
    Entry("begin", 515.35),
)
TEXT = head({"chart": "kettle_lane"}) + "".join(map(line, ENTRIES))


def test_a_journal_reads_as_it_was_written() -> None:
    journal = read_journal(TEXT.encode())
    assert is_journal(TEXT.encode())
    assert journal.facts == {"chart": "kettle_lane"}
    assert journal.entries == ENTRIES
    assert journal.unreadable == 0


@pytest.mark.parametrize("cut", range(len(TEXT)))
def test_a_journal_that_was_cut_off_anywhere_keeps_every_whole_line(cut: int) -> None:
    journal = read_journal(TEXT[:cut].encode())
    whole = max(TEXT[:cut].count("\n") - 1, 0)
    assert journal.entries == ENTRIES[:whole]


def test_lines_that_a_power_cut_left_as_zeros_are_left_out() -> None:
    lines = TEXT.encode().splitlines(keepends=True)
    torn = b"".join((*lines[:3], b"\0" * 512 + b"\n", *lines[3:]))
    journal = read_journal(torn)
    assert journal.entries == ENTRIES
    assert journal.unreadable == 1


@given(st.binary(max_size=400))
def test_no_bytes_are_too_odd(raw: bytes) -> None:
    read_journal(head({}).encode() + raw)
    read_journal(raw)


def test_the_name_of_a_port_cannot_break_a_line() -> None:
    entry = parse_line(line(Entry("open", 1.0, text="Piano\nm 1.000000 0.000000 903c40"))[:-1])
    assert entry == Entry("open", 1.0, text="Piano m 1.000000 0.000000 903c40")


def test_a_growing_journal_is_read_line_by_line() -> None:
    splitter = LineSplitter()
    raw = "".join(map(line, ENTRIES)).encode()
    found = []
    for at in range(len(raw)):
        found += splitter.push(raw[at : at + 1])
    assert tuple(found) == ENTRIES


def test_what_is_written_is_there_at_once(tmp_path: Path) -> None:
    path = tmp_path / "take.journal"
    writer = JournalWriter(path)
    writer.write(list(ENTRIES[:2]))
    assert path.read_text() == "".join(map(line, ENTRIES[:2]))
    writer.close()


def test_a_journal_that_is_being_written_is_in_use(tmp_path: Path) -> None:
    path = tmp_path / "take.journal"
    writer = JournalWriter(path)
    assert in_use(path)
    writer.close()
    assert not in_use(path)
