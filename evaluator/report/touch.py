"""How was it played, in sentences?

Only what matters is said, with the places where it matters most: a mark says how far off
it was, the sentence what to listen for.
"""

from collections.abc import Sequence
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.judge.verdict import Judgement, TouchVerdict
from evaluator.report.model import ReportedAspect, ReportedTouch
from evaluator.report.places import amount, capital, places
from evaluator.report.sentences import TOUCH

MOST_BARS: Final = 5
"""Bars that a sentence names; the JSON file has them all."""
DOWN, BLURRED = 90.0, 40.0
"""Percent of the time with the pedal, and of it with another chord's notes, from which on it was
hardly ever changed: with each chord changed it is down as long, and blurs next to nothing.
Common practice, no source."""
TURNS: Final = {
    "balance": ("balance close", "balance above"),
    "tempo": ("tempo slower", "tempo faster"),
    "together": ("together right", "together left"),
    "ending": ("ending faster", "ending slower"),
}
"""Which sentence tells an aspect by the sign of its value: below 0, and from 0 up."""
HELD: Final = 50.0
"""Percent of their written length above which notes that are off are held, and not cut short."""


def tell_touch(graph: BarGraph, judgement: Judgement) -> ReportedTouch:
    """Every aspect of the touch, those that matter with their sentence."""
    aspects = []
    kept_down = _kept_down(judgement)
    halts = any(one.aspect == "hesitation" and one.matters for one in judgement.touch.aspects)
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


def _kept_down(judgement: Judgement) -> bool:
    """Whether the pedal lay down from end to end, which is one thing and not one of some bars."""
    values = {one.aspect: one.value or 0.0 for one in judgement.touch.aspects}
    return values.get("pedal", 0.0) >= DOWN and values.get("blur", 0.0) >= BLURRED


def _say(graph: BarGraph, judgement: Judgement, verdict: TouchVerdict, bars: Sequence[int]) -> str:
    value = verdict.value or 0.0
    case: str = verdict.aspect
    if case in TURNS:
        case = TURNS[case][value >= 0]
    elif case == "length":
        case = "length long" if value > HELD else "length short"
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
