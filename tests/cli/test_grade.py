"""`evaluator grade`, run as a person runs it. Wordings are our own, no source."""

import json
import os
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest

from tests.cli.commands import evaluator, refused
from tests.report.test_json import schema

JPEG = b"\xff\xd8\xff\xe0\x00\x10JFIF\x00" + bytes(range(256))


def test_a_take_is_graded(folder: Path) -> None:
    done = evaluator(folder, "grade", "row.txt", "monday.mid", COLUMNS="200")
    assert (done.returncode, done.stderr) == (0, "")
    assert "Copper Kettle Row (monday.mid)" in done.stdout
    assert "bass A instead of C#" in done.stdout
    assert "Chorus, the tail: three bars of D where the chart has four" in done.stdout


def test_what_goes_into_a_pipe_is_plain_and_80_wide(folder: Path) -> None:
    done = evaluator(folder, "grade", "row.txt", "monday.mid", FORCE_COLOR="1")
    assert "\x1b" not in done.stdout
    assert 70 < max(len(row) for row in done.stdout.splitlines()) <= 80


def test_the_width_is_taken_from_columns(folder: Path) -> None:
    done = evaluator(folder, "grade", "row.txt", "monday.mid", COLUMNS="60")
    assert 50 < max(len(row) for row in done.stdout.splitlines()) <= 60


def test_plain_is_a_line_a_bar(folder: Path) -> None:
    done = evaluator(folder, "grade", "row.txt", "monday.mid", "--plain")
    assert "bar 1, Verse: right\n" in done.stdout
    assert "bar 3, Verse: G instead of Bm7" in done.stdout


@pytest.mark.parametrize("encoding", ["cp1252", "ascii"])
def test_any_terminal_can_be_written_to(folder: Path, encoding: str) -> None:
    text = (folder / "row.txt").read_text(encoding="utf-8").replace("Copper", "鍋 Köpper ♭")
    (folder / "row.txt").write_text(text, encoding="utf-8")
    words = (sys.executable, "-m", "evaluator", "grade", "row.txt", "monday.mid")
    environment = {**os.environ, "PYTHONIOENCODING": encoding}
    done = subprocess.run(
        words, cwd=folder, env=environment, capture_output=True, timeout=60, check=False
    )
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"? K" in done.stdout.splitlines()[0]


def test_json_is_written_beside_the_report(folder: Path) -> None:
    done = evaluator(folder, "grade", "row.txt", "monday.mid", "--json", "out.json")
    assert done.returncode == 0
    assert "Copper Kettle Row" in done.stdout
    document = json.loads((folder / "out.json").read_text(encoding="ascii"))
    jsonschema.validate(document, schema())
    assert document["take"]["file"] == "monday.mid"
    assert sorted(path.name for path in folder.iterdir()) == ["monday.mid", "out.json", "row.txt"]


def test_json_on_the_standard_output_stands_alone(folder: Path) -> None:
    done = evaluator(folder, "grade", "row.txt", "monday.mid", "--json", "-")
    jsonschema.validate(json.loads(done.stdout), schema())


def test_several_takes_are_a_class_and_their_json_a_list(
    folder: Path, student_bytes: bytes
) -> None:
    (folder / "tuesday.mid").write_bytes(student_bytes)
    words = ("grade", "row.txt", "tuesday.mid", "monday.mid", "--json", "class.json")
    done = evaluator(folder, *words)
    assert done.stdout.startswith("Copper Kettle Row: the class\n")
    documents = json.loads((folder / "class.json").read_text(encoding="ascii"))
    assert [document["take"]["file"] for document in documents] == ["monday.mid", "tuesday.mid"]
    jsonschema.validate(documents[0], schema())


def test_the_reports_of_a_class_are_shown_on_demand(folder: Path, student_bytes: bytes) -> None:
    (folder / "tuesday.mid").write_bytes(student_bytes)
    done = evaluator(folder, "grade", "row.txt", "tuesday.mid", "monday.mid", "--reports")
    order = ["(monday.mid)", "(tuesday.mid)", "Copper Kettle Row: the class"]
    places = [done.stdout.index(text) for text in order]
    assert places == sorted(places)


def test_what_can_be_read_is_graded_although_something_cannot(folder: Path) -> None:
    (folder / "photo.mid").write_bytes(JPEG)
    done = evaluator(folder, "grade", "row.txt", "photo.mid", "gone.mid", "monday.mid")
    assert done.returncode == 1
    assert "\nmonday  " in done.stdout
    assert "JPEG" in done.stdout
    assert "There is no take gone.mid." in done.stdout
    assert done.stderr == "evaluator: 2 of 3 files could not be read; the table says why.\n"


def test_the_reasons_go_to_the_error_stream_where_the_output_is_json(folder: Path) -> None:
    (folder / "photo.mid").write_bytes(JPEG)
    words = ("grade", "row.txt", "photo.mid", "gone.mid", "monday.mid", "--json", "-")
    done = evaluator(folder, *words)
    documents = json.loads(done.stdout)
    told = {document["take"]["file"]: document.get("problem") for document in documents}
    assert list(told) == ["gone.mid", "monday.mid", "photo.mid"]
    assert told["monday.mid"] is None
    assert told["gone.mid"] == "There is no take gone.mid."
    assert "There is no take gone.mid." in done.stderr
    assert "photo.mid" in done.stderr
    assert "JPEG" in done.stderr


def test_a_missing_file_is_told_with_names_that_come_near(folder: Path) -> None:
    said = refused(evaluator(folder, "grade", "row.txt", "mondy.mid"), 1)
    assert said == "evaluator: There is no take mondy.mid. Did you mean monday.mid?\n"
    said = refused(evaluator(folder, "grade", "rows.txt", "monday.mid"), 1)
    assert said == "evaluator: There is no chart rows.txt. Did you mean row.txt?\n"
    said = refused(evaluator(folder, "grade", "charts/row.txt", "monday.mid"), 1)
    assert "the folder charts does not exist" in said


def test_a_folder_without_a_take_is_told(folder: Path) -> None:
    (folder / "takes").mkdir()
    said = refused(evaluator(folder, "grade", "row.txt", "takes"), 1)
    assert said == "evaluator: There is no take in the folder takes.\n"


def test_a_picture_is_named_as_one(folder: Path) -> None:
    (folder / "photo.jpg").write_bytes(JPEG)
    assert "a JPEG picture" in refused(evaluator(folder, "grade", "row.txt", "photo.jpg"), 1)
    assert refused(evaluator(folder, "grade", "photo.jpg", "monday.mid"), 1) == (
        "evaluator: photo.jpg is a JPEG picture, not a chart. A chart is a plain text file.\n"
    )


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_chart_and_take_in_the_wrong_order_are_told(folder: Path, encoding: str) -> None:
    text = (folder / "row.txt").read_text(encoding="utf-8")
    (folder / "row.txt").write_text(text, encoding=encoding)
    assert refused(evaluator(folder, "grade", "monday.mid", "row.txt"), 2) == (
        "evaluator: monday.mid is a MIDI file and row.txt is text:"
        " the chart comes first, then the takes.\n"
    )


def test_a_chart_given_as_a_take_is_told(folder: Path) -> None:
    said = refused(evaluator(folder, "grade", "row.txt", "row.txt"), 1)
    assert "row.txt" in said
    assert "text" in said


@pytest.mark.parametrize("order", [("row.txt", "empty"), ("empty", "monday.mid")])
def test_an_empty_file_is_said_to_be_empty(folder: Path, order: tuple[str, str]) -> None:
    (folder / "empty").write_bytes(b"")
    assert refused(evaluator(folder, "grade", *order), 1) == "evaluator: empty is empty.\n"


@pytest.mark.skipif(not os.path.exists("/dev/zero"), reason="this system has no such device")
def test_devices_are_not_read(folder: Path) -> None:
    said = refused(evaluator(folder, "grade", "row.txt", "/dev/zero"), 1)
    assert said == "evaluator: /dev/zero is a device, not a file with a take.\n"


def test_files_too_large_are_not_read_to_the_end(folder: Path) -> None:
    with (folder / "large.mid").open("wb") as file:
        file.truncate(3_000_000_000)  # a hole: it takes no room on the disk
    said = refused(evaluator(folder, "grade", "row.txt", "large.mid"), 1)
    assert said == "evaluator: large.mid is larger than 20 MB; that is not a take.\n"
    said = refused(evaluator(folder, "grade", "large.mid", "monday.mid"), 1)
    assert said == "evaluator: large.mid is larger than 1 MB; that is not a chart.\n"


def test_every_mistake_of_a_chart_is_told(folder: Path) -> None:
    text = (folder / "row.txt").read_text(encoding="utf-8")
    wrong = "\n".join(f"| D | Q{n} | G | A |" for n in range(10))
    (folder / "wrong.txt").write_text(f"{text}\n[Bridge]\n{wrong}\n", encoding="utf-8")
    said = refused(evaluator(folder, "grade", "wrong.txt", "monday.mid"), 1)
    assert said.count("wrong.txt:") == 10
    assert said.startswith("wrong.txt:")
    assert all(f"Q{n}" in said for n in range(10))


def test_a_chart_that_is_not_text_is_told(folder: Path) -> None:
    (folder / "latin.txt").write_bytes("title: Größe\n".encode("latin-1"))
    assert "UTF-8" in refused(evaluator(folder, "grade", "latin.txt", "monday.mid"), 1)


def test_a_report_is_not_written_over_what_was_read(folder: Path, student_bytes: bytes) -> None:
    (folder / "link.json").symlink_to("monday.mid")
    for target in ("monday.mid", "./row.txt", "link.json"):
        words = ("grade", "row.txt", "monday.mid", "--json", target)
        assert "is an input" in refused(evaluator(folder, *words), 2)
    assert (folder / "monday.mid").read_bytes() == student_bytes


@pytest.mark.parametrize(
    ("target", "reason"),
    [("no/out.json", "its folder does not exist"), ("row.txt/out.json", "is a file, not a folder")],
)
def test_a_report_that_cannot_be_written_is_told(folder: Path, target: str, reason: str) -> None:
    done = evaluator(folder, "grade", "row.txt", "monday.mid", "--json", target)
    assert done.returncode == 1
    assert f"{target} could not be written" in done.stderr
    assert reason in done.stderr
    assert "Copper Kettle Row" in done.stdout


def test_a_report_is_not_written_over_a_folder(folder: Path) -> None:
    (folder / "out").mkdir()
    done = evaluator(folder, "grade", "row.txt", "monday.mid", "--json", "out")
    assert (done.returncode, done.stderr) == (
        1,
        "evaluator: out could not be written: it is a folder.\n",
    )


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("grade",),
        ("grade", "row.txt"),
        ("grade", "row.txt", "monday.mid", "--jsn", "x"),
        ("grad", "row.txt", "monday.mid"),
    ],
)
def test_wrong_words_are_wrong_usage(folder: Path, words: tuple[str, ...]) -> None:
    done = evaluator(folder, *words)
    assert done.returncode == 2
    assert (
        "usage" in done.stdout
        or "Did you mean `grade`?" in done.stderr
        or ("`evaluator grade --help` says how it is given." in done.stderr)
    )
    assert "Traceback" not in done.stderr


def test_hostile_file_names_are_only_names(folder: Path, student_bytes: bytes) -> None:
    for name in ("[bold]x[red].mid", ":smile:.mid", "a\x1b[2Jb.mid"):
        (folder / name).write_bytes(student_bytes)
        done = evaluator(folder, "grade", "row.txt", name)
        assert (done.returncode, done.stderr) == (0, "")
        assert done.stdout.startswith(f"Copper Kettle Row ({name.replace(chr(27), '')})\n")
    assert "\x1b" not in refused(evaluator(folder, "grade", "row.txt", "no\x1b[2J.mid"), 1)


@pytest.mark.skipif(sys.platform != "linux", reason="only there may a name be any bytes")
def test_a_name_that_is_no_text_is_read_all_the_same(folder: Path, student_bytes: bytes) -> None:
    name = b"caf\xe9.mid"
    with open(os.path.join(os.fsencode(folder), name), "wb") as file:
        file.write(student_bytes)
    done = evaluator(folder, "grade", "--json", "-", "row.txt", raw_words=(name,))
    assert json.loads(done.stdout)["take"]["file"] == "caf\N{REPLACEMENT CHARACTER}.mid"


def test_a_reader_who_has_seen_enough_is_no_mistake(folder: Path) -> None:
    words = [sys.executable, "-m", "evaluator", "grade", "row.txt", "monday.mid"]
    with subprocess.Popen(
        words, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.close()
        said = running.stderr.read()
        assert running.wait(timeout=60) == 0
    assert said == b""


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="this system has no such device")
def test_a_full_disk_is_told(folder: Path) -> None:
    words = [sys.executable, "-m", "evaluator", "grade", "row.txt", "monday.mid"]
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            words, cwd=folder, stdout=full, stderr=subprocess.PIPE, timeout=60, check=False
        )
    assert done.returncode == 1
    assert b"the output could not be written: the disk is full" in done.stderr
    assert b"Traceback" not in done.stderr


def test_a_damaged_take_is_graded_and_said_to_be_damaged(
    folder: Path, student_bytes: bytes
) -> None:
    (folder / "cut.mid").write_bytes(student_bytes[: len(student_bytes) * 2 // 3])
    done = evaluator(folder, "grade", "row.txt", "cut.mid")
    assert (done.returncode, done.stderr) == (0, "")
    assert "The recording had to be repaired." in done.stdout
    assert "The take stops in" in done.stdout


def test_a_channel_that_is_none_or_has_no_notes_is_refused(folder: Path) -> None:
    words = ("grade", "row.txt", "monday.mid", "--channel")
    assert "'17' is not a MIDI channel; give 1 to 16" in refused(evaluator(folder, *words, "17"), 2)
    said = refused(evaluator(folder, *words, "3"), 1)
    assert "Nothing is on channel 3; the notes are on channel 1." in said
