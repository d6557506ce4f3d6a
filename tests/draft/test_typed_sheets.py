"""Sheets as teachers type them: what stands beside the chords, and how sections are named.

Common practice, no source; the songs are invented.
"""

import pytest

from evaluator.chart import read_chart
from evaluator.draft import Asked, draft_sheet, read_sheet, write_draft
from evaluator.draft.sheet import Sheet
from evaluator.theory.pitch import parse_key


def read(text: str) -> Sheet:
    return read_sheet(text.encode(), name="a sheet")


def written(text: str) -> str:
    chart = write_draft(draft_sheet(read(text), Asked()))
    read_chart(chart)
    return chart


def names(sheet: Sheet) -> list[str]:
    return [
        chord.text if chord else "N.C." for line in sheet.sections[0].lines for chord in line.chords
    ]


@pytest.mark.parametrize(
    ("line", "note", "count"),
    [
        ("G  D  C  (let ring)", "let ring", 1),
        ("G  D  C  let ring", "let ring", 1),
        ("G  D  C  rit.", "rit.", 1),
        ("G  D  C  (x4, fade)", "fade", 4),
        ("G (hold)  D  C", "hold", 1),
        ("G  D  C   <- quick, all of you!", "quick, all of you!", 1),
    ],
)
def test_what_is_written_beside_chords_is_told_and_is_no_chord(
    line: str, note: str, count: int
) -> None:
    sheet = read(f"[Verse]\n{line}\nla la\n")
    assert names(sheet) == ["G", "D", "C"]
    assert sheet.sections[0].lines[0].remarks == (f"the sheet says: {note}",)
    assert sheet.sections[0].lines[0].count == count


def test_a_chord_alone_with_a_remark_is_a_line_of_chords() -> None:
    assert names(read("[Outro]\nG (hold)\n")) == ["G"]


@pytest.mark.parametrize("line", ["A (long) day in June", "Go (oh!) baby", "E (the note) is flat"])
def test_words_with_brackets_stay_words(line: str) -> None:
    assert read(f"[Verse]\nD G\n{line}\n").sections[0].lines[0].words == line


@pytest.mark.parametrize("line", ["|: G | D :|", "||: G | D :||", "| G | D :|", "|: G | D :| x2"])
def test_repeat_signs_play_a_line_twice(line: str) -> None:
    line_read = read(f"[Verse]\n{line}\nla\n").sections[0].lines[0]
    assert (line_read.count, len(line_read.bars)) == (2, 2)


def test_a_bar_like_the_one_before_is_that_bar_again() -> None:
    assert "| G | G | D |" in written("Time: 4/4\n[Verse]\n| G | % | D |\nla\n")


def test_slashes_are_beats() -> None:
    text = written("Time: 4/4\n[Verse]\n| G / / D | Em / A / |\nla\n")
    assert "| G / / D | Em A |" in text
    assert "share" not in text


def test_slashes_make_bars_where_no_bar_lines_stand() -> None:
    assert "| Em7 | G A7 |" in written("Time: 4/4\n[Verse]\nEm7 / / /  G / A7 /\nla\n")


@pytest.mark.parametrize("line", ["Intro   D - A - Bm", "Intro: D A Bm", "Intro - D A Bm"])
def test_a_section_and_its_chords_on_one_line(line: str) -> None:
    sheet = read(f"{line}\n\n[Verse]\nD G\nla\n")
    assert sheet.sections[0].name == "Intro"
    assert names(sheet) == ["D", "A", "Bm"]


def test_how_often_chords_behind_a_heading_come_is_the_lines() -> None:
    sheet = read("Intro: G D Em C x2\n[Verse]\nD G\nla\n")
    assert [section.name for section in sheet.sections] == ["Intro", "Verse"]
    assert sheet.sections[0].lines[0].count == 2


@pytest.mark.parametrize(
    "heading",
    [
        "Verse 2 (same chords as verse 1)",
        "Solo over verse chords",
        "Solo - over the verse 1 chords",
        "[Solo] same as verse 1",
        "Final verse",
        "Last verse:",
    ],
)
def test_a_section_that_asks_for_the_chords_of_another(heading: str) -> None:
    sheet = read(f"Verse 1\nD G\nla\nChorus\nA E\nlo\n{heading}\n")
    assert sheet.sections[2].lines[0].chords == sheet.sections[0].lines[0].chords


@pytest.mark.parametrize(
    "line",
    ["[Chorus] (repeat)", "Chorus again", "Back to chorus", "Repeat chorus", "Chorus (again)"],
)
def test_a_section_comes_again_in_any_of_these_words(line: str) -> None:
    sheet = read(f"[Chorus]\nD G\nla\n[Verse]\nA\nlo\n{line}\n")
    assert sheet.sections[2].lines == sheet.sections[0].lines


def test_end_on_a_chord_adds_it_only_where_the_song_is_not_there_yet() -> None:
    assert len(read("[Verse]\nG D\nla\nEnd on D\n").sections) == 1
    assert len(read("[Verse]\nD G\nla\nChorus\nG A\nEnd on D\n").sections) == 3


@pytest.mark.parametrize(
    ("line", "meter", "tempo"),
    [
        ("Key: Am   Tempo: 84   Time: 3/4", "3/4", 84),
        ("3/4, 84 bpm", "3/4", 84),
        ("Time signature 3/4", "3/4", None),
        ("♩ = 84", None, 84),
    ],
)
def test_facts_of_a_song_however_they_are_written(
    line: str, meter: str | None, tempo: float | None
) -> None:
    sheet = read(f"Paper Boats\n{line}\n\nAm F\nla\n")
    assert sheet.title == "Paper Boats"
    assert (str(sheet.meter) if sheet.meter else None, sheet.tempo) == (meter, tempo)


@pytest.mark.parametrize(
    ("line", "title", "by"),
    [
        ("Paper Boats - by Tom Quill", "Paper Boats", "Tom Quill"),
        ("Paper Boats (by Tom Quill)", "Paper Boats", "Tom Quill"),
        ("3. Paper Boats", "Paper Boats", ""),
        ("Down by the River", "Down by the River", ""),
    ],
)
def test_a_title_with_what_else_stands_beside_it(line: str, title: str, by: str) -> None:
    sheet = read(f"{line}\n\n[Verse]\nAm F\nla\n")
    assert (sheet.title, sheet.by) == (title, by)


@pytest.mark.parametrize("line", ["Capo 2", "capo on 2", "Capo: 2", "CAPO 2nd fret"])
def test_a_capo_is_asked_about(line: str) -> None:
    sheet = read(f"Paper Boats\n{line}\n\nAm F\nla\n")
    assert any(remark.startswith("the sheet says capo 2") for remark in sheet.remarks)


def test_key_and_meter_in_brackets_behind_the_title() -> None:
    sheet = read("Tin Waltz (3/4)\n\nG D\nla\n")
    assert (sheet.title, str(sheet.meter)) == ("Tin Waltz", "3/4")
    sheet = read("Sugar Mill (D)\n\nG D\nla\n")
    assert sheet.title == "Sugar Mill"
    assert sheet.key is not None
    assert sheet.key.tonic.text == "D"


@pytest.mark.parametrize(
    "head",
    [
        "Tin Moon\t\t\tTempo 90\tKey: A minor",
        "Tin Moon (in A minor, 90 bpm)",
        "Tin Moon   in A minor   90 bpm",
    ],
)
def test_facts_beside_the_title_are_none_of_it(head: str) -> None:
    sheet = read(f"{head}\n\nAm  G\nla la\n")
    assert (sheet.title, sheet.tempo) == ("Tin Moon", 90)
    assert sheet.key is not None
    assert (sheet.key.tonic.text, sheet.key.mode) == ("A", "minor")


def test_words_far_behind_a_title_belong_to_it() -> None:
    assert read("Tin Moon   a round\n\nAm  G\nla la\n").title == "Tin Moon   a round"


def test_small_letters_beside_large_ones_are_minor_and_told() -> None:
    chart = written("Verse\na  d7  E7  h\nla la\nC  G  H7  E\nlo lo\n")
    assert "| Am | Dm7 | E7 | Bm |" in chart
    assert "a is read as Am" in chart


def test_small_letters_alone_are_words() -> None:
    assert names(read("C  G\na b c d\n")) == ["C", "G"]


def test_a_chord_that_is_marked_as_held_is_a_chord() -> None:
    assert names(read("F  G  <Am>\nla\n")) == ["F", "G", "Am"]


@pytest.mark.parametrize(
    "heading", ["Verse 1.", "**Verse 1**", "V1", "v 1", "1.", "1)", "Verse 1 (softly)"]
)
def test_a_verse_however_it_is_headed(heading: str) -> None:
    first, second = heading, heading.replace("1", "2")
    sheet = read(f"{first}\nD G\nla la\n\nCH\nG D\noh\n\n{second}\nlu lu\n\nCH\n")
    assert [section.name for section in sheet.sections][1::2] == ["CH", "CH"]
    assert [line.words for line in sheet.sections[2].lines] == ["lu lu"]
    assert sheet.sections[2].lines[0].chords == sheet.sections[0].lines[0].chords


def test_what_stands_in_brackets_behind_a_heading_is_told() -> None:
    assert "# the sheet says: softly" in written("Verse (softly)\nD G\nla la\n")


def test_chords_in_brackets_among_the_words_are_chords_over_them() -> None:
    sheet = read("[Verse]\n[D]Now and [Gm7/D]then\n[A]oh [D]no\n")
    assert names(sheet) == ["D", "Gm7/D", "A", "D"]
    assert [line.words for line in sheet.sections[0].lines] == ["Now and then", "oh no"]


@pytest.mark.parametrize(
    "line",
    [
        "Tempo ca. 126 bpm, 3/4, key Bb",
        "(key of Bb, 3/4, ~ 126)",
        "3/4, bright and early, Bb major for once, in Bb major, ca. 126",
    ],
)
def test_several_facts_on_one_line(line: str) -> None:
    sheet = read(f"A title\n{line}\n\n[Verse]\nBb Eb\nla\n")
    assert (sheet.tempo, sheet.meter and str(sheet.meter)) == (126, "3/4")
    assert sheet.key == parse_key("Bb")
    assert bool(sheet.remarks) == ("bright" in line)


@pytest.mark.parametrize(
    "line", ["(same as 1)", "like verse one", "same chords as verse 1", "(like V 1)"]
)
def test_below_a_heading_it_may_say_whose_chords_it_takes(line: str) -> None:
    first = "V 1" if "V" in line else "1."
    sheet = read(f"{first}\nD G\nla la\n\nBreak\nE A\n\nBridge\n{line}\nlu lu\n")
    (taken,) = sheet.sections[2].lines
    assert (taken.chords, taken.words) == (sheet.sections[0].lines[0].chords, "lu lu")


def test_as_words_of_a_song_it_says_nothing_of_chords() -> None:
    assert read("[Verse]\nD G\nlike the verse\n").sections[0].lines[0].words == "like the verse"


@pytest.mark.parametrize(("said", "count"), [("repeat", 2), ("repeat 4 times", 4), ("again", 2)])
def test_repeat_behind_chords_is_how_often_they_come(said: str, count: int) -> None:
    (line,) = read(f"[Intro]\nD G {said}\n").sections[0].lines
    assert (line.count, line.remarks) == (count, ())


def test_chords_may_be_joined_by_dashes() -> None:
    assert names(read("[Verse]\nC-G - D-C/E-Em7\nla\n")) == ["C", "G", "D", "C/E", "Em7"]
    assert names(read("[Verse]\nC-7  D\nla\n")) == ["C-7", "D"]


@pytest.mark.parametrize("line", ["2x Chorus", "(2 x Chorus)", "**Chorus x2**"])
def test_how_often_a_section_comes_may_stand_before_it(line: str) -> None:
    sheet = read(f"[Chorus]\nC G\noh\n\n[Break]\nAm\n\n{line}\n")
    assert [section.name for section in sheet.sections] == ["Chorus", "Break", "Chorus", "Chorus"]


def test_the_order_of_the_song_in_letters_is_no_line_of_chords() -> None:
    text = written("Verse: G D\nChorus: C G Am\nForm: V C V C B C C\n")
    assert "is neither chords nor words; what is it? Form: V C V C B C C" in text
    assert "| B" not in text


def test_a_section_that_comes_again_with_other_words() -> None:
    sheet = read("Verse 1\nD G\nla\n\nPre\nA\n\nRepeat Verse with these words:\nlu lu\n")
    assert [section.name for section in sheet.sections] == ["Verse 1", "Pre", "Verse"]
    assert sheet.sections[2].lines[0].words == "lu lu"


def test_a_section_that_is_another() -> None:
    sheet = read("Verse 1\nD G\nla\n\nInterlude = Verse\n")
    assert names(sheet) == [chord.text for chord in sheet.sections[1].lines[0].chords if chord]


def test_a_name_that_was_a_heading_is_one_again_whatever_it_means() -> None:
    sheet = read("Verse 1\nD G\nla\n\nKehrreim:\nA D\noh\n\nVerse 2\nlu\n\nKehrreim x2\n")
    assert [one.name for one in sheet.sections[3:]] == ["Kehrreim", "Kehrreim"]
    assert [line.words for line in sheet.sections[2].lines] == ["lu"]


@pytest.mark.parametrize("sign", ["%", "./."])
def test_a_sign_for_the_bar_before_is_that_bar(sign: str) -> None:
    (line,) = read(f"[Verse]\n| G | {sign} | D |\nla\n").sections[0].lines
    assert [len(bar) for bar in line.bars] == [1, 1, 1]
    assert names(read(f"[Verse]\n| G | {sign} | D |\nla\n")) == ["G", "G", "D"]


def test_chords_that_are_struck_short_are_chords() -> None:
    assert names(read("[Verse]\nD!   A!  D (stop)\n")) == ["D", "A", "D"]


def test_a_line_of_chords_in_brackets_alone() -> None:
    assert names(read("[Verse]\n[Am]Up the [F]hill\n[C] [G]\n")) == ["Am", "F", "C", "G"]


def test_the_facts_of_a_german_sheet() -> None:
    sheet = read("Titel: Der Mond im Topf\nTonart: fis-Moll\nTakt: 3/4\n\nStrophe\nC G\nla\n")
    assert (sheet.title, str(sheet.meter)) == ("Der Mond im Topf", "3/4")
    assert sheet.key == parse_key("F#m")
    assert read("T\nTonart: B-Dur\n\nC G\nla\n").key == parse_key("Bb")
    assert read("T\nTonart: Es-Dur\n\nC G\nla\n").key == parse_key("Eb")


@pytest.mark.parametrize("heading", ["Zwischenspiel", "Schluss", "Ende: C G", "Kehrreim: C G"])
def test_a_heading_in_german(heading: str) -> None:
    sheet = read(f"Strophe\nD A\nla la\n\n{heading}\nC G\n")
    assert [one.name for one in sheet.sections] == ["Strophe", heading.removesuffix(": C G")]


@pytest.mark.parametrize(
    ("said", "tempo"),
    [
        ("BPM 110 | 6/8", 110),
        ("6/8, medium swing (q=132)", 132),
        ("6/8, dotted quarter = 60", 180),
        ("6/8, ♩. = 60", 180),
    ],
)
def test_a_tempo_however_it_is_said(said: str, tempo: float) -> None:
    assert read(f"A title\n{said}\n\nG D\nla\n").tempo == tempo


def test_a_dotted_quarter_is_three_beats_in_eighths_alone() -> None:
    assert read("A title\n4/4, ♩. = 60\n\nG D\nla\n").tempo == 60


def test_what_stands_beside_a_title_that_has_its_own_line_is_told() -> None:
    sheet = read("Song: Quiet Engine\nfor the left hand\n\nG D\nla\n")
    assert sheet.title == "Quiet Engine"
    assert sheet.remarks == ("above the first chords: for the left hand",)


def test_a_key_alone_far_behind_a_title() -> None:
    sheet = read("Paper Kite   Am   6/8\n\nAm F\nla\n")
    assert (sheet.title, sheet.key) == ("Paper Kite", parse_key("Am"))


def test_sections_that_are_named_by_letters() -> None:
    sheet = read("A:\n| F#m | E |\nla\n\nB:\n| D | E |\nlo\n\nA (2x)\nB\n")
    assert [one.name for one in sheet.sections] == ["A", "B", "A", "A", "B"]


def test_a_chord_alone_stays_one_where_no_section_has_its_name() -> None:
    assert names(read("[Verse]\nG D\nla\nA\nlo\n")) == ["G", "D", "A"]


def test_verses_that_have_their_numbers_before_their_words() -> None:
    sheet = read("G  C\n1. Water down\nG  D\nthe wheel\n2. Water up\nthe hill\n\nChorus\nC\nlo\n")
    assert [one.name for one in sheet.sections] == ["Verse 1", "Verse 2", "Chorus"]
    assert [line.words for line in sheet.sections[0].lines] == ["Water down", "the wheel"]
    assert [line.words for line in sheet.sections[1].lines] == ["Water up", "the hill"]
    assert sheet.sections[0].lines[1].chords == sheet.sections[1].lines[1].chords


def test_a_number_before_words_under_a_heading_is_no_other_section() -> None:
    sheet = read("Intro:\nD\n\nVerse:\nG  C\n1. Water down\n2. Water up\n")
    assert [one.name for one in sheet.sections] == ["Intro", "Verse", "Verse 2"]
    assert sheet.sections[2].lines[0].chords == sheet.sections[1].lines[0].chords


def test_a_number_before_the_chords_is_the_verses() -> None:
    sheet = read("1. G  C\n   Water down\n2. Water up\n")
    assert [one.name for one in sheet.sections] == ["Verse 1", "Verse 2"]
    assert names(sheet) == ["G", "C"]


@pytest.mark.parametrize("said", ["(same)", "same", "(as before)"])
def test_the_same_below_a_heading_are_the_chords_of_its_like(said: str) -> None:
    sheet = read(f"V1\nD G\nla\n\nV2\n{said}\n")
    assert [(line.chords, line.words) for line in sheet.sections[1].lines] == [
        (sheet.sections[0].lines[0].chords, "")
    ]


def test_two_columns_are_read_one_after_the_other() -> None:
    sheet = read(
        "Long Division\n"
        "Verse                    Chorus\n"
        "C    G    Am   F         F    G   C\n"
        "one two three four       carry the one\n"
        "C    G    F    C         http://a.b\n"
        "five six seven eight\n"
    )
    assert [one.name for one in sheet.sections] == ["Verse", "Chorus"]
    assert [line.words for line in sheet.sections[0].lines] == [
        "one two three four",
        "five six seven eight",
    ]
    assert names(read("Verse   G  D\nla\n")) == ["G", "D"]
    assert "line 5 of the sheet" in sheet.sections[1].remarks[0]


def test_headings_with_signs_before_them() -> None:
    sheet = read("# Old Stove\n## Verse\nC  G\nla\n\n## Chorus\n**F**  **C**\nlo\n\n## Verse\nlu\n")
    assert sheet.title == "Old Stove"
    assert [one.name for one in sheet.sections] == ["Verse", "Chorus", "Verse"]


def test_a_tempo_in_words_with_a_number_behind_it() -> None:
    assert read("A title\nTempo: Moderato (♩= 76)\n\nG D\nla\n").tempo == 76


def test_a_meter_among_other_words_above_the_chords_is_the_songs() -> None:
    sheet = read("A title\nan old 6/8 jig\n\nG D\nla\n")
    assert str(sheet.meter) == "6/8"
    assert sheet.remarks == ("above the first chords: an old 6/8 jig",)


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("Verse 1:", "Verse 2: (as V1)"),
        ("V1", "Verse 2:"),
        ("Verse 1", "V2"),
        ("Str. 1", "Strophe 2"),
        ("Ref.", "Refrain"),
    ],
)
def test_a_short_name_is_the_long_one(first: str, second: str) -> None:
    sheet = read(f"{first}\nD G\nla\n\nBreak\nC\n\n{second}\nlu\n")
    assert sheet.sections[2].lines[0].chords == sheet.sections[0].lines[0].chords


@pytest.mark.parametrize("line", ["Chorus - all sing", "Chorus with harmony", "CH w/ harmony"])
def test_what_is_said_behind_a_section_that_comes_again_is_told(line: str) -> None:
    sheet = read(f"Chorus\nD G\nla\n\nVerse\nC\nlu\n\n{line}\n")
    assert sheet.sections[2].lines == sheet.sections[0].lines
    assert sheet.sections[2].remarks[0].startswith("the sheet says: ")


def test_a_bracket_of_a_chord_is_the_chords_wherever_it_ends() -> None:
    assert names(read("[Verse]\n| Dm | Cm(maj7) | C-9 |\nla\n")) == ["Dm", "Cm(maj7)", "C-9"]
    assert names(read("[Verse]\nG  Am(hold)\nla\n")) == ["G", "Am"]


def test_small_letters_far_apart_are_minor_chords() -> None:
    assert names(read("[Verse]\nC       G\nla\na           e\nlu\n")) == ["C", "G", "Am", "Em"]


def test_a_bass_in_german_tells_how_the_chords_are_named() -> None:
    assert names(read("[Strophe]\nC  G/H  B\nla\n")) == ["C", "G/B", "Bb"]
