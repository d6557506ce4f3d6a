"""Scores become charts: what a teacher would have typed. Common practice, no source; the
notation is that of MusicXML 4.0 (W3C)."""

import sys
from fractions import Fraction

import pytest

from evaluator.chart import Bar, BarGraph, Meter, read_chart
from evaluator.notation import ImportedChart, MissingLibraryError, import_score
from tests.notation.sheets import (
    attributes,
    choir,
    chord,
    metronome,
    note,
    packed,
    piano,
    rehearsal,
    repeat,
    score,
    sheet,
    words,
)

C = chord("C") + note()


def imported(raw: bytes) -> ImportedChart:
    return import_score(raw, name="boat")


def song(raw: bytes) -> BarGraph:
    return read_chart(imported(raw).text)


def texts(raw: bytes) -> str:
    """The bars as written, in the order of playing."""
    graph = song(raw)
    return " | ".join(graph.bars[index].text for index in graph.written)


def exact(bar: Bar, hand: str) -> list[tuple[Fraction, tuple[int, ...]]]:
    return [(s.beat, s.pitches) for s in bar.strikes if s.hand == hand]


def test_the_header_says_what_the_score_says():
    text = imported(score(words("Slow") + metronome(72) + C, fifths=-3)).text
    assert text.startswith(
        "title: Paper Boat\nkey:   Eb major\nmeter: 4/4\ntempo: 72\n\n[A]\n| C |\n"
    )


def test_a_tempo_is_told_in_beats_of_the_meter():
    cut_time = score(metronome(120) + chord("C") + note(), meter="2/2")
    assert "tempo: 60\n" in imported(cut_time).text
    jig = score(metronome(120) + chord("C") + note("C5", 3), meter="6/8")
    assert "tempo: 240\n" in imported(jig).text


def test_a_missing_title_is_filled_in():
    assert "title: boat\n" in imported(score(C, title="")).text


@pytest.mark.parametrize(("meter", "bar", "tempo"), [("4/4", C, 100), ("6/8", note("C5", 3), 200)])
def test_a_tempo_that_the_score_does_not_state_is_told_to_be_assumed(meter, bar, tempo):
    chart = imported(score(bar, meter=meter))
    assert chart.remarks[0].startswith(f"the score gives no tempo; {tempo} is assumed")
    assert f"\ntempo: about {tempo}\n# {chart.remarks[0]}\n" in chart.text


def test_a_tempo_for_playing_the_score_back_is_printed_nowhere():
    chart = imported(score(words("Moderato", tempo=114) + C))
    assert f"\ntempo: about 114\n# {chart.remarks[0]}\n" in chart.text
    assert not read_chart(chart.text).tempo_stated


def test_a_stated_tempo_is_not_told_to_be_assumed():
    chart = imported(score(metronome(72) + C))
    assert "\ntempo: 72\n" in chart.text
    assert "assumed" not in chart.text + " ".join(chart.remarks)


@pytest.mark.parametrize(
    ("symbols", "bar"),
    [
        (chord("C") + chord("G", offset=2), "C G"),
        (chord("C") + chord("G", offset=3), "C / / G"),
        (chord("C") + chord("F", offset=1) + chord("G", offset=2), "C F G /"),
        (chord("F#", "minor-seventh") + chord("Bb", "dominant", offset=2), "F#m7 Bb7"),
        (chord("C", "none"), "N.C."),
        (words("N.C."), "N.C."),
        (chord("C", "other", text="7b9"), "C7b9"),
    ],
)
def test_chords_stand_on_their_beats(symbols, bar):
    assert texts(score(C, symbols + note())) == f"C | {bar}"


def test_a_chord_holds_until_the_next():
    assert texts(score(C, note(), chord("F", offset=2) + note())) == "C | % | C F"


def test_a_chord_between_two_beats_is_drawn_to_a_beat_and_said():
    chart = imported(score(C, chord("F", offset=1.5) + note()))
    assert "| C | C F |" in chart.text
    assert any(
        "bar 2: F comes between two beats; it is written at beat 3" in remark
        for remark in chart.remarks
    )


def test_a_chord_between_beats_gives_way_to_those_on_beats():
    raw = score(C, chord("C") + chord("F", offset=1.5) + chord("G", offset=2) + note())
    assert texts(raw) == "C | C F G /"
    crowded = chord("C", offset=1) + chord("F", offset=1.5) + chord("G", offset=2) + note()
    chart = imported(score(C, crowded))
    assert "| C | C G |" in chart.text
    assert any("bar 2: F comes between two beats, both" in remark for remark in chart.remarks)


@pytest.mark.parametrize("symbol", [chord("C", "other", text="7alt"), chord("C", "Tristan")])
def test_an_unknown_kind_of_chord_is_left_open_and_said(symbol):
    chart = imported(score(C, symbol + note()))
    assert "| C | N.C. |" in chart.text
    assert any(remark.startswith("bar 2: the chord") for remark in chart.remarks)


def test_harmony_by_function_does_no_harm():
    function = "<harmony><function>V</function><kind>dominant</kind></harmony>"
    numeral = (
        "<harmony><numeral><numeral-root>5</numeral-root></numeral><kind>major</kind></harmony>"
    )
    for symbol in (function, numeral):
        assert imported(score(C, symbol + note())).text.count("|") >= 3


def test_words_are_put_together_under_their_line():
    sung = (
        note("C5", 2, words="1:pa-") + note("C5", 1, words="1:per") + note("C5", 1, words="1:boat")
    )
    assert song(score(chord("C") + sung, C)).bars[0].cue == "paper boat"


def test_a_word_that_goes_over_the_line_is_hyphened():
    graph = song(score(C, C, C, chord("C") + note(words="1:ri-"), note(words="1:ver")))
    assert [graph.bars[0].cue, graph.bars[4].cue] == ["ri-", "ver"]


def test_each_verse_has_its_own_words():
    first = repeat("forward") + chord("C") + note(words="1:sun|2:moon")
    graph = song(score(first, chord("F") + note() + repeat("backward"), C))
    assert [bar.cue for bar in graph.bars if bar.place == 0] == ["sun", "moon", ""]


def test_words_that_look_like_something_else_are_still_words():
    assert song(score(C, note(words="1:[hey]"))).bars[0].cue == "hey]"
    sung = note(words="1:key= a b # c").replace("key=", "key:")
    assert song(score(chord("C") + sung)).bars[0].cue == "key - a b c"
    assert song(score(chord("C") + note(words="1:a/b"))).bars[0].cue == "a/b"


def test_sections_are_named_by_rehearsal_marks_and_words():
    bars = [rehearsal("Opening") + C, C, words("Chorus") + C, words("with feeling") + C]
    graph = song(score(*bars))
    assert [bar.section for bar in graph.bars] == ["Opening", "Opening", "Chorus", "Chorus"]


def test_parts_without_a_name_get_letters():
    double = '<barline location="right"><bar-style>light-light</bar-style></barline>'
    graph = song(score(C, C + double, chord("F") + note(), C))
    assert [bar.section for bar in graph.bars] == ["A", "A", "B", "B"]


def test_a_repeated_line_gets_a_count():
    chart = imported(score(C, repeat("forward") + C, C + repeat("backward", times=3), C))
    assert "| C | C | x3" in chart.text
    assert read_chart(chart.text).count == 8


def test_a_longer_repeat_is_named_again():
    bars = [C + "", *[chord("F") + note()] * 7]
    bars[0], bars[-1] = repeat("forward") + bars[0], bars[-1] + repeat("backward")
    text = imported(score(*bars)).text
    assert text.count("[A]") == 2
    assert text.rstrip().endswith("[A]")
    assert read_chart(text).count == 16


def test_endings_are_written_out():
    first = (
        repeat("", ending="1", stop=False) + chord("F") + note() + repeat("backward", ending="1")
    )
    second = repeat("", ending="2", stop=False) + chord("G") + note() + repeat("", ending="2")
    raw = score(repeat("forward") + C, first, second, C)
    assert texts(raw) == "C | F | C | G | C"


def test_a_pickup_is_a_bar_of_its_own_length():
    graph = song(score(chord("G") + note("G4", 1), C, C))
    assert graph.bars[0].meter == Meter(1, 4)
    assert graph.meter == Meter(4, 4)


@pytest.mark.parametrize(
    ("meter", "quarters"), [("5/4", 5), ("7/8", 3.5), ("6/8", 3), ("2/2", 4), ("3/2", 6)]
)
def test_odd_meters_are_kept(meter, quarters):
    graph = song(score(chord("C") + note("C5", quarters), note("C5", quarters), meter=meter))
    assert {str(bar.meter) for bar in graph.bars} == {meter}


def test_a_change_of_meter_is_kept_for_its_bars():
    change = "<attributes><time><beats>2</beats><beat-type>4</beat-type></time></attributes>"
    back = "<attributes><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
    graph = song(score(C, change + note("C5", 2), back + note(), C))
    assert [str(bar.meter) for bar in graph.bars] == ["4/4", "2/4", "4/4", "4/4"]


def test_a_piano_score_gives_the_notes_of_both_hands():
    graph = song(
        piano(
            (note("E5", 2) + note("C5", 1) + note("B4", 0.5) + note("A4", 0.5), note("C3")),
            (note("rest"), note("G2", 2) + note("G3", 2)),
        )
    )
    assert exact(graph.bars[0], "right") == [
        (0, (76,)),
        (2, (72,)),
        (3, (71,)),
        (Fraction(7, 2), (69,)),
    ]
    assert exact(graph.bars[0], "left") == [(0, (48,))]
    assert exact(graph.bars[1], "right") == []
    assert exact(graph.bars[1], "left") == [(0, (43,)), (2, (55,))]


def test_notes_struck_together_stay_together():
    together = "<chord/>"
    graph = song(
        piano((note("C5") + note("E5").replace("<note>", f"<note>{together}"), note("C3")))
    )
    assert exact(graph.bars[0], "right") == [(0, (72, 76))]


def test_a_tie_strikes_nothing_and_is_held():
    start, stop = '<tie type="start"/>', '<tie type="stop"/>'
    chart = imported(
        piano(
            (note("E5", 4, extra=start), note("C3")),
            (note("E5", 2, extra=stop) + note("C5", 2), note("C3")),
        )
    )
    assert exact(read_chart(chart.text).bars[1], "right") == [(2, (72,))]
    assert "- - C5 -" in chart.text


def test_triplets_are_kept():
    third = "<actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
    third = f"<time-modification>{third}</time-modification>"
    triplet = "".join(note(pitch, 1 / 3, extra=third) for pitch in ("C5", "D5", "E5"))
    chart = imported(piano((triplet + note("F5", 3), note("C3"))))
    assert "C5,D5,E5 F5 - -" in chart.text


def test_chords_are_found_where_the_score_has_none():
    triad = note("C4") + "".join(note(p).replace("<note>", "<note><chord/>") for p in ("E4", "G4"))
    raw = piano(
        (triad, note("C3")), (note("F5", 2) + note("A5", 2), note("D3")), (triad, note("E3"))
    )
    assert texts(raw) == "C | Dm | C/E"


def test_a_bar_of_silence_has_no_chord():
    assert texts(piano((note("rest"), note("rest")), (note("C5"), note("C3")))).startswith("N.C.")


def test_a_chord_symbol_of_a_piano_score_is_believed():
    assert texts(piano((chord("A", "minor") + note("C5"), note("C3")))) == "Am"


def test_a_melody_without_chords_is_the_right_hands():
    graph = song(score(note("C5", 2) + note("G5", 2)))
    assert exact(graph.bars[0], "right") == [(0, (72,)), (2, (79,))]


def test_the_chords_of_four_voices_are_found_in_their_notes_together():
    soprano = (note("E5", 2, words="1:row") + note("D5", 2, words="1:on"), note("E5"))
    alto = (note("C5", 2) + note("B4", 2), note("C5"))
    tenor = (note("G4"), note("G4"))
    bass = (note("C3", 2) + note("G3", 2), note("E3"))
    chart = imported(choir(soprano, alto, tenor, bass))
    assert "| C G | C/E |\n  row on\n" in chart.text
    assert "  right " not in chart.text
    assert any("in the notes of 4 parts" in remark for remark in chart.remarks)


def test_a_chord_of_several_voices_goes_on_as_a_bar_again():
    assert texts(choir(*[(note(key), note(key)) for key in ("E5", "C5", "G3")])) == "C/G | %"


def test_a_transposing_part_counts_as_it_sounds():
    transposed = "<transpose><chromatic>-2</chromatic></transpose></attributes>"
    clarinet = note("F#5")
    raw = choir((clarinet,), (note("C5"),), (note("A3"),)).decode()
    first, after = raw.split("</attributes>", 1)
    assert texts(f"{first}{transposed}{after}".encode()) == "Am"


def test_voices_that_are_silent_have_no_chord():
    assert texts(choir(*[(note("rest"), note("C4")) for _ in range(3)])).startswith("N.C. | ")


def test_signs_of_the_chart_in_titles_and_names_are_taken_out():
    text = imported(score(rehearsal("Part [1]") + C, title="Boat # 7")).text
    assert "title: Boat 7\n" in text
    assert "[Part 1]" in text


def test_a_packed_score_is_read():
    assert imported(packed(score(C))).text == imported(score(C)).text


def test_nothing_is_left_in_a_shared_folder(tmp_path, monkeypatch):
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    imported(score(C))
    assert list(tmp_path.rglob("*")) == []


def test_without_music21_it_is_said_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "music21", None)
    with pytest.raises(MissingLibraryError, match="pip install"):
        imported(score(C))


def test_a_score_whose_bars_differ_in_number_between_parts_is_read():
    raw = sheet([attributes() + note(), note()]).decode()
    extra = f'<part id="P2"><measure number="1">{attributes()}{note("C3")}</measure></part>'
    raw = raw.replace("</part-list>", '<score-part id="P2"><part-name/></score-part></part-list>')
    graph = song(raw.replace("</score-partwise>", extra + "</score-partwise>").encode())
    assert len(graph.bars) == 2


def test_that_chords_were_found_in_the_notes_is_said():
    said = "the score has no chord symbols; the chords above the notes were found in the notes"
    assert said in import_score(piano((note("C5"), note("C3"))), name="x").remarks
    named = piano((chord("C") + note("C5"), note("C3")))
    assert said not in import_score(named, name="x").remarks
