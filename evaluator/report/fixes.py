"""Which three things should be put right first?

Everything found is weighed by what it takes from the marks. The same fault in several
bars is one thing to put right, and its places are told together; so are halts, which
have one remedy.
"""

from collections.abc import Mapping, Sequence
from typing import Final

from evaluator.chart.graph import BarGraph
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.verdict import FormFinding
from evaluator.report.faults import Trouble
from evaluator.report.form import cost, say
from evaluator.report.places import amount, main_bar, place, places
from evaluator.report.sentences import CLAUSES, LEADS

MOST_FIXES: Final = 3
LEAST_COST: Final = 0.02
"""Worth of bars below which a thing is not worth a student's attention first."""

HALTS: Final = {
    "restart": "{count} in which the song was broken off and taken up again ({places}).",
    "break": "{count} with a halt ({places}).",
}


def fix_first(
    graph: BarGraph,
    found: Sequence[Trouble],
    form: Sequence[FormFinding],
    played: Mapping[int, int],
    rubric: Rubric = STEADY,
) -> tuple[str, ...]:
    """At most three sentences, the costliest first; equal ones in the order of the song."""
    weighed = [
        *_form_fixes(graph, form, played, rubric),
        *(_trouble_fix(group) for group in _alike(found)),
    ]
    weighed = [fix for fix in weighed if fix[0] >= LEAST_COST]
    weighed.sort(key=lambda fix: (-round(fix[0], 6), fix[1]))
    return tuple(sentence for _, _, sentence in weighed[:MOST_FIXES])


def _form_fixes(
    graph: BarGraph, form: Sequence[FormFinding], played: Mapping[int, int], rubric: Rubric
) -> list[tuple[float, int, str]]:
    fixes = [
        (cost(finding, rubric), finding.bars[0], say(finding, graph, played))
        for finding in form
        if finding.kind in ("missing", "extra")
    ]
    for kind, sentence in HALTS.items():
        halts = [finding for finding in form if finding.kind == kind]
        if not halts:
            continue
        total = sum(cost(finding, rubric) for finding in halts)
        if len(halts) == 1:
            fixes.append((total, halts[0].bars[0], say(halts[0], graph, played)))
            continue
        bars = [main_bar(graph, finding.bars[0]) for finding in halts]
        count = amount(len(halts), "place")
        told = _capital(sentence.format(count=count, places=places(bars)))
        fixes.append((total, bars[0].number, told))
    return fixes


def _alike(found: Sequence[Trouble]) -> list[list[Trouble]]:
    groups: dict[tuple[str, tuple[tuple[str, str], ...]], list[Trouble]] = {}
    for trouble in found:
        groups.setdefault((trouble.case, trouble.words), []).append(trouble)
    return list(groups.values())


def _trouble_fix(group: Sequence[Trouble]) -> tuple[float, int, str]:
    """Cost, first bar and sentence of the same trouble in one bar or several."""
    first = group[0]
    words: dict[str, object] = dict(first.words)
    words["ms"] = sum(trouble.ms for trouble in group) / len(group)
    bars = list({trouble.bar.index: trouble.bar for trouble in group}.values())
    clause = CLAUSES[first.case].format(**words)
    if words.get("chord") and words["chord"] != words["expected"]:
        clause = LEADS.get(first.case, "").format(**words) + clause
    elif first.kind == "bass":
        clause = f"bass: {clause}"
    where = place(bars[0]) if len(bars) == 1 else places(bars)
    sentence = f"{where}: {clause}." if len(bars) == 1 else f"{_capital(clause)} ({where})."
    return sum(trouble.cost for trouble in group), bars[0].number, sentence


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]
