"""Small songs for the follower, none of them anyone's, and takes of them followed."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Any

from evaluator.chart import BarGraph, read_chart
from evaluator.follow import Path, follow
from evaluator.take.midi_file import read_take
from evaluator.take.model import make_take
from evaluator.take.strike import Strike, strikes
from tests.bench.students import Simulated
from tests.playing import Fault, Performance, play

HEAD = """title: The Ladder in the Pond
key: C major
tempo: 100

pattern walk
  left  | x . x . |
  right | . x . x |

"""
BEAT = 0.6
"""Seconds, at the tempo of the songs."""
FOUR = HEAD + "[Verse]\n| C | Am | Dm | G |\n"
LINES = (
    HEAD
    + """[Verse]
| C | Am | F | G |
| Em | Bb | Dm | A |
[Chorus]
| F | C | Gm | D |
| Bm | E | Am | G |
[Bridge]
| Eb | Bb | Cm | Fm |
| Dm | G | F | C |
"""
)
"""Six lines of four bars; no bar sounds like its neighbours."""
PLAIN = "title: Plain\ntempo: 100\n\n[Verse]\n" + LINES.partition("[Verse]\n")[2]
"""The same without a pattern."""
TAIL = HEAD + "[Verse]\n| F | G | Am | Em |\n| C | x4\n[Chorus]\n| Dm | G | Bb | A |\n"
FREE = TAIL.replace("x4", "x2-4")
OPEN = TAIL.replace("x4", "x2+")
OR_LINE = (
    HEAD
    + """[Verse]
| C | Am | F | G |
| Em | F | Dm | A |
or | Bb | Eb | Cm | D |
| F | G | C | C |
"""
)
SOLO = "[Solo] optional\n| Eb | Cm | Ab | Bb |\n"
VERSE, CHORUS = "[Verse]\n| C | Am | F | G |\n", "[Chorus]\n| Dm | E | Bm | A |\n"


@lru_cache(maxsize=64)
def song(text: str) -> BarGraph:
    """The song of a chart text."""
    return read_chart(text)


def heard(take: Performance) -> tuple[Strike, ...]:
    """The strikes of a take."""
    notes = take.notes
    return strikes(
        make_take(
            [note.onset for note in notes],
            [note.offset for note in notes],
            [note.pitch for note in notes],
            [note.velocity for note in notes],
        )
    )


def struck(notes: Sequence[tuple[float, int]]) -> tuple[Strike, ...]:
    """The strikes of notes given as onset and pitch, in order of time."""
    onsets, pitches = zip(*notes, strict=True)
    return strikes(make_take(onsets, [at + 0.3 for at in onsets], pitches, [64] * len(notes)))


def order(graph: BarGraph, *numbers: int) -> list[int]:
    """Bars by their numbers; an `or` line's by its numbers made negative."""
    at = {-bar.number if bar.alternative else bar.number: bar.index for bar in reversed(graph.bars)}
    return [at[number] for number in numbers]


def followed(
    graph: BarGraph, numbers: Sequence[int] | None = None, *faults: Fault, **manner: Any
) -> Path:
    """The path found in a take of these bars; the song as written if none are named."""
    bars = None if numbers is None else order(graph, *numbers)
    return follow(graph, heard(play(graph, bars, faults=faults, **manner)))


def path_of(take: Simulated) -> Path:
    """The path found in a simulated take."""
    return follow(take.graph, strikes(read_take(take.midi_bytes)))


def numbers(graph: BarGraph, path: Path) -> list[int]:
    """The bars of a path by number, those of an `or` line negative."""
    bars = (graph.bars[played.bar] for played in path.bars)
    return [-bar.number if bar.alternative else bar.number for bar in bars]


def turns(graph: BarGraph, path: Path) -> list[tuple[str, int]]:
    """Where the take left the written order: (entry, number of the bar it went on with)."""
    places = zip(path.bars, numbers(graph, path), strict=True)
    return [(bar.entry, abs(at)) for bar, at in places if bar.entry not in ("start", "onward")]
