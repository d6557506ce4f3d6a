"""Exact notes under a line of bars. Rules of the chart format; key numbers: MIDI 1.0,
60 is middle C."""

from fractions import Fraction

import pytest

from evaluator.chart import Bar, read_chart
from evaluator.chart.model import WrittenHand
from evaluator.chart.parse import parse_chart
from tests.chart.songs import EVERY_BEAT, HEADER, beats, song, strikes

F = Fraction


def exact(bar: Bar, hand: str = "right") -> list[tuple[Fraction, tuple[int, ...]]]:
    return [(s.beat, s.pitches) for s in bar.strikes if s.hand == hand]


def one_bar(row: str, *, bar: str = "C", header: str = "") -> Bar:
    return song(f"[A]\n| {bar} |\n  {row}", header=header).bars[0]


def notes_of(row: str) -> tuple[WrittenHand, ...]:
    chart = parse_chart(f"{HEADER}[A]\n| C |\n  {row}")
    return chart.sections[0].lines[0].ways[0].bars[0].hands


def test_signs_of_a_row_share_the_bar_evenly():
    assert exact(one_bar("right | C4 E4 . G4 |")) == [(0, (60,)), (1, (64,)), (3, (67,))]
    assert exact(one_bar("right | C4 E4 |")) == [(0, (60,)), (2, (64,))]
    waltz = one_bar("right | C4 . E4 . G4 . |", bar="3/4: C")
    assert exact(waltz) == [(0, (60,)), (1, (64,)), (2, (67,))]


def test_notes_joined_by_plus_are_struck_together_from_the_lowest_up():
    assert exact(one_bar("left | G3+C3+E3 |"), "left") == [(0, (48, 52, 55))]


def test_notes_parted_by_commas_share_one_column():
    bar = one_bar("right | C4,E4 . G4,A4,B4 . |")
    assert exact(bar) == [
        (0, (60,)),
        (F(1, 2), (64,)),
        (2, (67,)),
        (F(7, 3), (69,)),
        (F(8, 3), (71,)),
    ]


def test_accidentals_are_read_before_the_octave():
    assert exact(one_bar("right | Cb4 B#3 F#4 B♭3 |")) == [
        (0, (59,)),
        (1, (60,)),
        (2, (66,)),
        (3, (58,)),
    ]


def test_a_held_note_lasts_and_is_not_struck_again():
    (notes,) = notes_of("right | C4 - - D4 |")
    assert [(one.place, one.share) for one in notes.struck] == [(0, F(3, 4)), (F(3, 4), F(1, 4))]


def test_a_bar_may_begin_with_what_the_bar_before_holds():
    (notes,) = notes_of("right | - - C4 . |")
    assert notes.held == F(1, 2)
    assert [(one.place, one.share) for one in notes.struck] == [(F(1, 2), F(1, 4))]


def test_a_hand_without_a_row_plays_the_pattern():
    bar = one_bar("right | C4 . . . |", header=EVERY_BEAT)
    assert beats(bar, "left") == [0, 1, 2, 3]
    assert all(not strike.pitches for strike in bar.strikes if strike.hand == "left")
    assert exact(bar) == [(0, (60,))]
    assert bar.exact == {"right"}


def test_a_hand_with_a_row_plays_nothing_of_the_pattern_even_under_a_held_chord():
    bar = one_bar("left | . |", bar="<C>", header=EVERY_BEAT)
    assert beats(bar, "left") == []
    assert beats(bar, "right") == [0]


def test_notes_may_be_written_out_where_no_chord_is():
    assert exact(one_bar("right | C4 . |", bar="N.C.")) == [(0, (60,))]


def test_percent_in_a_row_repeats_the_hand_and_not_the_chord():
    bars = song("[A]\n| C | F |\n  right | C4 E4 | % |").bars
    assert exact(bars[1]) == exact(bars[0])
    assert bars[1].spans[0].chord != bars[0].spans[0].chord


def test_percent_in_a_line_of_bars_does_not_repeat_the_notes():
    bars = song("[A]\n| C |\n  right | C4 E4 |\n| % |").bars
    assert bars[1].exact == frozenset()


def test_an_or_line_has_rows_of_its_own():
    bars = song("[A]\n| C |\n  right | C4 |\n  words\nor | F |\n  right | F4 |").bars
    assert [exact(bar) for bar in bars] == [[(0, (60,))], [(0, (65,))]]
    assert bars[0].cue == "words"


def test_a_counted_line_is_played_with_its_notes_each_time():
    bars = song("[A]\n| C | x3\n  right | C4 |").bars
    assert [exact(bar) for bar in bars] == [[(0, (60,))]] * 3


def test_each_note_belongs_to_the_chord_above_it():
    bar = one_bar("right | C4 D4 E4 F4 |", bar="C / F /")
    assert [strike.span for strike in bar.strikes] == [0, 0, 1, 1]


def test_the_lone_bass_of_the_left_hand_is_its_bass():
    bar = one_bar("left | C3 E3 C3+G3 B2 |")
    assert [strike.part for strike in bar.strikes] == ["bass", "tone", "chord", "tone"]


def test_written_eighths_swing_and_triplets_stay():
    swinging = "feel: swing 2:1\n"
    assert beats(one_bar("right | C4,D4 . . . |", header=swinging), "right") == [0, F(2, 3)]
    triplets = one_bar("right | C4,D4,E4 C4,D4 . . |", header=swinging)
    assert beats(triplets, "right") == [0, F(1, 3), F(2, 3), 1, F(3, 2)]


def test_a_song_of_written_notes_has_its_rhythm_judged():
    assert song("[A]\n| C |\n  right | C4 |").has_patterns
    assert not song("[A]\n| C |").has_patterns


def test_sections_with_other_notes_are_other_sections():
    with pytest.raises(Exception, match="written with different bars"):
        read_chart(HEADER + "[A]\n| C |\n  left | C3 |\n[A]\n| C |\n  left | E3 |\n[A]")


def test_pitch_classes_stay_filled_for_written_notes():
    assert strikes(one_bar("right | C4+E5 |"), "right") == [(0, {0, 4})]


def test_what_stands_around_a_note_is_read():
    graph = read_chart(
        "title: Hedge Bell\ntempo: 80\n\n[A]\n| C |\n"
        "  right | {D5,B4}C5~tr{B4,C5},E5 F5~short G4+B4~roll~hold - |\n"
    )
    trill, second, short, rolled = graph.bars[0].strikes
    assert trill.pitches == (72,)
    assert trill.around == frozenset(range(69, 76))
    assert (trill.beats, second.beats) == (Fraction(1, 2), Fraction(1, 2))
    assert (second.around, second.adorned) == (frozenset(), False)
    assert short.beats == Fraction(1, 2)  # of the one that is written
    assert (rolled.rolled, rolled.waits, rolled.beats) == (True, True, 2)


def test_a_trill_goes_on_as_long_as_its_note_is_held_over():
    """Common practice, no source."""
    graph = read_chart(
        "title: Tern Rock\nmeter: 4/4\ntempo: 80\n\n[A]\n"
        "        | C | C | C | C |\n"
        "  right | E5 - C5~tr - | - | - E5 C5 - | - - E5 C5 |\n"
    )
    held = [[(one.until, one.around) for one in bar.held_ornaments] for bar in graph.bars]
    around = frozenset(range(69, 76))
    assert held == [[], [(4, around)], [(1, around)], []]


def test_a_turn_is_over_with_its_bar():
    graph = read_chart(
        "title: Tern Rock\nmeter: 4/4\ntempo: 80\n\n[A]\n"
        "        | C | C |\n  right | E5 - C5~turn - | - |\n"
    )
    assert [bar.held_ornaments for bar in graph.bars] == [(), ()]
