"""What stands in a bar of the song. Rules of the chart format; common practice, no source,
where a musician's reading is the measure."""

import pytest

from evaluator.chart import read_chart
from evaluator.theory.symbol import parse_chord
from tests.chart.songs import EVERY_BEAT, song


def labels(body: str) -> list[str]:
    return list(dict.fromkeys(bar.section for bar in song(body).bars))


def test_a_section_played_once_keeps_its_name():
    assert labels("[Verse]\n| D |\n[Chorus]\n| G |") == ["Verse", "Chorus"]


def test_a_section_played_again_is_numbered():
    assert labels("[Chorus]\n| D |\n[Verse]\n| G |\n[Chorus]") == ["Chorus 1", "Verse", "Chorus 2"]


def test_a_name_that_ends_in_a_number_says_which_time():
    body = "[Verse 1]\n| D |\n" + "[Verse 1]\n" * 3
    assert labels(body) == [
        "Verse 1",
        "Verse 1, 2nd time",
        "Verse 1, 3rd time",
        "Verse 1, 4th time",
    ]


def test_a_number_never_makes_two_sections_one():
    body = "[Chorus]\n| D |\n[Chorus 2]\n| G |\n[Chorus]"
    assert labels(body) == ["Chorus", "Chorus 2", "Chorus, 2nd time"]


def test_playings_are_told_apart():
    graph = song("[A]\n| D |\n[B]\n| G |\n[A]")
    assert [(bar.section_index, bar.occurrence) for bar in graph.bars] == [(0, 1), (1, 1), (2, 2)]


def test_bars_know_their_place_in_the_section():
    graph = song("[A]\n| D | G |\n| A | x2")
    assert [(bar.line, bar.copy, bar.place) for bar in graph.bars] == [
        (0, 0, 0),
        (0, 0, 1),
        (1, 0, 0),
        (1, 1, 0),
    ]
    assert [bar.index for bar in graph.bars] == [0, 1, 2, 3]


def test_chords_share_a_bar_evenly():
    spans = song("[A]\n| G Em |").bars[0].spans
    assert [(span.beat, span.beats) for span in spans] == [(0, 2), (2, 2)]
    assert [str(span.chord.text) for span in spans if span.chord] == ["G", "Em"]


def test_four_chords_take_a_beat_each():
    assert [span.beats for span in song("[A]\n| G Em C D |").bars[0].spans] == [1, 1, 1, 1]


def test_slashes_lengthen_a_chord_by_a_beat():
    spans = song("[A]\n| G / / D |").bars[0].spans
    assert [(span.beat, span.beats) for span in spans] == [(0, 3), (3, 1)]


def test_a_beat_lies_in_the_span_that_began_last():
    bar = song("[A]\n| G / / D |").bars[0]
    assert [bar.span_at(beat).bass for beat in (0, 2.9, 3, 4.5)] == [7, 7, 2, 2]


def test_two_chords_share_six_eighths():
    graph = song("[A]\n| G D |", header="meter: 6/8\n")
    assert [span.beats for span in graph.bars[0].spans] == [3, 3]


def test_a_slash_chord_names_its_bass():
    span = song("[A]\n| D/F# |").bars[0].spans[0]
    assert span.bass == 6
    assert not span.ruled


def test_a_plain_chord_stands_over_its_root():
    assert song("[A]\n| Bm7 |").bars[0].spans[0].bass == 11


def test_a_bass_rule_puts_another_note_under_the_plain_chord():
    span = song("[A]\n| A |", header="bass: A = C#\n").bars[0].spans[0]
    assert span.bass == 1
    assert span.ruled


@pytest.mark.parametrize("other", ["A7", "Am", "A/E", "Asus4"])
def test_a_bass_rule_is_about_the_plain_symbol_only(other):
    span = song(f"[A]\n| A | {other} |", header="bass: A = C#\n").bars[1].spans[0]
    assert span.bass == parse_chord(other).bass_pc
    assert not span.ruled


def test_a_bass_rule_reads_every_spelling_of_its_chord():
    graph = song("[A]\n| A♯ | Bmin7 |", header="bass: A# = D, B-7 = F♯\n")
    assert [bar.spans[0].bass for bar in graph.bars] == [2, 6]


def test_colours_do_not_meet_bass_rules():
    graph = song("[A]\n| A | D (A) |", header="bass: A = C#\n")
    assert graph.bars[1].spans[0].bass == 2


def test_colours_are_allowed_and_never_foreign():
    span = song("[A]\n| G (Gsus4, G6) |").bars[0].spans[0]
    assert [colour.text for colour in span.colours] == ["Gsus4", "G6"]
    assert span.allowed == {7, 11, 2, 0, 4}
    assert span.chord is not None
    assert span.chord.tones == {7, 11, 2}


def test_nothing_is_expected_under_no_chord():
    span = song("[A]\n| N.C. |").bars[0].spans[0]
    assert span.chord is None
    assert span.bass is None
    assert span.allowed == frozenset()


def test_a_repeat_sign_is_the_bar_before_it():
    graph = song("[A]\n| G (Gsus4) / / <D> | % |\n| % | A |")
    assert graph.bars[1].spans == graph.bars[0].spans == graph.bars[2].spans
    assert graph.bars[1].text == "%"


def test_a_repeat_sign_that_opens_a_line_is_the_last_bar_of_the_line_above():
    assert song("[A]\n| D | G |\n| % |").bars[2].spans[0].bass == 7


def test_no_chord_and_a_coloured_chord_share_a_bar():
    spans = song("[A]\n| N.C. G (G6) |").bars[0].spans
    assert [len(span.colours) for span in spans] == [0, 1]


def test_a_repeat_sign_in_an_or_line_is_the_bar_before_the_line():
    graph = song("[A]\n| D |\n| G |\nor | % | A |")
    assert [bar.spans[0].bass for bar in graph.bars] == [2, 7, 2, 9]


def test_a_meter_of_one_bar_holds_for_that_bar():
    graph = song("[A]\n| G | 2/4: A | % | D |")
    assert [str(bar.meter) for bar in graph.bars] == ["4/4", "2/4", "4/4", "4/4"]
    assert [bar.spans[0].beats for bar in graph.bars] == [4, 2, 4, 4]


def test_tempo_counts_beats_of_the_header_meter():
    assert song("[A]\n| G |").bars[0].seconds_per_beat == pytest.approx(0.5)
    six_eight = song("[A]\n| G |", header="meter: 6/8\n")
    assert six_eight.bars[0].seconds == pytest.approx(3.0)


@pytest.mark.parametrize(("tempo", "seconds"), [("10", 6.0), ("500", 0.12), ("92.5", 60 / 92.5)])
def test_a_tempo_may_be_slow_or_fast_or_in_between(tempo, seconds):
    graph = read_chart(f"title: a\ntempo: {tempo}\n[A]\n| G |")
    assert graph.bars[0].seconds_per_beat == pytest.approx(seconds)


def test_a_bar_in_eighths_keeps_the_length_of_an_eighth():
    graph = song("[A]\n| G | 3/8: A |")
    assert graph.bars[1].seconds_per_beat == pytest.approx(0.25)


def test_a_section_has_a_tempo_in_beats_of_its_own_meter():
    graph = song(
        "[A] meter 6/8 tempo 180\n| G | 2/4: D |\n[B] meter 6/8\n| G |\n[C] tempo 60\n| G |"
    )
    # 180 eighths a minute; a quarter is two of them; 120 quarters a minute; 60 of them.
    assert [bar.seconds_per_beat for bar in graph.bars] == pytest.approx([1 / 3, 2 / 3, 1 / 4, 1])
    assert graph.bpm == 120


def test_a_section_has_a_key_of_its_own():
    graph = song("[A]\n| G |\n[B] key E minor\n| G |\n[B]", header="key: D major\n")
    keys = [bar.key.tonic.text for bar in graph.bars if bar.key]
    assert keys == ["D", "E", "D"]


def test_a_meter_stays_with_the_bars_that_are_played_again():
    graph = song("[A] meter 3/4\n| G / D |\n[A]")
    assert [bar.meter.beats for bar in graph.bars] == [3, 3]


def test_words_are_the_cue_of_the_line_above_them():
    graph = song("[A]\n| G |\n  one   two\n  three\n\n| D |\n| A |\nor | E |\n  four\nor | F |")
    assert [bar.cue for bar in graph.bars] == ["one two three", "", "", "four", ""]


def test_an_or_line_without_words_has_those_of_its_line():
    graph = song("[A]\n| G |\n  one\nor | D |")
    assert [bar.cue for bar in graph.bars] == ["one", "one"]


def test_sections_choose_their_patterns():
    header = EVERY_BEAT + "pattern once\n  left | x . . . |\n"
    graph = song("[A]\n| G |\n[B] pattern once\n| G |\n[B]", header=header)
    assert [len(bar.strikes) for bar in graph.bars] == [8, 1, 8]


def test_the_header_names_the_pattern_of_sections_that_name_none():
    header = EVERY_BEAT + "pattern once\n  left | x . . . |\npattern: once\n"
    assert len(song("[A]\n| G |", header=header).bars[0].strikes) == 1


def test_a_chart_without_patterns_expects_no_strikes():
    graph = song("[A]\n| <G> |")
    assert not graph.has_patterns
    assert graph.bars[0].strikes == ()


def test_bars_keep_their_text():
    assert song("[A]\n|  2/4:  G   (Gsus4)|").bars[0].text == "2/4: G (Gsus4)"


def test_a_tempo_may_be_one_that_nobody_asks_for() -> None:
    asked, about = (
        read_chart(f"title: T\ntempo: {tempo}\n[A]\n| C |\n") for tempo in ("96", "about 96")
    )
    assert (asked.bpm, asked.tempo_stated) == (96.0, True)
    assert (about.bpm, about.tempo_stated) == (96.0, False)
    assert about.bars == asked.bars
