"""A sheet as people type it: what is chords, what words, what a section.

What sheets look like: common practice, no source.
"""

import pytest

from evaluator.chart import read_chart
from evaluator.draft import Asked, Draft, SheetError, draft_sheet, read_sheet, write_draft
from evaluator.draft.sheet import Sheet

SHEET = """\
The Copper Ladder
by Nora Quill

Intro: D  A  G

[Verse 1]
D            A
Down by the ladder where the tin men sleep
Bm7      G
nobody knows what the weathercocks keep

Chorus:
G   D/F#   Em7  A
Copper, copper, hold me

Verse 2
Under the ladder the shadows are blue
somebody painted them, nobody knew

(repeat Chorus)
"""


def read(text: str) -> Sheet:
    return read_sheet(text.encode(), name="a sheet")


def drafted(text: str) -> Draft:
    return draft_sheet(read(text), Asked())


def chords(sheet: Sheet) -> list[list[str]]:
    """Per section, the chords in their order."""
    return [
        [chord.text if chord else "N.C." for line in section.lines for chord in line.chords]
        for section in sheet.sections
    ]


def test_title_author_sections_chords_and_words_are_told_apart() -> None:
    sheet = read(SHEET)
    assert (sheet.title, sheet.by) == ("The Copper Ladder", "Nora Quill")
    assert [section.name for section in sheet.sections] == [
        "Intro",
        "Verse 1",
        "Chorus",
        "Verse 2",
        "Chorus",
    ]
    assert chords(sheet)[:3] == [["D", "A", "G"], ["D", "A", "Bm7", "G"], ["G", "D/F#", "Em7", "A"]]
    assert sheet.sections[1].lines[0].words == "Down by the ladder where the tin men sleep"


def test_a_verse_of_words_alone_takes_the_chords_of_the_verse_before() -> None:
    sheet = read(SHEET)
    assert chords(sheet)[3] == chords(sheet)[1]
    assert sheet.sections[3].lines[1].words == "somebody painted them, nobody knew"
    assert "those of Verse 1" in sheet.sections[3].remarks[0]


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1", "cp1252"]
)
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_a_sheet_is_read_in_whatever_an_editor_wrote_it(encoding: str, line_end: str) -> None:
    text = "Café Lantern\n\n[Verse]\nD\tA\nUnder the plane-trees, à midi\n".replace("\n", line_end)
    sheet = read_sheet(text.encode(encoding), name="x")
    assert sheet.title == "Café Lantern"
    assert sheet.sections[0].lines[0].words == "Under the plane-trees, à midi"
    assert chords(sheet) == [["D", "A"]]


@pytest.mark.parametrize("line", ["A", "Am  G", "| D | A |", "D - A - G", "D  A  (x2)", "N.C.  E7"])
def test_a_line_of_chords(line: str) -> None:
    assert read(f"[Verse]\n{line}\nand words\n").sections[0].lines[0].words == "and words"


@pytest.mark.parametrize("line", ["A day in a garden", "Add me up", "Go, Dad", "Be good", "Em"[:1]])
def test_a_line_of_words_or_one_chord(line: str) -> None:
    sheet = read(f"[Verse]\nD G\n{line}\n")
    assert (sheet.sections[0].lines[0].words == line) == (line != "E")


@pytest.mark.parametrize(
    ("heading", "times"),
    [("[Chorus] x2", 2), ("Chorus (x3):", 3), ("CHORUS", 1), ("[Chorus x2]", 2), ("Chorus:", 1)],
)
def test_a_heading_says_how_often(heading: str, times: int) -> None:
    sheet = read(f"[Verse]\nD G\nla\n{heading}\nA D\nlo\n")
    assert [section.name.casefold() for section in sheet.sections] == ["verse"] + ["chorus"] * times


@pytest.mark.parametrize("line", ["D G x2", "D G (x2)", "D G 2x", "D G (repeat)", "D G (twice)"])
def test_a_line_says_how_often(line: str) -> None:
    assert read(f"[Verse]\n{line}\nla\n").sections[0].lines[0].count == 2


def test_german_names_are_read_where_h_is_among_them() -> None:
    assert chords(read("[Verse]\nH7 E B\nla\n")) == [["B7", "E", "Bb"]]
    assert chords(read("[Verse]\nB7 E B\nla\n")) == [["B7", "E", "B"]]


def test_what_is_neither_chords_nor_words_is_asked_about() -> None:
    draft = drafted("[Verse]\nD G\nla la\ne|--3--2--|\n[D]now [G]then [loud]\n-----\n")
    text = write_draft(draft)
    assert "line 4 of the sheet is neither chords nor words; what is it? e|--3--2--|" in text
    assert "what is it? [D]now [G]then [loud]" in text
    assert "-----" not in text


def test_a_chord_that_is_nearly_one_is_read_and_said() -> None:
    assert "# Cdom7 is read as" in write_draft(drafted("[Verse]\nD Cdom7 G\nla\n"))


@pytest.mark.parametrize("text", ["", "only words\nand more of them\n", "1 2 3\n"])
def test_a_text_without_chords_is_refused_with_a_sentence(text: str) -> None:
    with pytest.raises(SheetError, match="No line of this text consists of chords"):
        read(text)


PROSE = "Whoever reads this far will know by now that nobody has ever sung such a sentence.\n"


@pytest.mark.parametrize(
    ("rows", "said"), [(1, "1 line of it consists"), (2, "2 lines of it consist")]
)
def test_prose_with_a_few_chords_in_it_is_no_sheet(rows: int, said: str) -> None:
    with pytest.raises(SheetError, match=f"mostly prose: only {said} of chords"):
        read(11 * rows * PROSE + rows * "\n| D | A | Bm7 | G |\n")


@pytest.mark.parametrize("verses", [40 * "a line that is sung\n", 8 * PROSE])
def test_a_song_has_chords_for_its_first_line_alone(verses: str) -> None:
    assert len(read("[Verse]\nD  A  Bm7  G\n" + verses).sections) == 1


def test_the_facts_of_a_sheet_are_kept_or_told() -> None:
    sheet = read("Title: Tin Moon\nKey: E minor\nTempo: 84 bpm\nTime: 3/4\nCapo: 2\n\nEm D\nla\n")
    assert (sheet.title, sheet.tempo, str(sheet.meter)) == ("Tin Moon", 84, "3/4")
    assert sheet.key is not None
    assert sheet.key.mode == "minor"
    assert any("capo 2" in remark for remark in sheet.remarks)


def test_a_draft_without_a_take_has_a_bar_a_chord_and_says_so() -> None:
    draft = drafted(SHEET)
    graph = read_chart(write_draft(draft))
    assert graph.count == 3 + 4 + 4 + 4 + 4
    assert draft.sure == (0, 19)
    assert "one bar per chord is assumed" in write_draft(draft)


def test_bar_lines_of_a_sheet_are_kept() -> None:
    draft = drafted("Time: 4/4\n[Verse]\n| D G | A | Em A D |\nla\n")
    assert draft.sure == (2, 3)
    assert "| D G | A | Em / A D |" in write_draft(draft)
    assert "3 chords share 4 beats" in write_draft(draft)


def test_bars_alike_at_the_end_of_a_section_become_its_tail() -> None:
    text = write_draft(drafted("[Verse]\nD G\nla\n[Chorus]\nA D D D\nlo\n[Verse]\n[Chorus]\n"))
    assert "| A |\n  lo\n| D | x3" in text
    assert text.rstrip().endswith("[Verse]\n\n[Chorus]")


@pytest.mark.parametrize(
    "words", ["left | over", "tempo: slowly", "# a sharp thing", "[whispered", "or | so"]
)
def test_words_are_never_read_as_anything_else(words: str) -> None:
    graph = read_chart(write_draft(drafted(f"[Verse]\nD G\nla {words}\nA D\n{words} lo\n")))
    assert graph.count == 4


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("D G\nla\n" * 1_001, "longer than a song sheet"),
        ("D G " * 600 + "\n", "longer than a song sheet"),
        ("D G A D D x64\nla\n" * 4, "more than 1000 chords"),
    ],
)
def test_a_sheet_beyond_any_song_is_refused(text: str, said: str) -> None:
    with pytest.raises(SheetError, match=said):
        read("[Verse]\n" + text)


def test_a_heading_with_a_word_far_behind_it_is_read_without_much_ado() -> None:
    """Looked for in every way to part so many spaces, it took minutes."""
    text = "Verse" + 1900 * " " + "x"
    sheet = read_sheet(f"[Chorus]\nC G\n{text}\n".encode(), name="a sheet")
    assert sheet.sections[0].name == "Chorus"
