"""What is kept of a report. Own rule, no outside source."""

from dataclasses import replace

from evaluator.grading import grade_take, prepare
from evaluator.history.entry import Content, Entry, entry_of, hash_of
from tests.cli.commands import CHART, take
from tests.playing import WrongBass, WrongChord


def kept(midi: bytes, *, hand: str | None = None, bars: str | None = None) -> Entry | None:
    song = prepare(CHART, hand=hand, bars=bars)  # type: ignore[arg-type]
    report = grade_take(song, midi, take_file="monday.mid")
    return entry_of(report, Content(CHART, midi), student="Anna", played_at=1.0, graded_at=2.0)


def test_every_bar_is_kept_with_what_was_wrong_with_it() -> None:
    entry = kept(take(WrongBass(2, "A"), WrongChord(3, "G"), without=(16,)))
    assert entry is not None
    wrong = {number: kinds for number, kinds in entry.bars.items() if kinds}
    (missing,) = (number for number, kinds in wrong.items() if kinds == "missing")
    assert missing in range(13, 17)  # of four bars that sound alike
    assert wrong == {2: "bass", 3: "chord", missing: "missing"}
    assert len(entry.bars) == 16
    assert entry.findings == ("missing",)
    assert (entry.student, entry.part, entry.rubric) == ("Anna", "", "steady")


def test_chart_and_take_are_known_by_their_content() -> None:
    midi = take()
    entry = kept(midi)
    assert entry is not None
    assert (entry.chart, entry.take) == (hash_of(CHART.encode()), hash_of(midi))


def test_a_part_of_the_song_is_not_taken_for_the_whole() -> None:
    passage = kept(take(), bars="1-4")
    assert passage is not None
    assert passage.part == "bars 1 to 4"


def test_what_is_no_take_of_the_song_is_not_kept() -> None:
    report = replace(grade_take(prepare(CHART), take()), matches=False)
    assert (
        entry_of(report, Content(CHART, take()), student="", played_at=0.0, graded_at=0.0) is None
    )
