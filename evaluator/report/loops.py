"""What is worth playing again, and how fast?

The passages in which most went wrong, each short enough to be played round and round:
a line of the chart, or four bars of a longer one. Bars missing or too many at the end
of a line are practised with the bar that follows, since it is the join that failed.
The tempo is 80 % of the one just played, slow enough to leave time to think; common
practice among teachers, no source.
"""

from collections.abc import Mapping, Sequence
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.judge.verdict import FormFinding, Tempo
from evaluator.report.faults import Trouble
from evaluator.report.form import cost as form_cost
from evaluator.report.model import LayoutSection, Loop
from evaluator.report.places import listed

MOST_LOOPS: Final = 3
LOOP_BARS: Final = 4
SLOWER: Final = 0.8
SLOWEST: Final = 30
LEAST_COST: Final = 0.1
"""Worth of a bar that must have been lost in a passage to make it worth a loop: a missed
strike or two is not, a wrong bass note is."""

WHY: Final = {
    "missing": "count the bars",
    "extra": "count the bars",
    "restart": "get through without stopping",
    "break": "get through without stopping",
    "chord": "the chords",
    "incomplete": "the chords",
    "bass": "the bass notes",
    "rhythm": "the pattern",
}


def loops(
    graph: BarGraph,
    layout: Sequence[LayoutSection],
    *,
    found: Sequence[Trouble],
    form: Sequence[FormFinding],
    tempo: Tempo,
) -> tuple[Loop, ...]:
    """At most three passages, the costliest first."""
    costs = _costs(found, form)
    joined = {finding.bars[-1] for finding in form if finding.kind in ("missing", "extra")}
    passages: list[tuple[float, Loop]] = []
    for section in layout:
        for line in section.lines:
            numbers = [bar.number for bar in line.bars]
            for at in range(0, len(numbers), LOOP_BARS):
                chunk = numbers[at : at + LOOP_BARS]
                first, last = chunk[0], chunk[-1]
                weight = _sum(costs, chunk)
                if sum(weight.values()) < LEAST_COST:
                    continue
                if joined.intersection(chunk):
                    last = min(last + 1, graph.count)
                loop = Loop((first, last), section.label, _why(weight), _bpm(tempo))
                passages.append((sum(weight.values()), loop))
    passages.sort(key=lambda passage: (-passage[0], passage[1].bars))
    return tuple(loop for _, loop in passages[:MOST_LOOPS])


def _costs(found: Sequence[Trouble], form: Sequence[FormFinding]) -> dict[int, dict[str, float]]:
    """For each bar number what was lost there, by the reason for playing it again."""
    costs: dict[int, dict[str, float]] = {}

    def add(number: int, kind: str, cost: float) -> None:
        if cost > 0:
            reasons = costs.setdefault(number, {})
            reasons[WHY[kind]] = reasons.get(WHY[kind], 0.0) + cost

    for trouble in found:
        add(trouble.bar.number, trouble.kind, trouble.cost)
    for finding in form:
        if finding.kind == "choice":
            continue
        numbers = finding.bars[:1] if finding.kind == "restart" else finding.bars
        for number in numbers:
            add(number, finding.kind, form_cost(finding) / len(numbers))
    return costs


def _sum(costs: Mapping[int, Mapping[str, float]], numbers: Sequence[int]) -> dict[str, float]:
    total: dict[str, float] = {}
    for number in numbers:
        for why, cost in costs.get(number, {}).items():
            total[why] = total.get(why, 0.0) + cost
    return total


def _why(weight: Mapping[str, float]) -> str:
    """The two weightiest reasons."""
    ordered = sorted(weight, key=lambda why: (-weight[why], why))
    return listed(ordered[:2])


def _bpm(tempo: Tempo) -> int:
    played = tempo.median if tempo.median > 0 else tempo.chart
    return max(SLOWEST, round(SLOWER * min(played, tempo.chart)))
