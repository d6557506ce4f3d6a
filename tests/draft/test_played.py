"""A sheet and a take of it: the draft is the chart that was played.

Charts and takes are invented; the player of `tests.playing` knows nothing of drafting.
"""

from dataclasses import replace

import pytest

from evaluator.chart import read_chart
from evaluator.chart.graph import BarGraph
from evaluator.draft import Asked, Draft, SheetError, read_sheet, write_draft
from evaluator.draft.played import draft_played
from evaluator.grading import grade_take, prepare
from evaluator.take.midi_file import read_take
from tests.playing import WrongChord, play, to_midi

HEAD = """\
title: Tin Moon
meter: {meter}
tempo: 100
bass: {bass}

pattern hands
  count | {count} |
  left  | {left} |
  right | {right} |
"""
STROLL = ("1 . 2 . 3 . 4 .", "x . . . x . . .", ". . x . . x x .")
SHEET = "Tin Moon\n\nTempo: {tempo}\n\n[Verse]\n{verse}\nla la la\n[Chorus]\n{chorus}\nlo lo\n"
VERSE = "\n[Verse]\n| D | A | Bm7 | G |\n| D | A | G / Em7 / | A |\n"
CHORUS = "\n[Chorus]\n| G | D/F# | Em7 | D |\n| D | x3\n"
TYPED = SHEET.format(tempo=104, verse="D A Bm7 G\n\nD A G Em7 A", chorus="G D/F# Em7 D\n\nD")


def chart(
    body: str, rows: tuple[str, str, str] = STROLL, *, meter: str = "4/4", bass: str = "A = C#"
) -> str:
    count, left, right = rows
    return HEAD.format(meter=meter, bass=bass, count=count, left=left, right=right) + body


def taken(text: str, **manner: object) -> bytes:
    return to_midi(play(read_chart(text), jitter_ms=8, spread_ms=5, **manner))


def drafted(sheet: str, raw: bytes, asked: Asked = Asked()) -> Draft:  # noqa: B008 - frozen
    return draft_played(read_sheet(sheet.encode(), name="x"), read_take(raw), asked)


def bars(graph: BarGraph) -> list[object]:
    """Meter, chords with their beats and basses of every bar as it is played."""
    return [
        (
            str(bar.meter),
            [(span.chord and span.chord.root, span.beats, span.bass) for span in bar.spans],
        )
        for bar in (graph.bars[index] for index in graph.written)
    ]


def test_the_draft_of_a_song_is_its_chart() -> None:
    text = chart(VERSE + CHORUS)
    raw = taken(text)
    draft = drafted(TYPED, raw)
    written = write_draft(draft)
    assert bars(read_chart(written)) == bars(read_chart(text))
    assert [(rule.chord.text, rule.note.text) for rule in draft.rules] == [("A", "C#")]
    assert draft.patterns[0].left == tuple("x...x...")
    assert draft.patterns[0].right == tuple("..x..xx.")
    assert grade_take(prepare(written), raw).marks.overall >= 97


def test_a_short_bar_and_a_tail_of_another_length_are_heard() -> None:
    body = (
        VERSE + CHORUS + VERSE.replace("| Bm7 | G |", "| 2/4: Bm7 | G |") + "\n[Chorus] tail x2\n"
    )
    text = chart(body.replace("[Verse]", "[Verse 2]", 2).replace("[Verse 2]", "[Verse]", 1))
    sheet = TYPED + "\n[Verse 2]\nD A Bm7 G\nla\nD A G Em7 A\nla\n[Chorus]\n"
    assert bars(read_chart(write_draft(drafted(sheet, taken(text))))) == bars(read_chart(text))


def test_sections_that_the_sheet_has_once_come_again_as_they_were_played() -> None:
    text = chart(VERSE + CHORUS + "\n[Verse]\n\n[Chorus] tail x4\n")
    draft = drafted(TYPED, taken(text))
    assert bars(read_chart(write_draft(draft))) == bars(read_chart(text))
    assert any("came again" in remark for remark in draft.remarks)


def test_a_waltz_is_counted_in_three() -> None:
    rows = ("1 2 3", "x . .", ". x x")
    text = chart(VERSE.replace("G / Em7 /", "G / Em7") + CHORUS, rows, meter="3/4")
    draft = drafted(TYPED, taken(text))
    assert str(draft.meter) == "3/4"
    assert bars(read_chart(write_draft(draft))) == bars(read_chart(text))


def test_swing_is_heard_and_the_pattern_written_straight() -> None:
    text = chart(VERSE + CHORUS).replace("tempo: 100", "tempo: 100\nfeel: swing 2:1")
    draft = drafted(TYPED, taken(text))
    assert draft.swing == "2:1"
    assert draft.patterns[0].right == tuple("..x..xx.")


def test_colours_stand_where_they_were_played() -> None:
    text = chart(VERSE.replace("| G |", "| G (Gsus4) |") + CHORUS)
    assert "G (Gsus4)" in write_draft(drafted(TYPED, taken(text, coloured=1.0)))


def test_a_last_chord_that_is_held_is_written_so() -> None:
    text = chart(VERSE + CHORUS + "\n[End]\n| G | <D> |\n")
    written = write_draft(drafted(TYPED + "\n[End]\nG D\nlu\n", taken(text)))
    assert "| G | <D> |" in written


def test_a_last_chord_that_comes_late_is_held_all_the_same() -> None:
    take = play(read_chart(chart(VERSE + CHORUS + "\n[End]\n| G | <D> |\n")), jitter_ms=8)
    end = take.truth.bars[-1].start
    later = [  # the beat before it, and the chord
        0.52 * (end - 0.8 < note.onset < end - 0.2) or 0.3 * (note.onset > end - 0.2)
        for note in take.notes
    ]
    slowed = tuple(
        replace(note, onset=note.onset + late, offset=note.offset + late)
        for note, late in zip(take.notes, later, strict=True)
    )
    raw = to_midi(replace(take, notes=slowed))
    assert "| G | <D> |" in write_draft(drafted(TYPED + "\n[End]\nG D\nlu\n", raw))


def test_hands_that_keep_to_no_pattern_get_none() -> None:
    text = chart(VERSE + CHORUS)
    graph = read_chart(text)
    take = play(graph, jitter_ms=8)
    notes = tuple(
        replace(note, onset=note.onset + later, offset=note.offset + later)
        for note in take.notes
        for later in [0.15 * (int(note.onset / 0.6) * 7 % 5) if note.hand == "right" else 0.0]
    )
    raw = to_midi(replace(take, notes=tuple(sorted(notes, key=lambda note: note.onset))))
    draft = drafted(TYPED, raw)
    assert draft.patterns == ()
    assert any("no pattern" in remark for remark in draft.remarks)


def test_a_chord_that_was_played_otherwise_is_doubted() -> None:
    text = chart(VERSE.replace("| Bm7 |", "| Bb |") + CHORUS)
    draft = drafted(TYPED, taken(text))
    written = write_draft(draft)
    assert "| D | A | A# | G |" in written
    assert "A# was played in the place of Bm7" in written
    sure, count = draft.sure
    assert sure < count


@pytest.mark.parametrize(
    ("sheet", "raw", "said"),
    [
        ("[A]\nEb Ab Bb7 Cm\nla\nFm Bb Eb\nlo\n", taken(chart(VERSE + CHORUS)), "not seem to be"),
        (TYPED, to_midi(play(read_chart(chart("\n[V]\n| A |\n")))), "too short"),
    ],
)
def test_what_does_not_belong_together_is_refused(sheet: str, raw: bytes, said: str) -> None:
    with pytest.raises(SheetError, match=said):
        drafted(sheet, raw)


OTHER = "[A]\nG D Em Bm\nla\nC G D A\nlo\nla\nBm Em A D\n[A]\n[A]\n"


def test_another_song_with_the_same_chords_is_refused() -> None:
    raw = taken(chart(VERSE + CHORUS + "\n[Verse]\n\n[Chorus]\n"))
    with pytest.raises(SheetError, match="only 19 of 30 bars go well with it"):
        drafted(OTHER, raw)


def test_the_same_sheet_and_take_give_the_same_draft() -> None:
    raw = taken(chart(VERSE + CHORUS))
    assert write_draft(drafted(TYPED, raw)) == write_draft(drafted(TYPED, raw))


def test_a_section_whose_rhythm_changes_all_the_time_is_free() -> None:
    text = chart(VERSE + CHORUS + "\n[Verse]\n\n[Chorus]\n")
    take = play(read_chart(text), jitter_ms=8)
    first = take.truth.bars[8].start - 0.2
    notes = tuple(
        replace(note, onset=note.onset + later, offset=note.offset + later)
        for note in take.notes
        for later in [0.15 * (int(note.onset / 0.6) * 7 % 5) * (note.hand == "right")]
        if first <= note.onset < first + 7 * 2.4
    )
    whole = [note for note in take.notes if not first <= note.onset < first + 7 * 2.4]
    played = tuple(sorted([*whole, *notes], key=lambda note: note.onset))
    draft = drafted(TYPED + "\n[Verse]\n\n[Chorus]\n", to_midi(replace(take, notes=played)))
    assert [section.pattern for section in draft.sections] == ["hands", "free", "hands", "hands"]
    assert "[Chorus] pattern free" in write_draft(draft)


SIXTEENTHS = (
    "1 . . . 2 . . . 3 . . . 4 . . .",
    "x . . x . . x . x . . x . . x .",
    "x . . x . . x . x . . x . . x .",
)


@pytest.mark.parametrize("said", [60, 73])
def test_three_sixteenths_are_no_beat_of_swung_eighths(said: int) -> None:
    text = chart(VERSE + CHORUS, SIXTEENTHS).replace("tempo: 100", "tempo: 66")
    draft = drafted(TYPED.replace("104", str(said)), taken(text))
    assert not draft.swing
    assert bars(read_chart(write_draft(draft))) == bars(read_chart(text))


@pytest.mark.parametrize(
    ("semitones", "said"), [(2, "2 semitones lower"), (-1, "A semitone higher")]
)
def test_a_take_in_another_key_is_asked_about_with_the_interval(semitones: int, said: str) -> None:
    take = play(read_chart(chart(VERSE + CHORUS)), jitter_ms=8).transposed(semitones)
    with pytest.raises(SheetError, match=f"{said} it would be .*: is it in another key"):
        drafted(TYPED, to_midi(take))


def test_a_take_with_many_doubtful_bars_is_asked_about() -> None:
    asked = "is it a take of this song"
    wrong = [WrongChord(bar, "C") for bar in (1, 3, 6, 8, 10, 12)]
    doubtful = drafted(TYPED, taken(chart(VERSE + CHORUS), faults=wrong))
    assert any(asked in remark for remark in doubtful.remarks)
    right = drafted(TYPED, taken(chart(VERSE + CHORUS)))
    assert not any(asked in remark for remark in right.remarks)


def test_a_section_played_otherwise_than_the_sheet_has_it_is_not_taken_for_one_left_out() -> None:
    """The bridge sounds more like the coda; but then nobody would have played it."""
    sheet = (
        "Tin Moon\n\nTempo: 100\n\n[Verse]\nD A Bm7 G\nla\nD A Em7 A\nla\n"
        "[Bridge]\nF#m9 Em9 E9 D6\nlo\nF#m9 Em9 A9 D6\nlo\n"
        "[Chorus]\nEm7 G Bm7 A\nlu\nEm7 G D A\nlu\n[Coda]\nF#m G A D\nli\nG G A D\n"
    )
    played = (
        "\n[Verse]\n| D | A | Bm7 | G |\n| D | A | Em7 | A |\n"
        "[Bridge]\n| F#m | G | A | D |\n| F#m | G | A | D |\n"
        "[Chorus]\n| Em7 | G | Bm7 | A |\n| Em7 | G | D | A |\n"
        "[Coda]\n| F#m | G | A | D |\n| G | G | A | D |\n"
    )
    draft = drafted(sheet, taken(chart(played)))
    assert [section.name for section in draft.sections] == ["Verse", "Bridge", "Chorus", "Coda"]


QUIET = "Tin Moon\n\nTempo: 100\n\n[Verse]\n{first}D A Bm7 G\nla\nD A Em7 A\nla\n"
QUIET += "[Bridge]\nN.C.\nlo\n[Chorus]\nG D Em7 A\nlu\nG D A D\n"
SILENT = (
    "\n[Verse]\n| D | A | Bm7 | G |\n| D | A | Em7 | A |\n[Bridge]\n| N.C. | N.C. |\n"
    "[Chorus]\n| G | D | Em7 | A |\n| G | D | A | D |\n"
)


def test_a_bar_without_a_chord_in_which_nothing_is_played_is_not_doubtful() -> None:
    draft = drafted(QUIET.format(first=""), taken(chart(SILENT)))
    assert bars(read_chart(write_draft(draft))) == bars(read_chart(chart(SILENT)))
    assert draft.sure == (18, 18)


def test_a_silence_before_the_first_chord_takes_no_beat_of_its_bar() -> None:
    draft = drafted(QUIET.format(first="N.C. "), taken(chart(SILENT)))
    assert bars(read_chart(write_draft(draft))) == bars(read_chart(chart(SILENT)))
    assert "it is left out" in write_draft(draft)


def test_a_chord_of_which_tones_are_missing_is_told_with_them() -> None:
    take = play(read_chart(chart(VERSE + CHORUS)), jitter_ms=8)
    end = take.truth.bars[-1].start
    bass = min(note.onset for note in take.notes if note.onset > end - 0.1) + 0.1
    text = write_draft(
        drafted(
            TYPED,
            to_midi(replace(take, notes=tuple(one for one in take.notes if one.onset < bass))),
        )
    )
    assert "D was not struck whole here: F# did not sound" in text


def test_a_line_changes_chords_at_the_same_beats_in_every_verse() -> None:
    """A chord on the last beat, where these hands strike nothing else, is easily missed in one."""
    verse = "\n| D | A | G / / D | D |\n| D / / A | Bm7 | G | A |\n"
    chorus = "\n[Chorus]\n| G | A | Em7 | D |\n"
    body = f"[Verse 1]{verse}{chorus}[Verse 2]{verse}{chorus}[Verse 3]{verse}"
    text = chart(body, ("1 2 3 4", "x . . .", "x . . ."), bass="Em7 = G")
    sheet = "Time: 4/4\nTempo: 100\nVerse 1\nD A G D\nla\nD A Bm7 G A\nlo\n\nChorus\nG A Em7 D\n"
    sheet += "\nVerse 2\nlu\nlu\n\nChorus\n\nVerse 3\nlu\nlu\n"
    raw = taken(text, seed=3, wander_pct=1.0, uneven=5.0, octaves=0.2, thinned=0.1)
    assert bars(read_chart(write_draft(drafted(sheet, raw)))) == bars(read_chart(text))
