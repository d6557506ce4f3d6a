"""What does the piano play along? The drum channel and its keys: General MIDI 1."""

from evaluator.chart import read_chart
from evaluator.practise.accompaniment import count_in, sounds
from tests.cli.commands import CHART

GRAPH = read_chart(CHART)
BARS = [GRAPH.bars[index] for index in (4, 5)]
BEAT = 60 / 96
WALTZ = read_chart("title: Ferry\nmeter: 3/4\ntempo: 120\n\n[A]\n| C | G |\n")


def struck(*parts: str) -> list[tuple[float, int]]:
    found = sounds(BARS, parts)  # type: ignore[arg-type]
    return [(round(one.at / BEAT, 3), one.raw[1]) for one in found if one.strikes]


def test_the_left_hand_plays_the_charts_bass_in_its_pattern() -> None:
    assert [(at, key % 12) for at, key in struck("left")] == [(0, 2), (2, 2), (4, 1), (6, 1)]


def test_every_key_that_is_struck_is_let_go_before_it_is_struck_again() -> None:
    down: set[int] = set()
    for one in sounds(BARS, ("right",)):
        if one.strikes:
            assert one.raw[1] not in down
            down.add(one.raw[1])
        else:
            down.remove(one.raw[1])
    assert down == set()


def test_the_chords_alone_are_one_for_each_sign() -> None:
    assert sorted({at for at, _ in struck("chords")}) == [0, 4]


def test_a_click_accents_the_first_beat_on_the_drum_channel() -> None:
    clicks = sounds(BARS, ("click",))
    assert [one.raw[0] for one in clicks] == [0x99] * 8
    assert [one.raw[1] for one in clicks] == [76, 77, 77, 77] * 2


def test_one_bar_is_counted_in_and_two_of_a_short_one() -> None:
    assert [beat for beat, _ in count_in(BARS[0])] == [0, 1, 2, 3]
    assert len(count_in(WALTZ.bars[0])) == 3
    short = read_chart("title: Ferry\nmeter: 2/4\ntempo: 120\n\n[A]\n| C | G |\n")
    assert [raw[1] for _, raw in count_in(short.bars[0])] == [76, 77, 76, 77]


def test_in_three_four_the_third_beat_is_followed_by_a_first() -> None:
    clicks = sounds([WALTZ.bars[0], WALTZ.bars[1]], ("click",))
    assert [one.raw[1] for one in clicks] == [76, 77, 77, 76, 77, 77]
    assert [one.at for one in clicks] == [0.0, 0.5, 1.0, 1.5, 2.0, 2.5]
