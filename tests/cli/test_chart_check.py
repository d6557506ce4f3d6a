"""`evaluator chart check`."""

from pathlib import Path

import pytest

from tests.cli.commands import evaluator, refused

CHARTS = Path(__file__).resolve().parents[2] / "charts"


def test_a_chart_without_mistakes_is_summed_up(folder: Path) -> None:
    done = evaluator(folder, "chart", "check", "row.txt")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == (
        "Copper Kettle Row: 16 bars of 4/4 at 96 beats a minute.\n"
        "  Verse: eight bars (bars 1 to 8)\n"
        "  Chorus: eight bars (bars 9 to 16)\n"
        "No mistakes.\n"
    )


def test_a_chart_without_a_pattern_is_said_to_have_none(folder: Path) -> None:
    (folder / "bare.txt").write_text("title: Bare\ntempo: 90\n[A]\n| C |\n", encoding="utf-8")
    done = evaluator(folder, "chart", "check", "bare.txt")
    assert "no pattern, so the rhythm is not judged" in " ".join(done.stdout.split())


def test_mistakes_are_told_with_their_places(folder: Path) -> None:
    text = (folder / "row.txt").read_text(encoding="utf-8").replace("Bm7", "Bm77")
    (folder / "row.txt").write_text(text, encoding="utf-8")
    said = refused(evaluator(folder, "chart", "check", "row.txt"), 1)
    assert said.startswith("row.txt:12:")
    assert "Bm7" in said
    assert "    ^" in said.replace("|", " ") or "^" in said


def test_a_chart_that_an_editor_saved_in_utf_16_is_read(folder: Path) -> None:
    said = evaluator(folder, "chart", "check", "row.txt").stdout
    text = (folder / "row.txt").read_text(encoding="utf-8")
    (folder / "row.txt").write_text(text, encoding="utf-16")
    done = evaluator(folder, "chart", "check", "row.txt")
    assert (done.returncode, done.stdout, done.stderr) == (0, said, "")


def test_what_is_probably_not_meant_is_told_and_the_chart_is_good_all_the_same(
    folder: Path,
) -> None:
    text = (folder / "row.txt").read_text(encoding="utf-8")
    text = text.replace("[Chorus]", "G  Em7  A\n[Solo optional]\n| D |\n\n[Chorus]")
    (folder / "row.txt").write_text(text, encoding="utf-8")
    done = evaluator(folder, "chart", "check", "row.txt")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.endswith(
        "No mistakes, but look at this again:\n"
        "row.txt:17:1: this line of chord names has no bar lines, so it is read as words\n"
        "    G  Em7  A\n"
        "    ^\n"
        "    put | between the bars: | G | Em7 | A |\n"
        "row.txt:18:1: `optional` stands in the name of the section, so it is not an option\n"
        "    [Solo optional]\n"
        "    ^\n"
        "    put it behind the bracket: [Solo] optional\n"
    )


@pytest.mark.parametrize("chart", ["kettle_lane", "ladder_shuffle", "tallow_moon"])
def test_the_songs_of_the_project_leave_nothing_to_say(folder: Path, chart: str) -> None:
    done = evaluator(folder, "chart", "check", str(CHARTS / f"{chart}.txt"))
    assert done.stdout.endswith("\nNo mistakes.\n")


def test_a_take_is_not_a_chart(folder: Path) -> None:
    assert "monday.mid is a MIDI file, not a chart." in refused(
        evaluator(folder, "chart", "check", "monday.mid"), 1
    )


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_a_score_is_named_as_one(folder: Path, encoding: str) -> None:
    text = '<?xml version="1.0"?>\n<score-partwise/>\n'
    (folder / "song.musicxml").write_text(text, encoding=encoding)
    assert "a MusicXML score, not a chart" in refused(
        evaluator(folder, "chart", "check", "song.musicxml"), 1
    )


def test_the_command_after_chart_is_needed(folder: Path) -> None:
    done = evaluator(folder, "chart")
    assert done.returncode == 2
    assert "Not given: COMMAND." in done.stderr
