"""What a chart leaves to the player: the pattern, any rhythm; and an ending that is held."""

import pytest

from evaluator.chart import read_chart
from evaluator.errors import ChartError

HEAD = """\
title: Choices
tempo: 90

pattern stroll
  count | 1 2 3 4 |
  left  | x . x . |
  right | . x . x |

pattern still
  count | 1 2 3 4 |
  left  | x . . . |
  right | x . . . |

"""


def strikes(heading: str) -> list[tuple[int, int, bool]]:
    """Per bar: strikes of its pattern, how many other patterns, whether any rhythm will do."""
    graph = read_chart(f"{HEAD}{heading}\n| D | G |\n")
    return [(len(bar.strikes), len(bar.others), bar.free) for bar in graph.bars]


def test_a_section_may_be_played_in_one_pattern_or_another() -> None:
    assert strikes("[Verse] pattern stroll or still") == [(4, 1, False)] * 2


def test_any_rhythm_will_do() -> None:
    assert strikes("[Verse] pattern free") == [(0, 0, True)] * 2


def test_options_may_follow_a_choice() -> None:
    graph = read_chart(f"{HEAD}[Verse] pattern stroll or still optional\n| D |\n[A]\n| D |\n")
    assert len(graph.starts) == 2


def test_the_last_playing_of_a_section_may_be_held() -> None:
    graph = read_chart(f"{HEAD}[Chorus]\n| G | A |\n| D | x2\n\n[Chorus] tail x3 end held\n")
    held = [bar.number for bar in graph.bars if bar.spans[-1].held]
    assert held == [9]
    assert graph.bars[-1].text == "<D>"
    assert len(graph.bars[-1].strikes) == 2


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[A] pattern stroll or stil\n| D |\n", "there is no pattern `stil`"),
        ("[A] pattern stroll or\n| D |\n", "is not a choice"),
        ("[A] pattern free or stroll\n| D |\n", "is not a choice"),
        ("[A] end slowly\n| D |\n", "`end slowly` is not known"),
        ("[A] end held\n| D | x2-4\n", "its last bar is not known"),
    ],
)
def test_what_is_no_choice_is_told(text: str, said: str) -> None:
    with pytest.raises(ChartError, match=said):
        read_chart(HEAD + text)


def test_no_pattern_is_called_free() -> None:
    with pytest.raises(ChartError, match="any rhythm will do"):
        read_chart("title: X\ntempo: 90\npattern free\n  left | x . |\n\n[A]\n| D |\n")
