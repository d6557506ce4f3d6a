"""Are right takes of printed pieces judged right, whatever is printed in them?

    python -m tests.bench.engraved_all [NAME...] [--seeds 3] [--from 0] [--cases]

Invents pieces with one thing of the trade each (`tests.bench.engraved_songs`), prints them as
MusicXML, has a musician play them (`tests.bench.engraved_player`), imports and grades. Each row
is a feature: of right takes how many bars begin within 100 ms of where they were played, how
many are accused, the lowest mark, the findings of the form; of takes with wrong notes how many
of them are found (or told as brushed); of takes in which neighbouring keys are brushed how many
of these bars are accused.
"""

import argparse
import sys
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from evaluator.grading import Graded, grade_fully, prepare
from evaluator.notation import import_score
from tests.bench.engraved import print_piece
from tests.bench.engraved_player import Played, Style, perform
from tests.bench.engraved_songs import FEATURES, compose
from tests.bench.figures import add_up
from tests.bench.scores import AT_THE_LINE, PLACED_WITHIN, accused, brushed, told
from tests.playing import to_midi

LET_PASS = 0.05
"""Share of bars that may be accused; the same is asked for of professionals."""
GOOD = 92.0
"""Mark of a right take, at least,"""
FOUND = 0.9
"""and share of the wrong notes that must be found."""
WRONG = 0.04
"""Share of strikes that are wrong in the takes with wrong notes,"""
GRAZED = 0.05
"""and beside which a key is brushed in those with brushed keys."""


@dataclass(slots=True)
class Row:
    """What came of one feature."""

    bars: int = 0
    accused: int = 0
    begun: int = 0
    placed: int = 0
    marks: list[float] = field(default_factory=list)
    form: Counter[str] = field(default_factory=Counter)
    wrong: int = 0
    found: int = 0
    grazed: int = 0
    grazed_accused: int = 0
    refused: list[str] = field(default_factory=list)

    @property
    def falls_short(self) -> bool:
        """Whether too much is held against right takes, or too little found in wrong ones."""
        return bool(
            self.accused > LET_PASS * self.bars
            or min(self.marks, default=0.0) < GOOD
            or self.found < FOUND * self.wrong
            or self.form
            or self.refused
        )


def measure(name: str, seed: int, *, cases: bool = False, brushed_too: bool = False) -> Row:
    """One invented piece: played rightly, with wrong notes, and with brushed keys if asked for."""
    row = Row()
    piece, style = compose(name, seed)
    try:
        chart = import_score(print_piece(piece), name="Invented")
    except Exception as error:  # noqa: BLE001 - a row of the table
        row.refused.append(f"{type(error).__name__}: {error}")
        return row
    song = prepare(chart.text)

    def graded(changed: Style) -> tuple[Graded, Played]:
        performance, played = perform(piece, changed, seed, 7)
        return grade_fully(song, to_midi(performance)), played

    right, played = graded(style)
    judgement = right.judgement
    row.marks.append(judgement.marks.overall or 0.0)
    if not judgement.matches:
        row.refused.append("not the song")
    row.form.update(one.kind for one in judgement.form if one.kind != "choice")
    for bar in judgement.bars:
        row.bars += 1
        row.accused += bool(accused(bar))
        if cases and accused(bar):
            print(f"    {name} {seed}: bar {bar.bar + 1} at {bar.start:.2f}: {' '.join(told(bar))}")
    for start in played.starts:
        if start is not None:
            near = min((abs(bar.start - start) for bar in judgement.bars), default=9.0)
            row.begun += 1
            row.placed += near <= PLACED_WITHIN
            if cases and near > PLACED_WITHIN:
                print(f"    {name} {seed}: bar at {start:.2f} off by {near:.2f}")
    if cases and row.form:
        for one in judgement.form:
            print(f"    {name} {seed}: {one.kind} {one.count} at {one.at:.1f} {one.bars[:6]}")
    amiss, played = graded(replace(style, wrong=WRONG))
    for at, what in played.wrong:
        row.wrong += 1
        found = any(
            (accused(bar) or brushed(bar))
            and bar.start - AT_THE_LINE <= at <= bar.end + AT_THE_LINE
            for bar in amiss.judgement.bars
        )
        row.found += found
        if cases and not found:
            print(f"    {name} {seed}: at {at:.2f} {what}: not found")
    if not brushed_too:
        return row
    light, played = graded(replace(style, grazed=GRAZED))
    for at in played.brushed:
        row.grazed += 1
        row.grazed_accused += any(
            bool(accused(bar)) and bar.start - 0.02 <= at < bar.end - 0.02
            for bar in light.judgement.bars
        )
    return row


def main(arguments: Sequence[str]) -> None:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("names", nargs="*", metavar="NAME", help="a feature; all of them without")
    parser.add_argument("--seeds", type=int, default=3, help="pieces of each feature")
    parser.add_argument("--from", type=int, default=0, dest="first", help="the first seed")
    parser.add_argument("--cases", action="store_true", help="print what is amiss, bar by bar")
    options = parser.parse_args(arguments)
    whole = Row()
    for name in options.names or FEATURES:
        row, begun = Row(), time.process_time()
        for seed in range(options.first, options.first + options.seeds):
            add_up(row, measure(name, seed, cases=options.cases, brushed_too=True))
        add_up(whole, row)
        _print(name, row, time.process_time() - begun)
    _print("all", whole, 0.0)


def _print(name: str, row: Row, seconds: float) -> None:
    def share(part: int, of: int) -> str:
        return f"{part / of:.3f}" if of else "  -  "

    lowest = min(row.marks, default=0.0)
    form = ", ".join(f"{kind} {count}" for kind, count in row.form.items())
    flag = "*" if row.falls_short else " "
    print(
        f"{flag} {name:<20} placed {share(row.placed, row.begun)} of {row.begun:<4}"
        f" accused {share(row.accused, row.bars)}  lowest {lowest:5.1f}"
        f"  found {share(row.found, row.wrong)} of {row.wrong:<4}"
        f" grazed, accused {share(row.grazed_accused, row.grazed)}"
        f"  form: {form or '-'} {' '.join(set(row.refused))} {seconds:.1f} s",
        flush=True,
    )


if __name__ == "__main__":
    main(sys.argv[1:])
