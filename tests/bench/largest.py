"""Charts and takes as large as they may be, for whoever measures what grading them costs.

What a chart or a take may hold at most is said in `DEVELOPERS.md`; each case here is as large
as that, in another way. The takes that fit nothing are the dearest: every key and every tempo
is tried on them.
"""

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from evaluator.chart import read_chart
from evaluator.chart.fit import MOST_BARS
from evaluator.take.strike import MOST_STRIKES
from tests.playing import Performance, play, to_midi
from tests.playing.performance import Note

LANE: Final = Path(__file__).parents[2] / "charts/kettle_lane.txt"
TOP: Final = "title: Tin Bird\ntempo: 96\n"
STROLL: Final = "pattern p\n left  | x . . . x . . . |\n right | . . x . . x x . |\n"
COLUMNS: Final = "pattern p\n left  | " + "x " * 96 + "|\n right | " + "x " * 96 + "|\n"
LINE: Final = "| C | Am | F | G | Dm | Em | C | G |\n"


@dataclass(frozen=True, slots=True)
class Case:
    """One chart with one take, and what is asked of the command beside grading it."""

    chart: str
    take: Callable[[], bytes]
    words: tuple[str, ...] = ()


def lane() -> str:
    return LANE.read_text(encoding="utf-8")


def noodled(keys: int) -> bytes:
    """As many strikes as a take may have, of so many keys each, that belong to no song."""
    dice = random.Random(1)
    notes = [
        Note(0.24 * at, 0.24 * at + 0.19, key, 64, "right")
        for at in range(MOST_STRIKES)
        for key in dice.sample(range(36, 90), keys)
    ]
    return to_midi(replace(play(read_chart(lane()), [0]), notes=tuple(notes), pedal=()))


def _often(first: int, last: int) -> Performance:
    """These bars of the song, over and over, in nearly as many strikes as a take may have."""
    graph = read_chart(lane())
    bars = list(graph.written[first:last])
    struck = sum(len({strike.beat for strike in graph.bars[bar].strikes}) for bar in bars)
    times = int(0.95 * MOST_STRIKES / struck)
    return play(graph, bars * times, jitter_ms=15.0, spread_ms=10.0, wander_pct=1.0, seed=1)


def copied() -> bytes:
    """The song on 250 tracks, each with all of it."""
    import io

    import mido

    file = mido.MidiFile(file=io.BytesIO(to_midi(play(read_chart(lane()), range(24)))))
    file.type, file.tracks = 1, [file.tracks[0]] * 250
    stream = io.BytesIO()
    file.save(file=stream)
    return stream.getvalue()


def _optional(sections: int) -> str:
    free = "".join(f"[S{n}] optional\n| C | F | x1-9\n" for n in range(sections))
    return f"{TOP}{free}[End]\n| C |\n"


def noodling() -> bytes:
    """The same of single keys."""
    return noodled(1)


CASES: Final[Mapping[str, Case]] = {
    "the song round and round": Case(lane(), lambda: to_midi(_often(0, 86))),
    "four bars round and round": Case(lane(), lambda: to_midi(_often(4, 8))),
    "four bars, asked for": Case(lane(), lambda: to_midi(_often(4, 8)), ("--bars", "5-8")),
    "one bar round and round": Case(lane(), lambda: to_midi(_often(8, 9))),
    "noodling": Case(lane(), noodling),
    "noodling in chords": Case(lane(), lambda: noodled(6)),
    "noodling, four bars asked for": Case(lane(), noodling, ("--bars", "5-8")),
    "the song on 250 tracks": Case(lane(), copied),
    "bars": Case(TOP + "[A]\n" + LINE * (MOST_BARS // 8), noodling),
    "bars with a pattern": Case(TOP + STROLL + "[A]\n" + LINE * (MOST_BARS // 8), noodling),
    "one bar so many times": Case(f"{TOP}[A]\n| C | x{MOST_BARS}\n", noodling),
    "one bar up to so many times": Case(f"{TOP}[A]\n| C | x1-{MOST_BARS}\n", noodling),
    "open ranges": Case(TOP + "[A]\n" + "| C | x2+\n" * (MOST_BARS * 4 // 10), noodling),
    "optional sections": Case(_optional(12), noodling),
    "other ways": Case(TOP + "[A]\n| C | x40\n" + "or | D |\n" * 5, noodling),
    "columns of a pattern": Case(f"{TOP}{COLUMNS}[A]\n| C | x{MOST_BARS}\n", noodling),
}
