"""Long scores are written in stretches: nobody can tell where one ends. Compared with the
same score written in one; the notation is music21's."""

import re
from functools import partial

import pytest

from evaluator.chart import parse_chart
from evaluator.notation import export_chart, writing
from evaluator.notation.stretches import stretches

SONG = """\
title: The Long Way Round
key: D major
tempo: 96
bass: A = C#

pattern walk
  left  | x . . . x . . . |
  right | . . x . . x x . |

[Verse]
| D | A | Bb | G (Gadd9) |
  Down by the kettle where the lane runs thin
| D | x3
| G#dim | F#7 | 2/4: Bm | Bb |
[Bridge] key F minor tempo 80
| Fm | Db |
or | Fm |
| N.C. | Eb Ab |
[Tune]
| D | A | G |
  right | D5 - Bb4 - | - - C#5+E5 . | - C5,E5,C#5 G4 A4 |
| % | D |
"""
BARE = "title: Bare Boards\ntempo: 90\n[All]\n| D | A | x2\n| N.C. | 3/4: G | D |\n"


def written(text: str) -> str:
    """The score without its date and the names that the library draws by lot."""
    xml = export_chart(parse_chart(text)).decode()
    return re.sub(r"<encoding-date>[^<]*|\bP[0-9a-f]{32}|\bI[0-9a-f]{32}", "", xml)


@pytest.mark.parametrize("bars", [1, 2, 3, 5])
@pytest.mark.parametrize("text", [SONG, BARE])
def test_a_score_is_the_same_in_stretches_of_any_length(
    monkeypatch: pytest.MonkeyPatch, text: str, bars: int
) -> None:
    whole = written(text)
    assert '<tie type="stop"' in whole or text == BARE
    monkeypatch.setattr(writing, "stretches", partial(stretches, bars=bars))
    assert written(text) == whole


def test_every_bar_is_kept_once_and_written_between_its_neighbours() -> None:
    cut = list(stretches(130, bars=50))
    assert [(one.first, one.end) for one in cut] == [(0, 50), (50, 100), (100, 130)]
    assert [one.written for one in cut] == [range(51), range(49, 101), range(99, 130)]
    assert [one.written[one.kept] for one in cut] == [range(50), range(50, 100), range(100, 130)]


def test_the_longest_chart_is_written_in_stretches_of_a_few_dozen_bars() -> None:
    assert max(len(one.written) for one in stretches(5_000)) < 100


def test_the_left_hand_stands_in_the_bass_clef() -> None:
    assert re.findall(r"<sign>(.)</sign>", written(SONG)) == ["G", "F"]
    assert re.findall(r"<sign>(.)</sign>", written(BARE)) == ["G"]
