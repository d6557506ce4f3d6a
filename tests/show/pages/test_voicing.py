"""The keys on which a bar sounds. Common practice of song accompaniment, no source."""

import pytest

from evaluator.chart import read_chart
from evaluator.show.pages.voicing import RIGHT, Note, close_position, sound_of
from tests.show.pages.takes import BARE, CHART

BROKEN = """\
title: Rise
tempo: 80

pattern rise
  left  | x . 5 . 8 . . . |
  right | . . . . . . 3 . |

[All]
| D | C/E | x2
| <D> |
"""


def sounded(chart: str) -> list[tuple[Note, ...]]:
    graph = read_chart(chart)
    found = sound_of(graph.bars)
    return [found[index] for index in graph.written]


def test_every_expected_strike_sounds_with_its_own_tones() -> None:
    graph = read_chart(CHART)
    for bar, notes in zip(graph.bars, sound_of(graph.bars), strict=True):
        for strike in bar.strikes:
            if strike.part != "chord":
                continue
            heard = {note.key % 12 for note in notes if note.beat == float(strike.beat)}
            assert strike.pitch_classes <= heard


def test_the_bass_follows_the_rule_of_the_header_and_lies_low() -> None:
    bar_of_a = sounded(CHART)[1]
    basses = [note.key for note in bar_of_a if note.key < RIGHT[0]]
    assert {key % 12 for key in basses} == {1}
    assert max(basses) < 52


def test_a_hand_holds_its_keys_until_it_strikes_again() -> None:
    bar_of_d = sounded(CHART)[0]
    left = sorted((note.beat, note.beats) for note in bar_of_d if note.key < RIGHT[0])
    right = sorted({(note.beat, note.beats) for note in bar_of_d if note.key >= RIGHT[0]})
    assert left == [(0.0, 2.0), (2.0, 2.0)]
    assert right == [(1.0, 1.5), (2.5, 0.5), (3.0, 1.0)]


def test_a_broken_chord_climbs_from_its_bass() -> None:
    left = [note.key for note in sounded(BROKEN)[0] if note.beat < 3.0]
    assert [key - left[0] for key in left] == [0, 7, 12]


def test_a_held_chord_lasts_for_the_bar() -> None:
    assert {note.beats for note in sounded(BROKEN)[-1]} == {4.0}


def test_a_chart_without_patterns_sounds_bass_and_chord_with_each_chord() -> None:
    bars = sounded(BARE)
    assert {note.beat for note in bars[5]} == {0.0, 2.0}
    assert bars[6] == ()  # N.C.


@pytest.mark.parametrize("tones", [{2, 6, 9}, {11, 2, 6, 9}, {0, 4, 7, 10, 2}, {7}])
def test_a_chord_lies_within_an_octave_near_the_hand(tones: set[int]) -> None:
    shape = close_position(tones, (60, 64, 67))
    assert {key % 12 for key in shape} == tones
    assert shape[-1] - shape[0] < 12
    assert abs(sum(shape) / len(shape) - 65) < 7


def test_the_hand_goes_the_shortest_way_from_chord_to_chord() -> None:
    first = close_position({0, 4, 7}, ())
    second = close_position({9, 0, 4}, first)
    assert len(set(first) & set(second)) == 2  # C and E stay where they are
