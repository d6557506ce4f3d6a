"""What is worth playing again, how fast, how often, and what is to be listened for?

From what is not learnt yet (`weakness`) to passages short enough to be played round and
round: a movement with the bar before it, since it is the way into a chord that fails and
not the chord; a line of the chart, or four bars of a longer one, for a pattern; the end
of a line with the bar that follows for bars too few or too many.

The tempo is the one at which the passage was just played, never above the chart's, less
the more unsteady the playing was there: the strikes' spread and lateness in beats and the
changes of tempo from bar to bar. Bars with a halt in them, or that were broken off, tell no
tempo. Common practice among teachers, no source.
"""

import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor
from statistics import fmean, median
from typing import Final, NamedTuple

from evaluator.chart.graph import BarGraph
from evaluator.judge.verdict import BarVerdict, Judgement
from evaluator.practise.attempt import Attempt
from evaluator.practise.attempts import attempts
from evaluator.practise.weakness import Weakness, weaknesses
from evaluator.practise.words import ONCE_MORE, WHOLE_LINE, listen, why
from evaluator.report.model import Loop, LoopKind

LINE_BARS: Final = 4
SLOWEST_BPM: Final = 20
"""As slow as a guide goes."""
HALTING: Final = 0.6
"""A bar that went slower than this part of the take's tempo, measured by the chart, holds a halt;
one that went as much faster was not played as a whole."""
STEADY, UNSTEADY = 0.9, 0.6
"""Part of the tempo just played for a passage that was quite steady, and the least."""
AT: Final = 0.01
"""Seconds; bar lines are no more exact than this."""
PER_BEAT: Final = 2.0
"""How much of it each beat of unevenness takes."""
TIMES: Final = ((0.75, 8), (0.4, 6), (0.0, 4))
"""Repetitions for a thing that failed in at least so large a share of its tries."""
LINE_TIMES: Final = 4
GUIDE: Final = "evaluator chart guide {chart} --bars {first}-{last} --tempo {bpm} --times {times}"


@dataclass(frozen=True, slots=True)
class _Passage:
    first: int
    last: int

    @property
    def numbers(self) -> range:
        return range(self.first, self.last + 1)


def plan(graph: BarGraph, judgement: Judgement, *, chart_file: str = "") -> tuple[Loop, ...]:
    """Two to five passages, the most needed first; none where nothing is worth one."""
    if not judgement.matches:
        return ()
    planner = _Planner(graph, judgement, chart_file)
    loops: list[Loop] = []
    taken: set[_Passage] = set()
    found = weaknesses(attempts(graph, judgement))
    for weakness in found:
        passage = planner.passage(weakness, taken)
        if passage is not None:
            taken.add(passage)
            loops.append(planner.loop(weakness, passage))
    if len(loops) == 1:
        loops += planner.line_around(found[0], loops[0], taken)
    return tuple(loops)


class Advice(NamedTuple):
    """What is said of a passage."""

    why: str
    listen: str


class _Planner:
    """One song and what was judged of one take of it."""

    def __init__(self, graph: BarGraph, judgement: Judgement, chart_file: str) -> None:
        self._graph = graph
        self._chart_file = chart_file or "CHART"
        self._main = {graph.bars[i].number: graph.bars[i] for i in reversed(graph.written)}
        self._chunks = _chunks(graph)
        self._went = judgement.tempo.median / judgement.tempo.chart or 1.0
        """Of the chart's tempo, how much the take went at."""
        halts = [one.at for one in judgement.form if one.kind in ("break", "restart")]
        self._played: dict[int, list[BarVerdict]] = {}
        for verdict in judgement.bars:
            bar = graph.bars[verdict.bar]
            usual = 60.0 / bar.seconds_per_beat * self._went
            if verdict.judged and not _halted(verdict, halts, usual):
                self._played.setdefault(bar.number, []).append(verdict)

    def passage(self, weakness: Weakness, taken: set[_Passage]) -> _Passage | None:
        """The passage in which most of it went wrong, the earliest of equals."""
        weights: dict[_Passage, float] = {}
        for attempt in weakness.failed:
            passage = self._around(weakness, attempt)
            weights[passage] = weights.get(passage, 0.0) + attempt.cost
        free = [passage for passage in weights if passage not in taken]
        return min(free, key=lambda one: (-round(weights[one], 9), one.first), default=None)

    def loop(self, weakness: Weakness, passage: _Passage) -> Loop:
        times = next(times for share, times in TIMES if weakness.share >= share)
        return self._loop(
            passage,
            weakness.skill.kind,
            Advice(why(weakness, self._graph, passage.numbers), listen(weakness, self._graph)),
            self._bpm(passage, weakness),
            times,
        )

    def line_around(self, weakness: Weakness, loop: Loop, taken: set[_Passage]) -> list[Loop]:
        """What was practised alone goes back into its line."""
        line = self._chunk(loop.bars[1])
        passage = _Passage(min(line.first, loop.bars[0]), max(line.last, loop.bars[1]))
        if passage in taken:
            before = self._chunk(max(1, passage.first - 1))
            passage = _Passage(before.first, passage.last)
        if passage in taken:
            return []
        told = why(weakness, self._graph, passage.numbers)
        advice = Advice(WHOLE_LINE.format(why=told), ONCE_MORE)
        bpm = self._bpm(passage, weakness)
        return [self._loop(passage, weakness.skill.kind, advice, bpm, LINE_TIMES)]

    def _loop(
        self, passage: _Passage, kind: LoopKind, advice: Advice, bpm: int, times: int
    ) -> Loop:
        bars = [self._main[number] for number in passage.numbers if number in self._main]
        command = GUIDE.format(
            chart=shlex.quote(self._chart_file),
            first=passage.first,
            last=passage.last,
            bpm=bpm,
            times=times,
        )
        return Loop(
            bars=(passage.first, passage.last),
            section=bars[0].section,
            cue=next((bar.cue for bar in bars if bar.cue), ""),
            kind=kind,
            why=advice.why,
            listen=advice.listen,
            bpm=bpm,
            times=times,
            guide=f"{command} -o guide.mid",
        )

    def _around(self, weakness: Weakness, attempt: Attempt) -> _Passage:
        number, count = attempt.bar.number, self._graph.count
        finding = attempt.finding
        skill = weakness.skill
        if skill.kind == "count":
            chunk = self._chunk(number)
            run = max(number - LINE_BARS, finding.run[0]) if finding and finding.run else number
            return _Passage(min(chunk.first, run), min(chunk.last + 1, count))
        if skill.kind == "rhythm" and skill.sort not in ("into", "move"):
            return self._chunk(number)
        if attempt.beat > 0 or number - 1 not in self._main:
            return _Passage(number, min(number + 1, count))
        return _Passage(number - 1, number)

    def _chunk(self, number: int) -> _Passage:
        """The line of a bar, or the four bars of it in which the bar is."""
        return next(
            (chunk for chunk in self._chunks if number in chunk.numbers), _Passage(number, number)
        )

    def _bpm(self, passage: _Passage, weakness: Weakness) -> int:
        """Beats a minute of the passage's first bar, at which it should come right."""
        bars = [self._main[number] for number in passage.numbers if number in self._main]
        written = 60.0 / bars[0].seconds_per_beat
        played = [one for number in passage.numbers for one in self._played.get(number, ())]
        pace = median(one.bpm for one in played) if played else written * self._went
        uneven = _uneven(played)
        late = [abs(one.ms) / 1000 * pace / 60 for one in weakness.failed if one.ms]
        if late:
            uneven = max(uneven, fmean(late))
        part = max(UNSTEADY, STEADY - PER_BEAT * uneven)
        # Who plays far above the chart's tempo is not sent back below six tenths of that.
        slow = min(max(part * min(pace, written), UNSTEADY * pace), written)
        within = min(max(round(slow), ceil(UNSTEADY * pace)), floor(STEADY * pace))
        return max(SLOWEST_BPM, within)


def _halted(verdict: BarVerdict, halts: Sequence[float], usual_bpm: float) -> bool:
    """Whether the player stopped in a bar, so that it tells no tempo."""
    stopped = any(verdict.start - AT <= at < verdict.end - AT for at in halts)
    return stopped or not HALTING * usual_bpm <= verdict.bpm <= usual_bpm / HALTING


def _chunks(graph: BarGraph) -> tuple[_Passage, ...]:
    """Lines with all their copies, cut into four bars where they are longer."""
    lines: dict[tuple[int, int], list[int]] = {}
    for index in graph.written:
        bar = graph.bars[index]
        lines.setdefault((bar.section_index, bar.line), []).append(bar.number)
    return tuple(
        _Passage(numbers[at], numbers[min(at + LINE_BARS, len(numbers)) - 1])
        for numbers in lines.values()
        for at in range(0, len(numbers), LINE_BARS)
    )


def _uneven(played: Sequence[BarVerdict]) -> float:
    """How unsteady some bars were, in beats: spread of the strikes and changes of tempo."""
    if not played:
        return 0.0
    spread = fmean(one.rhythm.spread_ms / 1000 * one.bpm / 60 for one in played)
    changes = [
        abs(after.bpm - before.bpm) / max(before.bpm, 1.0)
        for before, after in pairwise(played)
        if after.played == before.played + 1
    ]
    return spread + (fmean(changes) if changes else 0.0)
