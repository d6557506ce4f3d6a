"""What does each hand play where the chart is played as written? Common practice, no source."""

from fractions import Fraction

from evaluator.chart import read_chart
from evaluator.practise.strokes import chords, strokes
from tests.cli.commands import CHART

GRAPH = read_chart(CHART)
BARS = [GRAPH.bars[i] for i in GRAPH.written]


def test_the_chords_alone_are_struck_once_each_and_held() -> None:
    found = list(chords(BARS[:2]))
    assert [(one.place, one.beat, one.until, one.hand) for one in found] == [
        (0, 0, 4, "right"),
        (1, 0, 4, "right"),
    ]
    assert {key % 12 for key in found[0].keys} == {2, 6, 9}


def test_a_hand_holds_its_keys_until_it_strikes_again() -> None:
    left = [one for one in strokes(BARS[1:2]) if one.hand == "left"]
    assert [(one.beat, one.until) for one in left] == [(0, 2), (2, 4)]
    assert {key % 12 for one in left for key in one.keys} == {1}  # C# under A, as the chart rules


def test_the_pattern_is_played_on_its_places() -> None:
    right = [one.beat for one in strokes(BARS[:1]) if one.hand == "right"]
    assert right == [Fraction(1), Fraction(5, 2), Fraction(3)]
