"""The example of the chart format, bar by bar, and the demo charts.

Counted by hand from the text.
"""

from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest

from evaluator.chart import decode_chart, read_chart
from tests.chart.songs import strikes, ways

CHARTS = Path(__file__).parents[2] / "charts"
KETTLE_LANE = """\
title: Kettle Lane
key:   D major
meter: 4/4
tempo: 96
bass:  A = C#                      # wherever the chart says plain A, the left hand plays C#

pattern stroll
  count | 1 . 2 . 3 . 4 . |
  left  | x . . . x . . . |
  right | . . x . . x x . |

pattern held
  left  | x - - - |
  right | x - - - |

[Intro]
| D (Dsus2) | D | D (Dsus2) | D |

[Verse 1]
| D  | A   | Bm7  | G      |
  Down by the kettle where the lane runs thin
| D  | A   | G / Em7 / | A  |
  somebody's humming what the rain let in
or | D | A | Em7 | A |

[Chorus]
| G  | D/F# | 2/4: A | D  |
  Kettle Lane, Kettle Lane, boil me a tune
| D | x4

[Verse 2] pattern held
| D | A | Bm7 | G |

[Chorus] tail x3

[Solo] optional
| Bm7 | G |

[Chorus] tail x2+
| G  | D/F# | 2/4: A | D  |
| D | x4
[End]
| <D> |
"""


@pytest.fixture(scope="module")
def kettle_lane():
    return read_chart(KETTLE_LANE)


def test_the_song_is_written_out_in_full(kettle_lane):
    bars = Counter(bar.section for bar in kettle_lane.bars if not bar.alternative)
    assert bars == {
        "Intro": 4,
        "Verse 1": 8,
        "Chorus 1": 8,
        "Verse 2": 4,
        "Chorus 2": 7,
        "Solo": 2,
        "Chorus 3": 6,
        "End": 1,
    }
    assert kettle_lane.count == 40
    assert len(kettle_lane.bars) == 44  # with the four bars of the `or` line


def test_the_form_has_its_three_choices(kettle_lane):
    # 8 verse bars from 4 on, the `or` line in 12-15, chorus 2 in 28-34, solo 35-36, chorus 3 37-42.
    assert ways(kettle_lane) == {7: (8, 12), 11: (16,), 34: (35, 37), 42: (43, 42)}
    assert kettle_lane.starts == (0,)
    assert kettle_lane.finals == (43,)


def test_plain_a_stands_over_c_sharp(kettle_lane):
    over_a = [bar for bar in kettle_lane.bars if bar.text in ("A", "2/4: A")]
    assert len(over_a) == 9
    assert all(bar.spans[0].bass == 1 and bar.spans[0].ruled for bar in over_a)


def test_the_short_bar_has_the_first_half_of_the_pattern(kettle_lane):
    short = next(bar for bar in kettle_lane.bars if bar.meter.beats == 2)
    assert strikes(short, "left") == [(0, {1})]
    assert strikes(short, "right") == [(1, {9, 1, 4})]
    assert short.seconds == pytest.approx(1.25)


def test_the_bass_follows_the_chord_inside_the_bar(kettle_lane):
    assert strikes(kettle_lane.bars[10], "left") == [(0, {7}), (2, {4})]
    assert strikes(kettle_lane.bars[10], "right")[1] == (Fraction(5, 2), {4, 7, 11, 2})


def test_the_tails_are_told(kettle_lane):
    tails = Counter(bar.section for bar in kettle_lane.bars if bar.tail)
    assert tails == {"Chorus 1": 4, "Chorus 2": 3, "Chorus 3": 2}


def test_words_stay_with_their_bars(kettle_lane):
    assert kettle_lane.bars[10].cue == "somebody's humming what the rain let in"
    assert kettle_lane.bars[13].cue == "somebody's humming what the rain let in"
    assert kettle_lane.bars[0].cue == ""


@pytest.mark.parametrize(
    ("name", "count"), [("kettle_lane", 86), ("tallow_moon", 71), ("ladder_shuffle", 47)]
)
def test_the_demo_charts_are_songs(name, count):
    file = CHARTS / f"{name}.txt"
    graph = read_chart(decode_chart(file.read_bytes()), file=file.name)
    assert graph.count == count
    assert graph.has_patterns
    assert all(bar.strikes for bar in graph.bars)
