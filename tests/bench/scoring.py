"""How much of what is true of a take did the program find, and what did it make up?

Compares the truth written by the simulator with a path and a judgement.

What counts as the same, and nothing else does:
- A bar is placed if a bar that sounds like it (same meter, chords, basses and pattern;
  optional colours aside) begins within 150 ms of it; `placed exactly` asks for that very
  bar of the chart, which a run of bars that sound alike may leave open.
- What is the same finding of form stands in tests/bench/form_truth.py.
- A wrong chord or bass: the verdict on that sign of the chart is not `right`.
- A missed, added, early or late strike: that word, that hand, that place (0.13 beats;
  0.3 for an added one, whose place is where it was heard).

Not asked for: strikes in a bar with a halt or a breaking off, as the pattern is not what
was played there. A bar that could not be followed accuses of nothing and finds nothing.

An accusation is false if nothing was done that could bring it about: a missed strike or a
wrong bass may leave a chord incomplete, a missed left-hand strike may be the bass. Bars
of the judgement that lie where no true bar was placed count as well.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from evaluator.chart.graph import Bar, BarGraph
from evaluator.follow.path import Path
from evaluator.judge.verdict import BarVerdict, Judgement, SpanVerdict
from evaluator.theory.symbol import parse_chord
from tests.bench.form_truth import COSTED, FormTruth, sound
from tests.playing import (
    Added,
    Early,
    Fill,
    Late,
    Missed,
    Slip,
    TrueBar,
    Truth,
    WrongBass,
    WrongChord,
)
from tests.playing.mistakes import BarFault

PLACED_WITHIN = 0.150
"""Seconds."""
AUDIBLE_MS = 120.0
HEARD_WITHIN = {"missed": 0.13, "early": 0.13, "late": 0.13, "added": 0.3}
"""Beats between where a strike was wanted, or added, and where the judgement says."""
UNHEARD = ("right", "not judged")


@dataclass
class Tally:
    """Counts over many takes; `hits[kind]` of `wanted[kind]` were found."""

    wanted: Counter[str] = field(default_factory=Counter)
    hits: Counter[str] = field(default_factory=Counter)
    false: Counter[str] = field(default_factory=Counter)
    clean: Counter[str] = field(default_factory=Counter)
    """Bars in which nothing of the kind was done."""
    confidence: list[tuple[float, bool]] = field(default_factory=list)
    """(confidence, placed) of every played bar."""
    cases: list[str] = field(default_factory=list)
    dearer: list[float] = field(default_factory=list)
    """For takes with a mistake in their form, what the true way costs more, nats."""
    takes: int = 0
    seconds: float = 0.0
    """Spent on following and judging."""

    def add(self, other: "Tally") -> None:
        """Take in the counts of other takes."""
        self.wanted += other.wanted
        self.hits += other.hits
        self.false += other.false
        self.clean += other.clean
        self.confidence += other.confidence
        self.cases += other.cases
        self.dearer += other.dearer
        self.takes += other.takes
        self.seconds += other.seconds

    def mistakes_of_form(self) -> int:
        """How many were not found or made up."""
        return sum(self.wanted[kind] - self.hits[kind] + self.false[kind] for kind in COSTED)

    def found(self, kind: str, name: str, *, hit: bool) -> None:
        """One more that was to be found."""
        self.wanted[kind] += 1
        self.hits[kind] += hit
        if not hit:
            self.cases.append(f"{name}: {kind} not found")

    def made_up(self, kind: str, name: str) -> None:
        """One more that was not there."""
        self.false[kind] += 1
        self.cases.append(f"{name}: {kind} made up")


def f1(tally: Tally, kinds: Sequence[str]) -> float:
    """Precision and recall of findings together; NaN without any."""
    hit = sum(tally.hits[kind] for kind in kinds)
    wanted = sum(tally.wanted[kind] for kind in kinds)
    made_up = sum(tally.false[kind] for kind in kinds)
    return 2 * hit / (hit + made_up + wanted) if hit + made_up + wanted else float("nan")


def score(name: str, graph: BarGraph, truth: Truth, path: Path, judgement: Judgement) -> Tally:
    """The counts of one take."""
    tally = Tally(takes=1)
    pairs = _score_bars(tally, name, graph, truth, path)
    _score_form(tally, name, FormTruth(graph, truth), path, judgement)
    heard = _heard(judgement, pairs)
    for place, true in enumerate(truth.bars):
        where = f"{name}: bar {true.number} (played {true.played})"
        disturbed = _disturbed(truth, true)
        _score_faults(tally, where, (true, graph.bars[true.index]), heard[place], disturbed)
        if (verdict := heard[place]) is not None:
            _score_accusations(tally, where, true, verdict, disturbed=disturbed)
    _score_misplaced(tally, name, truth, judgement, pairs)
    return tally


def _score_bars(
    tally: Tally, name: str, graph: BarGraph, truth: Truth, path: Path
) -> dict[int, int]:
    """Index of the played bar for each true bar that was placed."""
    sounds = [sound(bar) for bar in graph.bars]
    pairs: dict[int, int] = {}
    used: set[int] = set()
    for place, true in enumerate(truth.bars):
        near = [
            index
            for index, played in enumerate(path.bars)
            if abs(played.start - true.start) <= PLACED_WITHIN
            and index not in used
            and sounds[played.bar] == sounds[true.index]
        ]
        if near:
            best = min(near, key=lambda index: abs(path.bars[index].start - true.start))
            pairs[place] = best
            used.add(best)
        tally.found(
            "placed",
            f"{name}: bar {true.number} (played {true.played})",
            hit=bool(near),
        )
        tally.wanted["placed exactly"] += 1
        tally.hits["placed exactly"] += bool(near) and path.bars[best].bar == true.index
    tally.confidence += [
        (played.confidence, index in used) for index, played in enumerate(path.bars)
    ]
    return pairs


def _score_form(tally: Tally, name: str, form: FormTruth, path: Path, judgement: Judgement) -> None:
    found = [finding for finding in judgement.form if finding.kind in COSTED]
    as_right = form.as_right(path, found)
    for true in form.truth.form:
        if true.kind not in COSTED:
            continue
        hit = next((one for one in found if form.same(true, one)), None)
        if hit is None and as_right:
            hit = next((one for one in found if form.resumed(true, one)), None)
        beside = hit is None and [one for one in found if form.near(true, one)]
        if hit is not None:
            found.remove(hit)
        elif beside and form.disguised(true):
            found.remove(beside[0])
            continue
        otherwise = hit is None and as_right and form.is_of_bars(true)
        if otherwise or form.is_hesitation(true) or form.unheard(true):
            continue
        tally.hits["beside"] += bool(beside)
        tally.found(
            true.kind, f"{name}: {true}{' but beside it' * bool(beside)}", hit=hit is not None
        )
        if true.tail and true.kind in ("missing", "extra"):
            tally.wanted["tail"] += 1
            tally.hits["tail"] += hit is not None
    for finding in found:
        if as_right and finding.kind in ("missing", "extra"):
            continue
        tally.made_up(finding.kind, f"{name}: {finding}")
        tally.false["tail"] += finding.tail and finding.kind in ("missing", "extra")
    tally.clean["form"] += len(form.truth.bars)


def _heard(judgement: Judgement, pairs: dict[int, int]) -> dict[int, BarVerdict | None]:
    """The verdict on each true bar, by its place; None where it could not be followed."""
    by_played = {bar.played: bar for bar in judgement.bars if bar.judged}
    found = {place: by_played.get(index + 1) for place, index in pairs.items()}
    return defaultdict(lambda: None, found)


def _score_faults(
    tally: Tally,
    where: str,
    bars: tuple[TrueBar, Bar],
    verdict: BarVerdict | None,
    disturbed: bool,
) -> None:
    true, written = bars
    for fault in true.faults:
        kind = _kind(fault, written)
        if kind is None or (disturbed and kind in ("missed", "added", "early or late")):
            continue
        noticed = verdict is not None and _noticed(fault, verdict)
        tally.found(kind, f"{where}: {fault}", hit=noticed)


def _score_accusations(
    tally: Tally, where: str, true: TrueBar, verdict: BarVerdict, *, disturbed: bool
) -> None:
    said = dict(_accusations(verdict))
    for part, excused in _excused(true, disturbed=disturbed).items():
        if excused == "all":
            continue
        tally.clean[part] += 1
        if part in said and not (excused == "incomplete" and said[part] != "wrong"):
            tally.made_up(f"false {part}", where)


def _score_misplaced(
    tally: Tally, name: str, truth: Truth, judgement: Judgement, pairs: dict[int, int]
) -> None:
    """Chord and bass held against a player in a bar that was not played there."""
    placed = set(pairs.values())
    for verdict in judgement.bars:
        if not verdict.judged or verdict.played - 1 in placed:
            continue
        under = [b for b in truth.bars if b.start < verdict.end and b.end > verdict.start]
        excuses = [_excused(true, disturbed=False) for true in under]
        for part, _ in _accusations(verdict):
            if part != "rhythm" and all(excuse[part] == "" for excuse in excuses):
                tally.made_up(f"false {part}", f"{name}: misplaced bar at {verdict.start:.1f} s")


def _disturbed(truth: Truth, bar: TrueBar) -> bool:
    """Whether the player halted or broke off in the bar, or at its bar lines."""
    for true in truth.form:
        moment = true.at - true.halt if true.kind == "restart" else true.at
        if true.kind in ("restart", "break") and bar.start - 0.5 <= moment <= bar.end + 0.5:
            return True
    return False


def _kind(fault: BarFault, bar: Bar) -> str | None:
    """What it counts as; None for what is no mistake, or too small to be asked for."""
    match fault:
        case WrongChord(chord=name, beat=beat):
            written = bar.span_at(beat).chord
            same_root = written is not None and parse_chord(name).root.pc == written.root.pc
            return "quality" if same_root else "chord"
        case WrongBass():
            return "bass"
        case Missed():
            return "missed"
        case Added():
            return "added"
        case Early(ms=ms) | Late(ms=ms) if ms >= AUDIBLE_MS:
            return "early or late"
    return None


def _noticed(fault: BarFault, verdict: BarVerdict) -> bool:
    match fault:
        case WrongChord(beat=beat):
            return _span_wrong(verdict.chord.spans, beat)
        case WrongBass(beat=beat):
            return _span_wrong(verdict.bass.spans, beat)
        case Missed() | Added() | Early() | Late():
            word = type(fault).__name__.lower()
            return any(
                said.kind == word
                and said.hand == fault.hand
                and abs(said.beat - fault.beat) <= HEARD_WITHIN[word]
                for said in verdict.rhythm.faults
            )
    return False


def _span_wrong(spans: Sequence[SpanVerdict], beat: float) -> bool:
    under = [span for span in spans if span.beat <= beat + 0.01]
    return bool(under) and under[-1].word not in UNHEARD


def _accusations(verdict: BarVerdict) -> Iterator[tuple[str, str]]:
    """(part, word) of what is held against a bar."""
    if verdict.chord.word not in UNHEARD:
        yield "chord", verdict.chord.word
    if verdict.bass.word not in UNHEARD:
        yield "bass", verdict.bass.word
    if verdict.rhythm.faults:
        yield "rhythm", verdict.rhythm.faults[0].kind


def _excused(true: TrueBar, *, disturbed: bool) -> dict[str, str]:
    """For each part what was done that could bring an accusation about: `all`, `incomplete`
    for a chord that may lack a tone but has none too many, or nothing."""
    faults = true.faults
    chord = bass = rhythm = ""
    if any(isinstance(fault, WrongChord | WrongBass) for fault in faults):
        chord = "all"
    elif any(isinstance(fault, Missed) for fault in faults):
        chord = "incomplete"
    if any(
        isinstance(fault, WrongBass) or (isinstance(fault, Missed) and fault.hand == "left")
        for fault in faults
    ):
        bass = "all"
    if disturbed or any(
        isinstance(fault, Missed | Added | Early | Late | Slip | Fill) for fault in faults
    ):
        rhythm = "all"
    return {"chord": chord, "bass": bass, "rhythm": rhythm}
