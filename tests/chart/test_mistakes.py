"""Mistakes of a chart, each with its place, what was found and what would be right.

The table is the chart format's promise; a `^` line under each line of text marks the column.
"""

import pytest

from evaluator.chart import parse_chart
from evaluator.errors import SHOWN, ChartError
from evaluator.errors.mistake import Mistake
from tests.chart.songs import HEADER

PATTERN = "pattern stroll\n  left | x . |\n"

# Chart text with a caret line under the mistake; words of the message; of the suggestion.
HEADER_MISTAKES = [
    ("titel: Lane\n^", "`titel` is not a header name", "did you mean `title`?"),
    ("by: Ann\nby: Ben\n^", "`by` is given twice", ""),
    ("title:\n^", "`title` is given twice", ""),
    ("hello there\n^", "not a header line", "name: value"),
    ("C Am  F\n^", "not a header line", "between the bars: | C | Am | F |"),
    ("key: H major\n     ^", "is not a key", "D major"),
    ("meter: four\n       ^", "`four` is not a meter", "4/4"),
    ("meter: 4/5\n       ^", "no note value 5", "1, 2, 4"),
    ("meter: 40/4\n       ^", "1 to 32 beats, not 40", ""),
    ("feel: swing\n      ^", "`swing` is not a feel", "swing 2:1"),
    ("feel: swing 5:1\n      ^", "1:1 to 4:1, not 5:1", "long eighth"),
    ("feel: swing 1:2\n      ^", "not 1:2", "long eighth comes first"),
    ("bass: D\n      ^", "a bass rule is `CHORD = NOTE`", "A = C#"),
    ("bass: D = C#, G = H\n              ^", "'H' is not a note name", "A-G"),
    ("bass: Dq = C#\n       ^", "cannot be read", ""),
    ("bass: D = C#, D = E, D = F\n                     ^", "`D` has two bass rules", ""),
    ("bass: D/A = C#\n      ^", "a bass of its own", "`D`"),
    ("bass: D = C#, D = E\n              ^", "`D` has two bass rules", ""),
    ("bass: A7 = C#\n      ^", "no plain A7 stands in the chart", "exactly as written"),
    ("pattern: stroll\n         ^", "no pattern `stroll`", "defines no pattern"),
    (PATTERN + "pattern: strol\n         ^", "no pattern `strol`", "did you mean `stroll`?"),
    ("| D |\n^", "before the first section", "[Verse]"),
]
PATTERN_MISTAKES = [
    ("pattern p 4/x\n          ^", "`4/x` is not a meter", ""),
    ("pattern p\n^", "no row for either hand", "left | x"),
    ("pattern p\n  count | 1 2 3 4 |\n  lefd | x . |\n  ^", "`lefd` is not a row", "`left`?"),
    ("pattern p\n  left | x . |\n  left | x . |\n  ^", "row `left` is given twice", ""),
    ("pattern p\n  left | x . . .\n               ^", "row `left` is not closed", "|"),
    ("pattern p\n  left | x . | x . |\n             ^", "one bar long", ""),
    ("pattern p\n  left | |\n  ^", "row `left` is empty", ""),
    ("pattern p\n  left | x . y . |\n             ^", "`y` is not a stroke", ". x - 1 3 5 7 8"),
    ("pattern p\n  left | x... |\n         ^", "`x...` is not a stroke", "x . . ."),
    ("pattern p\n  left | 2 . |\n         ^", "`2` is not a stroke", ""),
    ("pattern p\n  left | x . |\n  right | x . . |\n  ^", "has 3 columns, `left` has 2", "same"),
    ("pattern p\n  left | x . . . . . . |\n         ^", "7 columns do not fit a bar of 4/4", "8"),
    (
        "pattern p\n  count | 1 . 2 . 3 . |\n              ^\n  left  | x . . . . . |",
        "beat 2 does not belong here in a bar of 4/4 with 6 columns",
        "pattern p 3/4",
    ),
    ("pattern p\n  left | x |\n  bass: free\n        ^", "`bass: free` is not known", "as written"),
    (PATTERN + PATTERN.replace("\n", "\n^\n", 1), "already defined in line 3", "another name"),
]
SECTION_MISTAKES = [
    ("[Verse\n^", "heading is not closed", "[Verse]"),
    ("[]\n^\n| D |", "no name", "[Verse 1]"),
    ("[A] optonal\n    ^\n| D |", "`optonal` is not an option", "`optional`?"),
    ("[A] meter 4/4 meter 3/4\n              ^\n| D |", "`meter` is given twice", ""),
    ("[A] tempo\n    ^\n| D |", "`tempo` needs a value", "tempo 80"),
    ("[A] tempo optional\n    ^\n| D |", "`tempo` needs a value", "tempo 80"),
    ("[A] tempo 9\n          ^\n| D |", "10 to 500", ""),
    ("[A] key X\n        ^\n| D |", "is not a key", "key D major"),
    ("[A] pattern p\n            ^\n| D |", "no pattern `p`", "defines no pattern"),
    ("[A] tail x0\n         ^\n| D | x2", "zero times", "optional"),
    ("[A] tail x3\n^\n| D |", "no counted line", "x4"),
    ("[Chorus]\n| D |\n[Chrous]\n^", "no section of that name came before", "`Chorus`?"),
    ("[A]\n^\n[B]\n| D |\n[A]\n| G |", "no bars", "are in line 6"),
    ("[A]\n| D |\n[A]\n| G |\n[A]\n^", "different bars (lines 3, 5)", "another name"),
    ("[A]\n| D |\ntempo: 90\n^", "`tempo:` is a header line", "[Verse] tempo 80"),
    ("[A]\n| D |\n  left | x . |\n         ^", "`x` is a sign of patterns", "above the first"),
    ("[A]\nfirst words\n^\n| D |", "no line of bars above", ""),
    ("[A]\nC  Am  F G7/B\n^\n| D |", "chord names has no bar lines", "| C | Am | F | G7/B |"),
    ("[A]\nDo Am\n^\n| D |", "no line of bars above", ""),
    ("[A]\n| D |\n[A optional]\n^", "no bars", "[A] optional"),
    ("[A]\n| D |\n[A x2]\n^", "no bars", "[A] once more"),
    ("[A]\nor | D |\n^\n| D |", "`or` has no line of bars above", ""),
    ("[A]\n| D |\nor | G | x2\n        ^", "no count of its own", ""),
    ("[A]\n| D |\nG | D |\n^", "a line of bars begins with |", "| G | D |"),
    ("[A]\n| D |\n[A] meter 3/4\n| D |\n[A]\n^", "different bars (lines 3, 5)", ""),
    ("[A] optional\n^\n| D |", "every section is optional", ""),
]
BAR_MISTAKES = [
    ("| D | Bm77 |\n         ^", "'7' cannot be read after 'Bm7'", "`Bm7`?"),
    ("| H |\n  ^", "A to G", "`B`?"),
    ("| H7 | Bm7 |\n       ^", "`Bm7` stands beside `H7`: in German", "Bb for every B"),
    ("| Bb | D/H | A/B |\n               ^", "`B` stands beside `H`: in German", "write B for H"),
    ("| D |\n  left | B3 H3 |\n         ^", "`B3` stands beside `H3`", "Bb"),
    ("| Cdom7 |\n   ^", "cannot be read after 'C'", "`C7`?"),
    ("| Cdom9/E |\n   ^", "cannot be read after 'C'", "`C9/E`?"),
    ("| C^7 |\n   ^", "cannot be read after 'C'", "`Cmaj7`?"),
    ("| C^ |\n   ^", "cannot be read after 'C'", "`Cmaj7`?"),
    ("| D | G\n      ^", "last bar is not closed", "end the line with |"),
    ("| D | G # |\n      ^", "last bar is not closed", "comment"),
    ("| D\n  ^", "last bar is not closed", ""),
    ("|\n^", "no bar in this line", ""),
    ("| x4\n^", "no bar in this line", ""),
    ("| D |  | G |\n     ^", "this bar is empty", "N.C."),
    ("| D | x0\n      ^", "zero times", "optional"),
    ("| D | x4-2\n      ^", "counts downwards", "x2-4"),
    ("| D | xx\n      ^", "`xx` is not a count", "x2-4"),
    ("| D | x99999\n      ^", "is not a count", ""),
    ("| D x4 |\n    ^", "a count stands inside the line", "| x4"),
    ("| D D D D D |\n  ^", "bar 1 of [V] has 5 signs for 4 beats", "slash"),
    ("| D | G D A |\n      ^", "bar 2 of [V] has 3 signs for 4 beats", "slash"),
    ("| D | Q | G / D |\n          ^", "bar 3 of [V] has 3 signs for 4 beats", "slash"),
    ("| 2/4: D / / |\n  ^", "bar 1 of [V] has 3 signs for 2 beats", ""),
    ("| D |\nor | D | G G G |\n         ^", "bar 2 of an `or` line of [V] has 3 signs", ""),
    ("| D G |\n  ^\n[V] meter 3/4", "when it is played again in 3/4 (line 5)", ""),
    ("| % |\n  ^", "% has no bar before it", ""),
    ("| D | % / G / |\n      ^", "% must stand alone in its bar", ""),
    ("| / D |\n  ^", "a slash has no chord before it", ""),
    ("| D // |\n    ^", "stands too close", "/ /"),
    ("| G// D |\n  ^", "stands too close", "G / /"),
    ("| (G) D |\n  ^", "a colour has no chord before it", ""),
    ("| N.C. (G) |\n       ^", "N.C. has no colours", ""),
    ("| G N.C. (G6) |\n         ^", "N.C. has no colours", ""),
    ("| G () |\n    ^", "no colour in the parentheses", ""),
    ("| G (sus4) |\n     ^", "A to G", "whole chord"),
    ("| G (G6, Gx) |\n          ^", "cannot be read after 'G'", ""),
    ("| G (G6 |\n    ^", "colour is not closed", ""),
    ("| G(Gsus4) |\n  ^", "too close to its chord", "G (Gsus4)"),
    ("| <G |\n  ^", "held chord is not closed", "<G>"),
    ("| <> |\n  ^", "no chord to hold", "<G>"),
    ("| <Gx> |\n    ^", "cannot be read after 'G'", ""),
    ("| 2/4 A |\n  ^", "a meter needs a colon", "2/4: G"),
    ("| D | (2/4) G |\n      ^", "stands in parentheses", "write 2/4: G"),
    ("| D | (2/4): G A |\n      ^", "stands in parentheses", "write 2/4: G A"),
    ("| G A (2/4) |\n      ^", "stands in parentheses", "write 2/4: G A"),
    ("| 2/4: |\n  ^", "a meter and no chord", ""),
    ("| 2/3: G |\n  ^", "no note value 3", ""),
    ("|: G :|\n ^", "repeat signs are not read", "x2"),
    ("| G :|\n    ^", "repeat signs are not read", "x2"),
    ("| D | x1001\n^", "more than 1000 bars", "count"),
]
ROW_MISTAKES = [
    ("left | E4 . |\n^\n| D |", "no line of bars above it", "under their bars"),
    ("| D |\n  rihgt | E4 |\n  ^", "`rihgt` is not a row of notes", "`right`?"),
    ("| D |\n  count | 1 . |\n  ^", "a count row belongs to a pattern", "leave it out"),
    ("| D |\n  left |\n       ^", "the row is not closed", "with |"),
    ("| D |\n  left | E4 | x2\n              ^", "the row is not closed", "line of bars"),
    ("| D |\n  left | | E4 |\n        ^", "this bar of the row is empty", "a dot"),
    ("| D | A |\n  left | E4 |\n  ^", "has 1 bar, the line above it has 2", "a dot"),
    ("| D |\n  left | E4 |\n  left | E4 |\n  ^", "`left` is given twice", ""),
    ("| D |\n  left | % |\n         ^", "no bar before it in this row", "notes out"),
    ("| D |\n  left | E4 . - . |\n              ^", "there is nothing to hold here", ""),
    ("| D |\n  left | E4 e4 |\n            ^", "`e4` is not a note", "`E4`?"),
    ("| D |\n  left | E4 H4 |\n            ^", "`H4` is not a note", "`B4`?"),
    ("| D |\n  left | E4 G |\n            ^", "`G` has no octave", "G4 for the one in"),
    ("| D |\n  left | E4 G4A4 |\n            ^", "`G4A4` is not a note", "G4+A4"),
    ("| D |\n  left | E4 G4+ |\n               ^", "a note is missing", "E4,G4"),
    ("| D |\n  left | E4 .,,. |\n              ^", "a note is missing", "E4,G4"),
    ("| D |\n  left | E4 .- |\n            ^", "`.-` is not a note", ". -"),
    ("| D |\n  left | E4 A9 |\n            ^", "`A9` is not on the piano", ""),
    ("| D |\n  left | E4 G4+G4 |\n               ^", "`G4` is written twice in this chord", ""),
    ("| D |\n  left | E4~trl |\n           ^", "`~trl` is not a sign of a note", "`tr`?"),
    ("| D |\n  left | E4~tr~tr |\n              ^", "`~tr` is given twice", ""),
    ("| D |\n  left | {D4}E4 {D4 |\n                ^", "the braces of `{D4`", "{D5,F5}E5"),
    ("| D |\n  left | E4 {D4}- |\n                ^", "`-` is not a note", ""),
    ("| D |\n  left | E4 {D4} |\n            ^", "a note is missing", "after its grace notes"),
    ("| D |\n  left | {D4,x}E4 |\n             ^", "`x` is a sign of patterns", ""),
    ("| D |\n  left | E4 .~hold |\n            ^", "`.` is not a note", ""),
    ("| D |\n  left | E4 . . . . |\n         ^", "bar 1 of [V] has 5 columns for the left", "8"),
]
CASES = (
    [(HEADER + text + "\n[V]\n| D |", *rest) for text, *rest in HEADER_MISTAKES]
    + [(HEADER + text + "\n[V]\n| D |", *rest) for text, *rest in PATTERN_MISTAKES]
    + [(HEADER + text, *rest) for text, *rest in SECTION_MISTAKES]
    + [(HEADER + "[V]\n" + text, *rest) for text, *rest in BAR_MISTAKES]
    + [(HEADER + "[V]\n" + text, *rest) for text, *rest in ROW_MISTAKES]
)


def mistakes_of(text: str) -> tuple[Mistake, ...]:
    with pytest.raises(ChartError) as caught:
        parse_chart(text, file="lane.txt")
    return caught.value.mistakes


@pytest.mark.parametrize(("marked", "message", "suggestion"), CASES)
def test_a_mistake_is_named_at_its_place(marked, message, suggestion):
    rows = marked.split("\n")
    caret = next(place for place, row in enumerate(rows) if row.strip() == "^")
    text = "\n".join(rows[:caret] + rows[caret + 1 :])
    place = (caret, rows[caret].index("^") + 1)
    at_place = [m for m in mistakes_of(text) if (m.line, m.column) == place]
    assert [m for m in at_place if message in m.message and suggestion in m.suggestion], (
        mistakes_of(text)
    )


@pytest.mark.parametrize("bars", ["| H | Bb |", "| H | D |\n  B B", "| H |\nor | Bbm7 |"])
def test_only_a_plain_b_beside_h_is_asked_about(bars):
    assert not [m for m in mistakes_of(HEADER + "[V]\n" + bars) if "German" in m.message]


@pytest.mark.parametrize(("missing", "remedy"), [("title", "title: ..."), ("tempo", "tempo: 96")])
def test_what_every_song_needs_is_asked_for(missing, remedy):
    lines = [line for line in HEADER.splitlines() if not line.startswith(missing)]
    (mistake,) = mistakes_of("\n".join([*lines, "[V]", "| D |"]))
    assert mistake.message == f"the chart has no {missing}"
    assert remedy in mistake.suggestion


def test_a_title_is_not_empty():
    (mistake,) = mistakes_of("title:\ntempo: 96\n[V]\n| D |")
    assert "the title is empty" in mistake.message


def test_a_tempo_with_words_is_answered_with_its_number():
    (mistake,) = mistakes_of("title: a\ntempo: 96 bpm\n[V]\n| D |")
    assert (mistake.line, mistake.column) == (2, 8)
    assert "96" in mistake.suggestion.split()


@pytest.mark.parametrize("text", ["", "\n\n", "  # nothing yet\n"])
def test_an_empty_chart_is_said_to_be_empty(text):
    (mistake,) = mistakes_of(text)
    assert "nothing in this chart" in mistake.message


def test_a_header_alone_is_no_chart():
    (mistake,) = mistakes_of(HEADER)
    assert "no section" in mistake.message


def test_all_mistakes_are_found_in_one_reading_and_told_in_order():
    found = mistakes_of("title: a\ntempo: fast\n[V] optonal\n| Bm77 | G G G |\n| D | x0\n")
    assert [(m.line, m.column) for m in found] == [(2, 8), (3, 5), (4, 6), (4, 10), (5, 7)]


def test_a_mistake_in_a_bar_does_not_bring_others_with_it():
    found = mistakes_of(HEADER + "bass: Bm7 = A\n[V]\n| Bm77 | % |\n| % | x2\n[V] tail x3")
    assert len(found) == 1


def test_a_mistake_shows_its_line_with_a_caret_and_the_remedy():
    error = ChartError(mistakes_of(HEADER + "[Verse 1]\n| D | A | D D D D D |"))
    assert str(error).splitlines() == [
        "lane.txt:4:11: bar 3 of [Verse 1] has 5 signs for 4 beats",
        "    | D | A | D D D D D |",
        "              ^",
        "    write a slash for each further beat, as in | G / / D |, "
        "or give the bar a meter, as in | 2/4: A |",
    ]


def caret_under(source: str, column: int) -> str:
    """What stands in the shown line above the caret."""
    _, shown, caret = str(Mistake("f", 1, column, source, "m")).splitlines()
    return shown[caret.index("^") :]


def test_the_caret_stands_under_the_place_after_tabs():
    assert caret_under("\t| D |\t Q |", 9).startswith("Q |")


def test_the_caret_counts_wide_and_combining_signs_as_a_terminal_does():
    # East Asian Width W takes two columns (Unicode Standard Annex 11), a combining mark none.
    _, shown, caret = str(Mistake("f", 1, 4, "日本e\u0301Q", "m")).splitlines()
    assert caret == "    " + " " * 5 + "^"
    _, _, after = str(Mistake("f", 1, 5, "日本e\u0301Q", "m")).splitlines()
    assert after == "    " + " " * 5 + "^"
    assert shown.endswith("Q")


def test_a_long_line_is_shown_around_the_place():
    source = "| " + "D | " * 200 + "Q |"
    assert caret_under(source, source.index("Q") + 1).startswith("Q |")
    assert max(map(len, str(Mistake("f", 1, 400, source, "m")).splitlines())) < 110


def test_signs_that_steer_a_terminal_are_not_shown():
    shown = str(Mistake("f", 1, 1, "\x1b[2J\u202e| D |", "m"))
    assert "\x1b" not in shown
    assert "\u202e" not in shown


def test_many_mistakes_are_shown_in_part_and_counted():
    error = ChartError(mistakes_of(HEADER + "[V]\n" + "| Q |\n" * (SHOWN + 3)))
    assert len(error.mistakes) == SHOWN + 3
    assert str(error).endswith("and 3 more mistakes")
    assert str(error).count("lane.txt:") == SHOWN


def test_reading_stops_when_there_is_no_end_of_mistakes():
    assert len(mistakes_of(HEADER + "[V]\n" + "| Q |\n" * 1000)) == 200


def test_words_of_other_sheets_are_led_to_those_of_a_chart():
    with pytest.raises(ChartError) as caught:
        parse_chart("title: T\ntime: 3/4\ntempo: 90\npattern p\n  LH | x |\n[A]\n| D |\n")
    said = str(caught.value)
    assert "did you mean `meter`?" in said
    assert "did you mean `left`?" in said
