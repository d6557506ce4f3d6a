"""Places in the words of the lesson. Common practice, no source, unless said otherwise."""

from fractions import Fraction

import pytest

from evaluator.chart import read_chart
from evaluator.chart.graph import Meter
from evaluator.report.places import (
    amount,
    amount_between,
    bar_numbers,
    beat_words,
    how_far_in_words,
    listed,
    main_bar,
    place,
    places,
    places_in_words,
    quoted,
    sections_in_words,
    where_in_words,
)
from tests.report.builders import song


def test_small_numbers_are_words_and_large_ones_figures() -> None:
    assert [amount(n, "bar") for n in (1, 3, 12, 13)] == [
        "one bar",
        "three bars",
        "twelve bars",
        "13 bars",
    ]


def test_the_last_of_a_list_has_an_and() -> None:
    assert listed(["a"]) == "a"
    assert listed(["a", "b", "c"]) == "a, b and c"


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ([5], "bar 5"),
        ([5, 6], "bars 5 and 6"),
        ([9, 5, 13, 5], "bars 5, 9 and 13"),
        ([5, 6, 7, 8, 20], "bars 5 to 8 and 20"),
        (range(1, 20, 2), "bars 1, 3, 5, 7 and 6 more"),
        # One row of three neighbours is never taken for a single bar when counting the rest.
        ([1, 3, 5, 7, 9, 11, 12, 13], "bars 1, 3, 5, 7 and 4 more"),
    ],
)
def test_bars_are_told_by_their_numbers(numbers: list[int], words: str) -> None:
    assert bar_numbers(numbers) == words


def test_a_place_is_section_bar_and_sung_words() -> None:
    graph = song()
    assert place(main_bar(graph, 6)) == ('Verse 1, bar 6 ("Down by the kettle where the lane ...")')
    assert place(main_bar(graph, 18)) == "Chorus, bar 18"


def test_places_in_two_sections_name_both_and_in_more_only_the_bars() -> None:
    graph = song()
    bars = [main_bar(graph, number) for number in (22, 6, 10)]
    assert places(bars) == "Verse 1, bars 6 and 10; Verse 2, bar 22"
    assert places([*bars, main_bar(graph, 15)]) == "bars 6, 10, 15 and 22"


def test_a_long_word_is_cut_when_there_is_no_space_to_cut_at() -> None:
    assert quoted("la" * 30) == '"' + "la" * 18 + ' ..."'


@pytest.mark.parametrize(
    ("beat", "words"),
    [(0.0, "beat 1"), (2.0, "beat 3"), (3.5, "the and of 4"), (1.25, "beat 2.25")],
)
def test_beats_are_counted_from_one(beat: float, words: str) -> None:
    graph = song()
    assert beat_words(beat, graph, graph.bars[0]) == words


def test_a_swung_eighth_is_still_the_and() -> None:
    """Swing 2:1 puts the off-beat at two thirds of the beat."""
    graph = song(swing=Fraction(2))
    assert beat_words(3 + 2 / 3, graph, graph.bars[0]) == "the and of 4"


def test_six_eight_has_no_ands() -> None:
    graph = song(meter=Meter(6, 8))
    assert beat_words(1.5, graph, graph.bars[0]) == "beat 2.5"


def test_a_bar_that_the_chart_does_not_have_is_a_programming_mistake() -> None:
    with pytest.raises(ValueError, match="no bar 99"):
        main_bar(song(), 99)


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [(8, None, "eight bars or more"), (8, 8, "eight bars"), (8, 10, "eight to ten bars")],
)
def test_a_count_that_is_free_is_told_with_its_bounds(
    low: int, high: int | None, words: str
) -> None:
    assert amount_between(low, high, "bar") == words


SECTIONS = read_chart(
    "title: Rooms\ntempo: 90\n[Intro]\n| D |\n[Verse]\n| G | A |\n[Chorus]\n| D |\n"
    "[Verse]\n[Chorus]\n[Verse]\n[Chorus]\n[Ending]\n| D |\n"
)


@pytest.mark.parametrize(
    ("sections", "words"),
    [
        (range(8), "throughout"),
        ((0, 1, 2, 3), "Intro to Verse 2"),
        ((2, 4, 6), "Chorus 1 to 3"),
        ((3, 6, 7), "Verse 2, Chorus 3 and Ending"),
        ((2, 6), "Chorus 1 and Chorus 3"),
    ],
)
def test_sections_are_named_as_in_the_lesson(sections: tuple[int, ...], words: str) -> None:
    assert sections_in_words(SECTIONS, sections) == words


@pytest.mark.parametrize(
    ("bars", "words"),
    [
        ((1, 2, 4), "Verse 1; Verse 2, bar 5"),
        ((1, 4), "Verse 1, bar 2; Verse 2, bar 5"),
        ((1, 4, 7), "bars 2, 5 and 8"),
    ],
)
def test_whole_sections_come_before_bars_of_others(bars: tuple[int, ...], words: str) -> None:
    assert where_in_words(SECTIONS, [SECTIONS.bars[bar] for bar in bars]) == words


def test_a_long_song_but_for_a_few_bars_is_nearly_throughout() -> None:
    graph = song()
    bars = [graph.bars[index] for index in graph.written]
    assert how_far_in_words(graph, bars[:30]) == "nearly throughout"
    assert how_far_in_words(graph, bars[:28]) == "Intro to Verse 2; Chorus 2, bars 25 to 28"
    assert how_far_in_words(graph, bars) == "throughout"


def test_faults_of_a_whole_long_song_are_not_listed_bar_by_bar() -> None:
    graph = song()
    bars = [graph.bars[index] for index in graph.written]
    assert places_in_words(graph, bars[:30]) == "nearly throughout"
    assert places_in_words(graph, bars[4:8]) == "Verse 1, bars 5 to 8"
