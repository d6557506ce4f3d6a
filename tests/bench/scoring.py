"""How much of what is true of a take did the program find, and what did it make up?

Compares the truth written by the simulator with a judgement. A bar counts as placed if
the same bar of the chart, or one that nobody could tell from it by ear, begins within
150 ms of the truth. A finding of form counts as found if it has the right kind and count
at the right place, any bar of a run that sounds alike. Mistakes within a bar are looked
for in the judged bar that begins where the true one does.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from evaluator.chart.graph import Bar, BarGraph
from evaluator.follow.path import Path
from evaluator.judge.verdict import BarVerdict, FormFinding, Judgement
from tests.playing.mistakes import (
    Added,
    BarFault,
    Early,
    Fill,
    Lacking,
    Late,
    Missed,
    Slip,
    TrueBar,
    TrueForm,
    Truth,
    WrongBass,
    WrongChord,
)

PLACED_WITHIN = 0.150
"""Seconds."""
COSTED = ("missing", "extra", "restart", "break")
AUDIBLE_MS = 120.0
SURE = 0.5


@dataclass
class Tally:
    """Counts over many takes; `hits[kind]` of `wanted[kind]` were found."""

    wanted: Counter[str] = field(default_factory=Counter)
    hits: Counter[str] = field(default_factory=Counter)
    false: Counter[str] = field(default_factory=Counter)
    clean_bars: int = 0
    confidence: list[tuple[float, bool]] = field(default_factory=list)
    """(confidence, placed) of every played bar."""
    cases: list[str] = field(default_factory=list)

    def share(self, kind: str) -> float:
        return self.hits[kind] / self.wanted[kind] if self.wanted[kind] else float("nan")

    def f1(self, kinds: tuple[str, ...]) -> float:
        """Precision and recall of findings together."""
        hit = sum(self.hits[kind] for kind in kinds)
        wanted = sum(self.wanted[kind] for kind in kinds)
        made_up = sum(self.false[kind] for kind in kinds)
        return 2 * hit / (hit + made_up + wanted) if hit + made_up + wanted else float("nan")


def sound(bar: Bar) -> tuple[object, ...]:
    """What can be heard of a bar: equal for bars that nobody can tell apart."""
    chords = tuple((span.beat, span.chord, span.bass, span.held) for span in bar.spans)
    return (chords, bar.strikes, bar.meter)


def score(
    tally: Tally, name: str, graph: BarGraph, truth: Truth, path: Path, judgement: Judgement
) -> None:
    """Add one take."""
    pairs = _score_bars(tally, name, graph, truth, path)
    _score_form(tally, name, graph, truth, judgement)
    _score_faults(tally, name, truth, judgement, pairs)


def _score_bars(
    tally: Tally, name: str, graph: BarGraph, truth: Truth, path: Path
) -> dict[int, int]:
    """Index of the played bar for each true bar that was placed."""
    sounds = [sound(bar) for bar in graph.bars]
    pairs: dict[int, int] = {}
    used: set[int] = set()
    for place, true in enumerate(truth.bars):
        for index, played in enumerate(path.bars):
            close = abs(played.start - true.start) <= PLACED_WITHIN
            if close and index not in used and sounds[played.bar] == sounds[true.index]:
                pairs[place] = index
                used.add(index)
                break
    tally.wanted["placed"] += len(truth.bars)
    tally.hits["placed"] += len(pairs)
    if len(pairs) < len(truth.bars):
        lost = [truth.bars[i].number for i in range(len(truth.bars)) if i not in pairs]
        tally.cases.append(f"{name}: not placed: {lost}")
    for index, played in enumerate(path.bars):
        tally.confidence.append((played.confidence, index in used))
    return pairs


def _score_form(
    tally: Tally, name: str, graph: BarGraph, truth: Truth, judgement: Judgement
) -> None:
    bar_seconds = {bar.number: bar.seconds / truth.tempo for bar in graph.bars}
    found = [finding for finding in judgement.form if finding.kind in COSTED]
    for true in truth.form:
        if true.kind not in COSTED:
            continue
        tally.wanted[true.kind] += 1
        tally.wanted["tail"] += true.tail and true.kind in ("missing", "extra")
        hit = next((one for one in found if _same_form(true, one, bar_seconds)), None)
        if hit is None:
            tally.cases.append(f"{name}: form not found: {true}")
            continue
        found.remove(hit)
        tally.hits[true.kind] += 1
        tally.hits["tail"] += true.tail and true.kind in ("missing", "extra")
    for finding in found:
        tally.false[finding.kind] += 1
        tally.false["tail"] += finding.tail and finding.kind in ("missing", "extra")
        tally.cases.append(f"{name}: form made up: {finding}")


def _same_form(true: TrueForm, found: FormFinding, bar_seconds: dict[int, float]) -> bool:
    if found.kind != true.kind:
        return False
    near = abs(found.at - true.at) <= 1.5 * bar_seconds[true.bars[0]] + true.halt
    if true.kind in ("restart", "break"):
        return near
    low, high = found.run or (min(found.bars), max(found.bars))
    inside = low <= min(true.bars) and max(true.bars) <= high
    return found.count == true.count and (inside or near)


def _score_faults(
    tally: Tally, name: str, truth: Truth, judgement: Judgement, pairs: dict[int, int]
) -> None:
    by_played = {bar.played: bar for bar in judgement.bars}
    broken = {place for place, bar in enumerate(truth.bars) if _disturbed(truth, place)}
    for place, true in enumerate(truth.bars):
        verdict = by_played.get(pairs[place] + 1) if place in pairs else None
        for fault in true.faults:
            kind = _kind(fault)
            if kind is None or place in broken:
                continue
            tally.wanted[kind] += 1
            if verdict is not None and _noticed(fault, verdict):
                tally.hits[kind] += 1
            else:
                tally.cases.append(f"{name}: bar {true.number} of take {true.played}: {fault} unheard")
        if verdict is None or place in broken:
            continue
        tally.clean_bars += 1
        for kind in _false(true, verdict):
            tally.false[kind] += 1
            tally.cases.append(f"{name}: bar {true.number} of take {true.played}: {kind} made up")


def _disturbed(truth: Truth, place: int) -> bool:
    """A bar that was broken off or in which the player halted: not asked about its strikes."""
    bar = truth.bars[place]
    return any(
        true.kind in ("restart", "break") and bar.start - 0.5 <= true.at - true.halt <= bar.end + 0.5
        for true in truth.form
    )


def _kind(fault: BarFault) -> str | None:
    match fault:
        case WrongChord() | Lacking():
            return "chord"
        case WrongBass():
            return "bass"
        case Missed():
            return "missed"
        case Added():
            return "added"
        case Early(ms=ms) | Late(ms=ms):
            return "early or late" if ms >= AUDIBLE_MS else None
        case Slip() | Fill():
            return None


def _noticed(fault: BarFault, verdict: BarVerdict) -> bool:
    match fault:
        case WrongChord(beat=beat) | Lacking(beat=beat):
            return _span_wrong(verdict.chord.spans, beat)
        case WrongBass(beat=beat):
            return _span_wrong(verdict.bass.spans, beat)
        case Missed(beat=beat, hand=hand):
            return _struck(verdict, ("missed",), beat, hand, 0.13)
        case Added(beat=beat, hand=hand):
            return _struck(verdict, ("added",), beat, hand, 0.3)
        case Early(beat=beat, hand=hand) | Late(beat=beat, hand=hand):
            word = "early" if isinstance(fault, Early) else "late"
            return _struck(verdict, (word,), beat, hand, 0.13)
    return False


def _span_wrong(spans: tuple[object, ...], beat: float) -> bool:
    under = [span for span in spans if span.beat <= beat + 0.01]  # type: ignore[attr-defined]
    return bool(under) and under[-1].word != "right"  # type: ignore[attr-defined]


def _struck(
    verdict: BarVerdict, kinds: tuple[str, ...], beat: float, hand: str, within: float
) -> bool:
    return any(
        fault.kind in kinds and fault.hand == hand and abs(fault.beat - beat) <= within
        for fault in verdict.rhythm.faults
    )


def _false(true: TrueBar, verdict: BarVerdict) -> Iterator[str]:
    """Accusations of a bar in which nothing of the kind was done."""
    kinds = {_kind(fault) for fault in true.faults}
    other = any(isinstance(fault, Slip | Fill | Early | Late) for fault in true.faults)
    if verdict.chord.word not in ("right", "not judged") and "chord" not in kinds and not (
        kinds & {"bass", "missed"}
    ):
        yield "false chord"
    if verdict.bass.word not in ("right", "not judged") and not kinds & {"bass", "missed", "chord"}:
        yield "false bass"
    if verdict.rhythm.faults and not kinds - {None} and not other:
        yield "false rhythm"
