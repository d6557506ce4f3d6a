"""Orders of bars, counted by hand. The rules are those of the chart format; the outside
measure is how musicians read the same signs (common practice, no source)."""

import pytest

from evaluator.errors import ChartError
from tests.chart.songs import bars_in_order, song, ways


def test_bars_follow_one_another():
    graph = song("[Verse]\n| D | A | G |\n| Em |")
    assert graph.successors == ((1,), (2,), (3,), ())
    assert graph.starts == (0,)
    assert graph.finals == (3,)
    assert graph.written == (0, 1, 2, 3)


def test_a_counted_line_is_written_out():
    graph = song("[Tail]\n| D | G | x3")
    assert bars_in_order(graph) == "D G D G D G"
    assert [bar.copy for bar in graph.bars] == [0, 0, 1, 1, 2, 2]
    assert ways(graph) == {}


def test_a_count_may_stand_close_to_its_bar_line():
    assert song("[Tail]\n| D |x2").count == 2


def test_a_song_may_be_as_long_as_the_limit():
    assert song("[Vamp]\n| D | x1000").count == 1000


def test_a_range_may_be_left_from_its_lower_count_on():
    graph = song("[Vamp]\n| D | G | x2-4\n| A |")
    assert graph.count == 9
    # The second and third time round lead on, or to the next line; the fourth only on.
    assert ways(graph) == {3: (4, 8), 5: (6, 8)}
    assert graph.finals == (8,)


def test_a_song_may_end_within_a_range():
    graph = song("[Tail]\n| D | x2-4")
    assert graph.finals == (3, 1, 2)
    assert graph.written == (0, 1, 2, 3)


def test_a_line_played_one_to_two_times_may_be_followed_by_an_or_line():
    graph = song("[A]\n| D | x1-2\n| G |\nor | Em | A |")
    assert ways(graph) == {0: (1, 2, 3), 1: (2, 3), 2: ()}
    assert graph.finals == (2, 4)


def test_an_open_range_of_one_bar_follows_itself():
    graph = song("[Vamp]\n| D | x2+\n| A |")
    assert bars_in_order(graph) == "D D A"
    assert ways(graph) == {1: (2, 1)}
    assert graph.count == 3


def test_an_open_range_of_a_longer_line_goes_back_to_the_first_bar_of_its_last_copy():
    graph = song("[Vamp]\n| D | G | x2+\n| A |")
    assert ways(graph) == {3: (4, 2)}


def test_an_open_range_may_end_the_song():
    graph = song("[Vamp]\n| D | x1+")
    assert graph.successors == ((0,),)
    assert graph.finals == (0,)


def test_an_or_line_stands_beside_its_line():
    graph = song("[Verse]\n| D |\n| G | A |\nor | Em | A7 | A |\n| D |")
    assert bars_in_order(graph) == "D G A Em A7 A D"
    assert ways(graph) == {0: (1, 3), 2: (6,)}
    assert graph.written == (0, 1, 2, 6)
    assert [bar.alternative for bar in graph.bars] == [0, 0, 0, 1, 1, 1, 0]


def test_an_or_line_shares_the_numbers_of_its_line():
    longer = song("[Verse]\n| D |\n| G | A |\nor | Em | A7 | A |\n| D |")
    assert [bar.number for bar in longer.bars] == [1, 2, 3, 2, 3, 3, 4]
    shorter = song("[Verse]\n| D | G |\nor | Em |\n| A |")
    assert [bar.number for bar in shorter.bars] == [1, 2, 1, 3]
    assert shorter.count == 3


def test_an_or_line_stands_beside_every_copy_of_a_counted_line():
    graph = song("[Verse]\n| D | x2\nor | G | A |")
    assert bars_in_order(graph) == "D G A D G A"
    assert ways(graph) == {0: (3, 4), 2: (3, 4), 3: ()}
    assert graph.starts == (0, 1)
    assert graph.finals == (3, 5)


def test_an_open_range_may_come_round_by_its_or_line():
    graph = song("[Vamp]\n| D | x1+\nor | G | A |\n| E |")
    assert graph.successors == ((3, 0, 1), (2,), (3, 0, 1), ())


def test_an_optional_section_may_be_left_out():
    graph = song("[Verse]\n| D |\n[Solo] optional\n| G | A |\n[End]\n| E |")
    assert ways(graph) == {0: (1, 3)}
    assert graph.written == (0, 1, 2, 3)


def test_a_song_may_begin_with_an_optional_section():
    graph = song("[Intro] optional\n| D |\n[Verse]\n| G |")
    assert graph.starts == (0, 1)
    assert graph.finals == (1,)


def test_a_song_may_end_with_an_optional_section():
    graph = song("[Verse]\n| D |\n[Coda] optional\n| G |")
    assert graph.finals == (1, 0)


def test_optional_sections_in_a_row_may_be_left_out_singly_or_together():
    graph = song("[V]\n| D |\n[S1] optional\n| G |\n[S2] optional\n| A |\n[E]\n| E |")
    assert ways(graph) == {0: (1, 2, 3), 1: (2, 3)}


def test_a_range_before_an_optional_section_may_skip_it_too():
    graph = song("[V]\n| D | x1-2\n[S] optional\n| G |\n[E]\n| E |")
    assert ways(graph) == {0: (1, 2, 3), 1: (2, 3)}


def test_a_tail_option_replaces_the_count_of_the_last_counted_line():
    body = "[Chorus]\n| G | x2\n| D | x4\n| A |\n[Chorus] tail x3\n[Chorus] tail x2-3"
    graph = song(body)
    assert bars_in_order(graph) == "G G D D D D A G G D D D A G G D D D A"
    assert [bar.tail for bar in graph.bars[:7]] == [False, False, True, True, True, True, False]
    assert ways(graph) == {16: (17, 18)}


def test_an_open_tail_may_follow_itself():
    graph = song("[Chorus]\n| G |\n| D | x4\n[Chorus] tail x2+\n[End]\n| A |")
    assert bars_in_order(graph) == "G D D D D G D D A"
    assert ways(graph) == {7: (8, 7)}


def test_a_line_that_is_counted_once_is_a_tail():
    assert [bar.tail for bar in song("[A]\n| G |\n| D | x1").bars] == [False, True]


def test_every_way_leads_to_a_bar_of_the_song_and_every_bar_can_be_reached():
    graph = song(
        "[I] optional\n| D | x1-3\n[V]\n| G | A |\nor | E |\n| D | x2+\n[S] optional\n| F |\n[V]"
    )
    reached = set(graph.starts)
    for _ in graph.bars:
        reached |= {after for bar in reached for after in graph.successors[bar]}
    assert reached == set(range(len(graph.bars)))
    assert set(graph.finals) <= reached


def test_the_first_way_out_is_the_next_bar_as_written():
    graph = song("[I] optional\n| D | x1-3\n[V]\n| G |\nor | E |\n| D | x2+\n[S] optional\n| F |")
    nominal = [graph.starts[0]]
    for _ in graph.written[1:]:
        nominal.append(graph.successors[nominal[-1]][0])
    assert tuple(nominal) == graph.written


def test_a_form_with_countless_ways_is_refused():
    optional = "".join(f"[S{number}] optional\n| C |\n" for number in range(480))
    with pytest.raises(ChartError, match="more than 1500 ways"):
        song("[V]\n| C |\n" + optional)
