"""How was it played, in sentences?

Only what matters is said, with the places where it matters most: a mark says how far off
it was, the sentence what to listen for.
"""

from collections.abc import Sequence
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.judge.touch import sound
from evaluator.judge.verdict import Judgement, TouchVerdict
from evaluator.report.model import ReportedAspect, ReportedTouch
from evaluator.report.places import amount, capital, places
from evaluator.report.sentences import TOUCH

MOST_BARS: Final = 5
"""Bars that a sentence names; the JSON file has them all."""
HURRIED, LEAST_HURRIES = 0.5, 2
"""Steps that are too short, against hesitations, from which on the rhythm is off, and at least so
many. Common practice, no source."""
TURNS: Final = {
    "tempo": ("tempo slower", "tempo faster"),
    "together": ("together right", "together left"),
    "ending": ("ending faster", "ending slower"),
}
"""Which sentence tells an aspect by the sign of its value: below 0, and from 0 up."""


def tell_touch(graph: BarGraph, judgement: Judgement) -> ReportedTouch:
    """Every aspect of the touch, those that matter with their sentence."""
    aspects = []
    values = {one.aspect: one.value or 0.0 for one in judgement.touch.aspects}
    kept_down = sound.kept_down(values.get("blur", 0.0), values.get("pedal", 0.0))
    halts = _halts(judgement)
    for verdict in judgement.touch.aspects:
        bars = [judgement.bars[played].bar for played in verdict.bars]
        bars = list(dict.fromkeys(bars))
        # Where it halts, that is the thing, and not that the steps are of unequal length.
        told = verdict.matters and not (halts and verdict.aspect == "evenness")
        say = _say(graph, judgement, verdict, bars) if told else ""
        if told and kept_down and verdict.aspect == "blur":
            say = TOUCH["blur throughout"]
        numbers = tuple(dict.fromkeys(graph.bars[bar].number for bar in bars))
        aspects.append(ReportedAspect(verdict, numbers, say))
    if kept_down:
        aspects.sort(key=lambda one: one.verdict.aspect != "blur")
    return ReportedTouch(judgement.touch.mark, judgement.touch.counted, tuple(aspects))


def _halts(judgement: Judgement) -> bool:
    """Whether it halts, and is otherwise in time: not where as many steps are too short."""
    counts = {one.aspect: one.count for one in judgement.touch.aspects if one.matters}
    return "hesitation" in counts and counts.get("evenness", 0) < max(
        LEAST_HURRIES, HURRIED * counts["hesitation"]
    )


def _say(graph: BarGraph, judgement: Judgement, verdict: TouchVerdict, bars: Sequence[int]) -> str:
    value = verdict.value or 0.0
    case: str = verdict.aspect
    if case in TURNS:
        case = TURNS[case][value >= 0]
    elif case == "length":
        case = "length long" if verdict.staccato else "length short"
    elif case == "hesitation" and verdict.count == 1:
        case = "hesitation one"
    named = [graph.bars[bar] for bar in bars[:MOST_BARS]]
    slow, fast = verdict.between or (0.0, 0.0)
    ends = [f"bar {graph.bars[bar].number}" for bar in bars]
    return TOUCH[case].format(
        value=abs(value),
        where=f" ({places(named)})" if named else "",
        hand=verdict.hand,
        halts=capital(amount(verdict.count, "hesitation")),
        seconds=verdict.seconds,
        played=judgement.tempo.median,
        slow=slow,
        fast=fast,
        slowest=ends[0] if ends else "",
        fastest=ends[-1] if ends else "",
    )
