"""Takes and sheets that are no song: they get a draft or a sentence, never anything else."""

import pytest

from evaluator.chart import read_chart
from evaluator.draft import Asked, SheetError, mending, read_sheet, write_draft
from evaluator.draft.alone import draft_take
from evaluator.draft.doubts import Doubter
from evaluator.draft.played import draft_played
from evaluator.take.midi_file import read_take
from evaluator.take.model import Take, make_take
from evaluator.theory.symbol import parse_chord
from tests.draft.test_own_take import THREE
from tests.draft.test_played import CHORUS, TYPED, VERSE, bars, chart, drafted, taken
from tests.playing import WrongChord

SHEET = "[A]\nC G Am F\nla\nC F G C\nlo\n"
LONG = "[A]\n" + "C G Am F " * 40 + "\nla\n"


def take(times: list[float], keys: list[int]) -> Take:
    return make_take(times, [time + 0.2 for time in times], keys, [60] * len(times))


ODD = {
    "all at once": take([k * 0.06 for k in range(12)], [60] * 12),
    "one key for ever": take([k * 0.5 for k in range(60)], [60] * 60),
    "every key": take([k * 0.11 for k in range(88)], list(range(21, 109))),
    "long gaps": take([float(k // 4 * 12) + k % 4 * 0.5 for k in range(24)], [48, 55, 60, 64] * 6),
    "one bar": take([k * 0.5 for k in range(9)], [48, 60, 64, 67, 43, 59, 62, 67, 48]),
    "late": take([300 + k * 0.5 for k in range(40)], [48, 60, 64, 67] * 10),
}


@pytest.mark.parametrize("name", ODD)
def test_an_odd_take_is_drafted_or_refused(name: str) -> None:
    try:
        draft = draft_played(read_sheet(SHEET.encode(), name="x"), ODD[name], Asked())
    except SheetError:
        return
    read_chart(write_draft(draft))


@pytest.mark.parametrize("name", ODD)
def test_an_odd_take_alone_is_drafted(name: str) -> None:
    read_chart(write_draft(draft_take(ODD[name], Asked(), name="x")))


def test_a_sheet_with_more_chords_than_beats_is_refused() -> None:
    with pytest.raises(SheetError, match="more chords than the take has beats"):
        draft_played(read_sheet(LONG.encode(), name="x"), ODD["one bar"], Asked())


def test_a_take_that_goes_on_for_hours_is_refused() -> None:
    hours = take([k * 10.0 for k in range(1000)], [60] * 1000)
    with pytest.raises(SheetError, match="more than 15 minutes"):
        draft_take(hours, Asked(), name="x")


def test_a_take_that_breaks_off_is_drafted_as_far_as_it_goes() -> None:
    sheet = THREE.replace("lo lo", "lo lo\n[Bridge]\nBm7 G Bm7 A\nlu\n", 1)
    song = chart(VERSE + CHORUS + "\n[Bridge]\n| Bm7 | G | Bm7 | A |\n\n[Verse]\n")
    draft = draft_played(read_sheet(sheet.encode(), name="x"), read_take(taken(song)), Asked())
    assert [section.name for section in draft.sections] == ["Verse", "Chorus", "Bridge", "Verse"]
    assert bars(read_chart(write_draft(draft))) == bars(read_chart(song))
    assert "the sheet has [Chorus] 3 times, the take 1" in draft.remarks


def test_a_colour_heard_in_a_half_bar_that_is_no_more_is_forgotten(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Where both chords of a bar were played as one other, the second has no place of its own."""
    ninth, seventh = parse_chord("Em9"), parse_chord("Em7")
    monkeypatch.setattr(Doubter, "prefers", lambda *_: True)
    monkeypatch.setattr(
        mending, "colour_of", lambda span, _: ninth if span.chord == seventh else None
    )
    raw = taken(chart(VERSE + CHORUS), faults=[WrongChord(7, "C", 0.0), WrongChord(7, "C", 2.0)])
    draft = drafted(TYPED, raw)
    (span,) = list(draft.bars())[6].spans
    assert span.chord is not None
    assert (span.chord.root.text, span.colours) == ("C", ())
