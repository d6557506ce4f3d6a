"""Takes of a small song with known mistakes, graded."""

from functools import cache
from typing import Any

from evaluator.grading import Graded, grade_fully, prepare
from tests.playing import Fault, play, to_midi

CHART = """\
title: Copper Kettle Row
key: D major
tempo: 96
bass: A = C#

pattern walk
  count | 1 . 2 . 3 . 4 . |
  left  | x . . . x . . . |
  right | . . x . . x x . |

[Verse]
| D | A | Bm7 | G (Gadd9) |
  Down by the kettle where the lane runs thin
| D | A | G / Em7 / | A |
  somebody's humming what the rain let in
or | D | A | Em7 | A |

[Solo] optional
| Bm7 | G | D | A |

[Chorus]
| G | Em7 | A | D |
  Row on, row on, the copper is warm
| D | x4
"""
BARE = """\
title: Bare Boards
tempo: 90

[All]
| D | A | Bm7 | G |
| D | G / A / | N.C. | D |
"""


@cache
def graded(
    *faults: Fault,
    chart: str = CHART,
    without: tuple[int, ...] = (),
    again: int = 0,
    transposed: int = 0,
    **manner: Any,
) -> Graded:
    """A take of the song as written, but for the bars left out, the bar that comes again
    after it was broken off, and the faults."""
    song = prepare(chart, chart_file="row.txt")
    order = [index for index in song.graph.written if song.graph.bars[index].number not in without]
    if again:
        order.insert(again, order[again - 1])
    played = play(song.graph, order, faults=faults, **manner)
    midi = to_midi(played.transposed(transposed))
    return grade_fully(song, midi, take_file="monday.mid")
