"""Which bars are meant. Own rule, no outside source."""

import pytest

from evaluator.chart import read_chart
from evaluator.errors import UsageError
from evaluator.excerpt.passage import passage

GRAPH = read_chart(
    """
title: Row
tempo: 100
[Verse]
| C | F |
or | C | Dm |
| G | x2 |
[Chorus]
| F | C |
[Verse]
""".replace("| x2 |", "| x2")
)


def numbers(*, bars: str | None = None, section: str | None = None) -> list[int]:
    return [GRAPH.bars[i].number for i in passage(GRAPH, bars=bars, section=section)]


def test_bars_are_counted_through_the_whole_song() -> None:
    assert numbers() == list(range(1, 11))
    assert numbers(bars="4-6") == [4, 5, 6]
    assert numbers(bars=" 7 ") == [7]
    assert numbers(bars="1\N{EN DASH}2") == [1, 2]


def test_a_section_is_called_as_in_the_report_and_by_its_plain_name_the_first_time() -> None:
    assert numbers(section="Verse 2") == [7, 8, 9, 10]
    assert numbers(section="verse") == [1, 2, 3, 4]
    assert numbers(section=" CHORUS ") == [5, 6]


@pytest.mark.parametrize("words", ["0-2", "4-2", "9-11", "four", "1-2-3", "-2", ""])
def test_bars_that_are_not_there_are_refused(words: str) -> None:
    with pytest.raises(UsageError, match=r"chart has bars 1 to 10|given as 21-24"):
        numbers(bars=words)


def test_a_section_that_is_not_there_gets_a_suggestion() -> None:
    with pytest.raises(UsageError, match=r"no section `Chorsu`\. Did you mean `Chorus`"):
        numbers(section="Chorsu")
    with pytest.raises(UsageError, match=r"There are: Verse 1, Chorus, Verse 2\."):
        numbers(section="Bridge")


def test_both_at_once_is_refused() -> None:
    with pytest.raises(UsageError, match="either bars or a section"):
        numbers(bars="1", section="Verse 1")
