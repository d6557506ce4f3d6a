"""Reading and writing files."""

import os
import stat
from pathlib import Path

import pytest

from evaluator.cli.files import FileError, read_chart_text, read_take_bytes, write_text
from evaluator.cli.targets import check_not_input
from evaluator.errors import UsageError


def test_a_byte_order_mark_is_not_part_of_the_chart(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_bytes(b"\xef\xbb\xbftitle: A\n")
    assert read_chart_text(str(tmp_path / "a.txt")) == "title: A\n"


def test_a_file_that_may_not_be_read_is_told(tmp_path: Path) -> None:
    (tmp_path / "a.mid").write_bytes(b"MThd")
    (tmp_path / "a.mid").chmod(0)
    if os.access(tmp_path / "a.mid", os.R_OK):
        pytest.skip("this user may read every file")
    with pytest.raises(FileError, match="you have no permission"):
        read_take_bytes(str(tmp_path / "a.mid"))


def test_the_system_s_refusal_is_told_in_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    (tmp_path / "a.mid").write_bytes(b"MThd")
    monkeypatch.setattr("builtins.open", refuse)
    with pytest.raises(FileError, match=r"a\.mid could not be read: you have no permission\."):
        read_take_bytes(str(tmp_path / "a.mid"))


def test_a_name_that_no_system_has_is_told() -> None:
    with pytest.raises(FileError, match="that is not a file name"):
        read_take_bytes("a\0b.mid")


def test_a_report_takes_the_place_of_the_one_before(tmp_path: Path) -> None:
    target = tmp_path / "out.json"
    target.write_text("old")
    target.chmod(0o640)
    write_text(str(target), "new ♭")
    assert target.read_text(encoding="utf-8") == "new ♭"
    assert stat.S_IMODE(target.stat().st_mode) == 0o640
    assert [path.name for path in tmp_path.iterdir()] == ["out.json"]


def test_a_new_report_may_be_read_as_any_new_file(tmp_path: Path) -> None:
    (tmp_path / "any").write_text("")
    write_text(str(tmp_path / "out.json"), "new")
    assert (tmp_path / "out.json").stat().st_mode == (tmp_path / "any").stat().st_mode


def test_a_link_is_followed_and_not_replaced(tmp_path: Path) -> None:
    (tmp_path / "real.json").write_text("old")
    (tmp_path / "link.json").symlink_to("real.json")
    write_text(str(tmp_path / "link.json"), "new")
    assert (tmp_path / "link.json").is_symlink()
    assert (tmp_path / "real.json").read_text() == "new"


def test_a_device_is_written_to_and_not_replaced() -> None:
    write_text(os.devnull, "new")
    assert not os.path.isfile(os.devnull)


def test_a_failed_report_leaves_the_one_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    target = tmp_path / "out.json"
    target.write_text("old")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FileError, match="the disk is full"):
        write_text(str(target), "new")
    assert target.read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["out.json"]


def test_another_name_for_an_input_is_still_that_input(tmp_path: Path) -> None:
    (tmp_path / "a.mid").write_bytes(b"MThd")
    os.link(tmp_path / "a.mid", tmp_path / "b.json")
    with pytest.raises(UsageError, match="is an input"):
        check_not_input(str(tmp_path / "b.json"), [str(tmp_path / "a.mid")])
    check_not_input(str(tmp_path / "c.json"), [str(tmp_path / "a.mid")])
