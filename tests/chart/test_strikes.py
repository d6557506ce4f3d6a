"""Strikes of the pattern in a bar. Rules of the chart format; the swing ratio after
Friberg & Sundström (2002), Music Perception 19(3): a long eighth of r parts to one."""

from fractions import Fraction

import pytest

from evaluator.chart.strikes import swung
from tests.chart.songs import EVERY_BEAT, beats, song, strikes

F = Fraction
STROLL = "pattern stroll\n  count | 1 . 2 . 3 . 4 . |\n  left  | x . . . x . . . |\n"
STROLL += "  right | . . x . . x x . |\n"
HELD = "pattern held\n  left  | x - - - |\n  right | x - - - |\n"


def one_bar(bar: str, pattern: str = STROLL, header: str = ""):
    return song(f"[A]\n| {bar} |", header=pattern + header).bars[0]


def test_columns_split_the_bar_evenly():
    bar = one_bar("D")
    assert beats(bar, "left") == [0, 2]
    assert beats(bar, "right") == [1, F(5, 2), 3]


def test_the_left_hand_has_the_bass_and_the_right_the_chord():
    bar = one_bar("D/F#")
    assert strikes(bar, "left")[0] == (0, {6})
    assert strikes(bar, "right")[0] == (1, {2, 6, 9})
    assert [s.part for s in bar.strikes] == ["bass", "chord", "bass", "chord", "chord"]


def test_a_bass_outside_the_chord_is_not_the_right_hand_s():
    assert strikes(one_bar("C/D"), "right")[0] == (1, {0, 4, 7})


def test_strikes_come_by_beat_and_left_before_right():
    bar = one_bar("G", EVERY_BEAT)
    assert [(s.beat, s.hand) for s in bar.strikes][:4] == [
        (0, "left"),
        (0, "right"),
        (1, "left"),
        (1, "right"),
    ]


def test_a_held_sign_is_no_strike():
    assert beats(one_bar("D", HELD), "right") == [0]


def test_degrees_strike_one_tone():
    broken = "pattern broken\n  right | 1 3 5 7 8 5 3 1 |\n"
    bar = one_bar("Em7", broken)
    assert [pcs for _, pcs in strikes(bar, "right")] == [{4}, {7}, {11}, {2}, {4}, {11}, {7}, {4}]
    assert {s.part for s in bar.strikes} == {"tone"}


def test_the_third_of_a_sus_chord_is_the_tone_in_its_place():
    assert strikes(one_bar("Gsus4", "pattern p\n  right | 3 . . . |\n"), "right") == [(0, {0})]


def test_a_seventh_that_a_triad_lacks_is_its_root():
    assert strikes(one_bar("G", "pattern p\n  right | 7 . . . |\n"), "right") == [(0, {7})]


def test_eight_is_the_root_in_the_right_hand_and_the_bass_in_the_left():
    bar = one_bar("D/F#", "pattern p\n  left | x 8 . . |\n  right | . 8 . . |\n")
    assert strikes(bar, "left") == [(0, {6}), (1, {6})]
    assert strikes(bar, "right") == [(1, {2})]


def test_a_degree_gives_way_to_the_bass_where_a_chord_begins():
    alternating = "pattern p\n  left | 1 . 5 . |\n"
    assert strikes(one_bar("D/F#", alternating), "left") == [(0, {6}), (2, {9})]
    assert strikes(one_bar("D G", alternating), "left") == [(0, {2}), (2, {7})]


def test_degrees_stand_where_the_bass_is_as_written():
    written = "pattern p\n  left | 1 . 5 . |\n  bass: as written\n"
    assert strikes(one_bar("D G", written), "left") == [(0, {2}), (2, {2})]


def test_the_bass_follows_a_chord_that_comes_inside_the_bar():
    bar = one_bar("G / / D")
    assert strikes(bar, "left") == [(0, {7}), (2, {7}), (3, {2})]
    assert strikes(bar, "right") == [(1, {7, 11, 2}), (F(5, 2), {7, 11, 2}), (3, {2, 6, 9})]
    assert [s.span for s in bar.strikes] == [0, 0, 0, 0, 1, 1]


def test_no_bass_is_added_where_the_chord_stays():
    assert beats(one_bar("G G G G"), "left") == [0, 2]


def test_a_new_bass_under_the_same_chord_is_a_change():
    assert strikes(one_bar("D / / D/F#"), "left") == [(0, {2}), (2, {2}), (3, {6})]


def test_a_new_chord_over_the_same_bass_is_a_change():
    assert strikes(one_bar("D / / Dm"), "left") == [(0, {2}), (2, {2}), (3, {2})]


def test_no_bass_is_added_where_it_is_as_written():
    assert beats(one_bar("G / / D", STROLL + "  bass: as written\n"), "left") == [0, 2]


def test_no_bass_is_added_at_the_beginning_of_a_bar():
    late = "pattern late\n  left | . x . . |\n  right | x . . . |\n"
    assert beats(one_bar("G", late), "left") == [1]


def test_a_held_chord_is_struck_once_by_both_hands():
    bar = one_bar("<D>")
    assert beats(bar, "left") == [0]
    assert beats(bar, "right") == [0]


def test_the_pattern_goes_on_after_a_held_chord():
    bar = one_bar("<D> / G /")
    assert beats(bar, "left") == [0, 2]
    assert beats(bar, "right") == [0, F(5, 2), 3]
    bar = one_bar("G / / <D>")
    assert strikes(bar, "left")[-1] == (3, {2})
    assert beats(bar, "right") == [1, F(5, 2), 3]


def test_a_bass_that_is_as_written_still_has_its_held_chord():
    assert beats(one_bar("G / / <D>", STROLL + "  bass: as written\n"), "left") == [0, 2, 3]


def test_nothing_is_struck_under_no_chord():
    assert one_bar("N.C.").strikes == ()
    bar = one_bar("N.C. / / D")
    assert strikes(bar, "left") == [(3, {2})]
    assert beats(bar, "right") == [3]


def test_a_shorter_bar_cuts_the_pattern():
    bar = one_bar("2/4: D")
    assert beats(bar, "left") == [0]
    assert beats(bar, "right") == [1]


def test_a_longer_bar_begins_the_pattern_again():
    bar = one_bar("6/4: D")
    assert beats(bar, "left") == [0, 2, 4]
    assert beats(bar, "right") == [1, F(5, 2), 3, 5]


def test_columns_keep_their_note_value_in_another_unit():
    # Six eighths of a pattern in eighths: columns are beats there.
    bar = one_bar("6/8: D")
    assert beats(bar, "left") == [0, 4]
    assert beats(bar, "right") == [2, 5]


def test_a_bar_takes_the_pattern_written_for_its_meter():
    short = "pattern stroll 2/4\n  left | x x |\n"
    graph = song("[A]\n| D | 2/4: D | 3/4: D |", header=STROLL + short)
    assert [beats(bar, "left") for bar in graph.bars] == [[0, 2], [0, 1], [0, 2]]
    assert [len(beats(bar, "right")) for bar in graph.bars] == [3, 0, 2]


def test_a_pattern_in_another_meter_than_the_chart_s():
    waltz = "pattern waltz 3/4\n  left | x . . |\n  right | . x x |\n"
    bar = song("[A] meter 3/4\n| D |", header=waltz).bars[0]
    assert beats(bar, "right") == [1, 2]


@pytest.mark.parametrize(
    ("ratio", "off_beat"),
    [("1:1", F(1, 2)), ("2:1", F(2, 3)), ("3:1", F(3, 4)), ("4:1", F(4, 5)), ("1.5:1", F(3, 5))],
)
def test_swing_moves_the_off_beat(ratio, off_beat):
    bar = one_bar("D", header=f"feel: swing {ratio}\n")
    assert beats(bar, "right") == [1, 2 + off_beat, 3]
    assert beats(bar, "left") == [0, 2]


def test_straight_eighths_stay():
    assert beats(one_bar("D", header="feel: straight\n"), "right") == [1, F(5, 2), 3]


def test_dotted_beats_may_be_counted():
    jig = "meter: 6/8\npattern jig\n  count | 1 . . 2 . . |\n  left | x . . x . . |\n"
    assert beats(song("[A]\n| D |", header=jig).bars[0], "left") == [0, 3]


def test_sixteenths_swing_in_proportion():
    assert swung(F(1, 4), F(2)) == F(1, 3)
    assert swung(F(3, 4), F(2)) == F(5, 6)
    assert swung(F(7, 2), F(2)) == 3 + F(2, 3)
    assert swung(F(5), F(3)) == 5


def test_swing_never_changes_the_order():
    places = [swung(F(i, 24), F(7, 2)) for i in range(97)]
    assert places == sorted(set(places))
    assert places[-1] == 4


def test_eighth_note_meters_do_not_swing():
    header = "feel: swing 2:1\nmeter: 6/8\npattern p\n  right | x x x x x x |\n"
    assert beats(song("[A]\n| D |", header=header).bars[0], "right") == [0, 1, 2, 3, 4, 5]


def test_a_pattern_in_triplets_stands_as_it_is_written():
    triplets = "pattern p\n  right | x . x x . x x . x x . x |\n"
    expected = [0, F(2, 3), 1, F(5, 3), 2, F(8, 3), 3, F(11, 3)]
    assert beats(one_bar("D", triplets, "feel: swing 2:1\n"), "right") == expected


def test_in_halves_the_quarter_s_eighths_swing():
    header = "feel: swing 2:1\nmeter: 2/2\npattern p\n  right | x x . . . . . . |\n"
    assert beats(song("[A]\n| D |", header=header).bars[0], "right") == [0, F(1, 3)]


def test_a_ruled_bass_is_what_the_left_hand_strikes():
    assert strikes(one_bar("A", header="bass: A = C#\n"), "left")[0] == (0, {1})
