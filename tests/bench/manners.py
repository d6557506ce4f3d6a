"""What becomes of players who do not play the pattern, and of what is not the song?

    python -m tests.bench.manners                    every kind, clean and mixed; strangers
    python -m tests.bench.manners --tuning           the seeds for tuning
    python -m tests.bench.manners --takes 4 --only "whole notes" --cases
    python -m tests.bench.manners --only clean       one table: clean, mixed, strangers
    python -m tests.bench.manners --plain            by the same charts without their patterns
    python -m tests.bench.manners --live             the marks while listening as well
    python -m tests.bench.manners --judges           along the way that was truly played: what is
                                                     wrong then is wrong in the judges

The kinds stand in tests/bench/kinds.py. Of `clean` takes every chord, bass and bar is right;
`mixed` ones have slips, pauses and faults of form. Columns:

known    takes that the report takes for the song, played with both hands; share
placed   bars that begin within 150 ms of where they were played, as a bar of those chords;
         all bars of all takes count, whether or not the take is known; share
that bar the same, as that very bar of the chart; share
form+    findings of form that were not played, in takes that are known; a number, and a
         thousand bars
form-    mistakes of form that were played and not found, of so many
chord    bars accused of a wrong or incomplete chord that was right; a thousand bars
bass     the same of the bass
live     bars whose marks at the end of listening are the report's; share
shown    the same of the marks as they were first shown

Seeds from 1000 are for the reported figures, those below for tuning. Figures go to the
standard output, progress to the standard error.
"""

import argparse
import json
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from multiprocessing import get_context
from pathlib import Path as FilePath

from evaluator.chart.graph import Hand
from evaluator.follow import Path
from evaluator.grading import grade_fully, prepare
from evaluator.judge import judge
from evaluator.judge.verdict import Judgement
from evaluator.take.midi_file import read_take
from evaluator.take.strike import strikes
from tests.bench.follow import FIRST_REPORTED
from tests.bench.form_truth import COSTED
from tests.bench.kinds import KINDS, MIXED, play_kind, without_patterns
from tests.bench.liberties import bare
from tests.bench.live import agrees
from tests.bench.scoring import Tally, score
from tests.bench.strangers import OWN, STRANGERS
from tests.bench.students import NONE, Simulated
from tests.judge.truth_path import truth_path

TABLES = ("clean", "mixed", "strangers")
PARTS = ("not the song", "the song")


@dataclass
class Row:
    """Counts over the takes of one kind."""

    tally: Tally = field(default_factory=Tally)
    known: int = 0
    live: int = 0
    shown: int = 0
    live_bars: int = 0

    def add(self, other: "Row") -> None:
        """Take in the counts of other takes."""
        self.tally.add(other.tally)
        self.known += other.known
        self.live += other.live
        self.shown += other.shown
        self.live_bars += other.live_bars


@dataclass(frozen=True, slots=True)
class Job:
    """One take to be measured."""

    table: str
    kind: str
    seed: int
    live: bool
    along_truth: bool
    plain: bool = False
    """Whether the chart's patterns are left out."""


def measure(job: Job) -> Row:
    """One take."""
    if job.table in PARTS:
        makers = STRANGERS if job.table == PARTS[0] else OWN
        return _is_known(job, makers[job.kind](job.seed))
    take = play_kind(job.kind, job.seed, faults=MIXED if job.table == "mixed" else NONE)
    name = f"{job.table} {job.kind} {job.seed}"
    if job.along_truth:
        return _counted(job, name, take, _along_truth(take))
    text = without_patterns(take.chart_text) if job.plain else take.chart_text
    graded = grade_fully(prepare(text), take.midi_bytes)
    row = _counted(job, name, take, _Heard(graded.path, graded.judgement, graded.song.hand))
    if job.live:
        row.live_bars, row.shown, row.live = agrees(prepare(text), graded)
    return row


@dataclass(frozen=True, slots=True)
class _Heard:
    """How a take was understood."""

    path: Path
    judgement: Judgement
    hand: Hand | None = None
    """The hand that alone was thought to play."""


def _along_truth(take: Simulated) -> _Heard:
    notes = read_take(take.midi_bytes)
    heard = strikes(notes)
    path = truth_path(take.graph, take.performance, heard)
    return _Heard(path, judge(take.graph, notes, heard, path))


def _counted(job: Job, name: str, take: Simulated, heard: _Heard) -> Row:
    told = _told(heard.judgement, partly=KINDS[job.kind].partly)
    row = Row(score(name, bare(take.graph), take.truth, heard.path, told))
    row.known = heard.judgement.matches and heard.hand is None
    row.tally.cases[:] = _cases(name, row, heard)
    return row


def _is_known(job: Job, take: Simulated) -> Row:
    graded = grade_fully(prepare(take.chart_text), take.midi_bytes)
    matches = graded.judgement.matches
    row = Row(Tally(takes=1), known=matches)
    if matches == (job.table == PARTS[0]):
        said = f"graded, {graded.judgement.marks.overall:.0f}" if matches else "refused"
        row.tally.cases.append(f"{job.kind} {job.seed}: {said}")
    return row


def _told(judgement: Judgement, *, partly: bool) -> Judgement:
    """What the report says: nothing of what is not known; and of players whose chords lack
    tones without what is rightly called incomplete."""
    if not judgement.matches:
        return replace(judgement, bars=(), form=())
    if not partly:
        return judgement
    bars = tuple(
        replace(bar, chord=replace(bar.chord, word="right"))
        if bar.chord.word == "incomplete"
        else bar
        for bar in judgement.bars
    )
    return replace(judgement, bars=bars)


_OTHER_CASES = ("placed not found", "false rhythm", "missed not", "added not", "late not")
"""What is not listed: bars are counted, and the pattern is not asked for."""


def _cases(name: str, row: Row, heard: _Heard) -> list[str]:
    """One line for what is wrong with the whole take, and one for each finding."""
    tally, hand = row.tally, heard.hand
    lost = tally.wanted["placed"] - tally.hits["placed"]
    said = [f"only the {hand} hand"] * (hand is not None) + [f"{lost} bars lost"] * (lost > 0)
    said = ["not known"] * (not heard.judgement.matches) + said
    whole = [f"{name}: {', '.join(said)}"] if said else []
    return whole + [c for c in tally.cases if not any(word in c for word in _OTHER_CASES)]


def measured(jobs: Sequence[Job], workers: int) -> dict[str, dict[str, Row]]:
    """The rows of each table, by kind."""
    tables: dict[str, dict[str, Row]] = {}
    with get_context("spawn").Pool(workers) as pool:
        for done, (job, row) in enumerate(zip(jobs, pool.imap(measure, jobs), strict=True), 1):
            tables.setdefault(job.table, {}).setdefault(job.kind, Row()).add(row)
            print(f"\r{done} of {len(jobs)} takes", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    return tables


def figures(row: Row) -> dict[str, float]:
    """What is told of the takes of one kind; NaN where there is no case."""
    tally, bars = row.tally, row.tally.wanted["placed"]
    made_up = sum(tally.false[kind] for kind in COSTED)
    asked = sum(tally.wanted[kind] for kind in COSTED)
    missed = asked - sum(tally.hits[kind] for kind in COSTED)
    return {
        "takes": tally.takes,
        "bars": bars,
        "known": _over(row.known, tally.takes),
        "placed": _over(tally.hits["placed"], bars),
        "that bar": _over(tally.hits["placed exactly"], bars),
        "form+": made_up,
        "a 1000": _over(1000 * made_up, bars),
        "form-": missed,
        "of": asked,
        "chord": _over(1000 * tally.false["false chord"], bars),
        "bass": _over(1000 * tally.false["false bass"], bars),
        "live": _over(row.live, row.live_bars),
        "shown": _over(row.shown, row.live_bars),
    }


def _over(part: float, whole: float) -> float:
    return part / whole if whole else float("nan")


_FORMATS = {
    **dict.fromkeys(("takes", "bars", "form+", "form-", "of"), "{:7.0f}"),
    **dict.fromkeys(("known", "placed", "that bar", "live", "shown"), "{:9.3f}"),
    **dict.fromkeys(("a 1000", "chord", "bass"), "{:8.1f}"),
}


def show(title: str, rows: Mapping[str, Row], *, live: bool) -> None:
    """Print the table of one kind of takes, and the sum of it."""
    columns = [name for name in _FORMATS if live or name not in ("live", "shown")]
    order = [name for name in figures(Row()) if name in columns]
    total = Row()
    for row in rows.values():
        total.add(row)
    print(f"\n{title}")
    widths = {name: len(_FORMATS[name].format(0)) for name in order}
    print(f"{'':<29}" + "".join(f"{name:>{widths[name]}}" for name in order))
    for kind, row in [*rows.items(), ("all", total)]:
        values = figures(row)
        cells = "".join(_FORMATS[name].format(values[name]) for name in order)
        print(f"{kind:<29}{cells}")


def show_known(title: str, rows: Mapping[str, Row], *, refused: bool) -> None:
    """Print how many takes were refused, or taken for the song."""
    print(f"\n{title}")
    total = Row()
    for row in rows.values():
        total.add(row)
    for kind, row in [*rows.items(), ("all", total)]:
        count = row.tally.takes - row.known if refused else row.known
        print(f"{kind:<29}{count:>5} of {row.tally.takes:<5}{_over(count, row.tally.takes):.3f}")


def plan(options: argparse.Namespace) -> list[Job]:
    """Every take that the command line asks for."""
    first = 1 if options.tuning else FIRST_REPORTED
    seeds = range(first, first + options.takes)
    rows = [(table, kind) for table in TABLES[:2] for kind in KINDS]
    rows += [(PARTS[0], kind) for kind in STRANGERS] + [(PARTS[1], kind) for kind in OWN]
    chosen = options.only or [table for table, _ in rows]
    parts = PARTS if "strangers" in chosen else ()
    if options.judges:
        rows = [(table, kind) for table, kind in rows if table not in PARTS]
    return [
        Job(table, kind, seed, options.live, options.judges, options.plain)
        for table, kind in rows
        if table in chosen or kind in chosen or table in parts
        for seed in seeds
    ]


def main() -> None:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--takes", type=int, default=10, help="takes of each kind")
    parser.add_argument("--tuning", action="store_true", help="the seeds used for tuning")
    parser.add_argument("--only", action="append", metavar="KIND", help="a kind, or a table")
    parser.add_argument("--live", action="store_true", help="compare the marks while listening")
    parser.add_argument("--plain", action="store_true", help="charts without their patterns")
    parser.add_argument("--judges", action="store_true", help="along the way truly played")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--cases", action="store_true", help="print every case that fails")
    parser.add_argument("--json", type=FilePath, help="write the figures to this file as well")
    options = parser.parse_args()
    known = {*KINDS, *TABLES, *STRANGERS, *OWN}
    if unknown := set(options.only or ()) - known:
        parser.error(f"no such kind: {', '.join(sorted(unknown))} (there are {', '.join(known)})")
    tables = measured(plan(options), options.jobs)
    for name, rows in tables.items():
        if name in PARTS:
            word = "refused" if name == PARTS[0] else "taken for it"
            show_known(f"{name}: takes {word}", rows, refused=name == PARTS[0])
        else:
            show(f"{name} takes", rows, live=options.live)
    if options.cases:
        print(
            *(case for rows in tables.values() for r in rows.values() for case in r.tally.cases),
            sep="\n",
        )
    if options.json:
        tree = {t: {k: figures(r) for k, r in rows.items()} for t, rows in tables.items()}
        options.json.write_text(json.dumps(tree, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
