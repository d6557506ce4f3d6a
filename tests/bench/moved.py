"""How often does a report change although the music does not?

    python -m tests.bench.moved --takes 12 --cases

Grades the takes that come with the program, and simulated students of each skill, as they
are and rewritten (`tests.end_to_end.rewriting`), and counts for how many the verdicts on
chords or on the form differ. `tests/end_to_end/test_metamorphic.py` holds it to none for
tidy hands; here are all. Figures go to the standard output.
"""

import argparse
from collections import Counter
from collections.abc import Iterator

from evaluator.grading import prepare
from evaluator.take.midi_file import read_take
from tests.bench.students import FEW, HANDS, MANY, NONE, simulate
from tests.end_to_end.rewriting import MOVED, REWRITTEN, plain
from tests.end_to_end.test_metamorphic import RECORDED, Verdicts, recorded, verdicts

FIRST = 9000
"""Seeds of the simulated takes from here on: neither for tuning nor for reporting."""


def takes(count: int) -> Iterator[tuple[str, str, bytes]]:
    """Name, chart and file of every take."""
    for name in RECORDED:
        yield name, *recorded(name)
    for hand in HANDS:
        for seed in range(FIRST, FIRST + count):
            take = simulate(seed, hand, faults=(NONE, FEW, MANY)[seed % 3])
            yield f"{hand} {seed}", take.chart_text, take.midi_bytes


def main() -> None:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--takes", type=int, default=12, help="of each skill")
    parser.add_argument("--cases", action="store_true", help="print each take that differs")
    given = parser.parse_args()
    relations = {**REWRITTEN, **MOVED}
    differ: Counter[tuple[str, str]] = Counter()
    graded: Counter[str] = Counter()
    for name, chart, raw in takes(given.takes):
        kind = name.split()[0] if name.split()[0] in HANDS else "recorded"
        graded[kind] += 1
        song, playing = prepare(chart), plain(read_take(raw))
        before = verdicts(song, playing.midi)
        for relation, change in relations.items():
            after = verdicts(song, change(playing).midi)
            differ[relation, kind] += not before.same_music(after)
            if given.cases and not before.same_music(after):
                print(f"{name} | {relation} | {_difference(before, after)}")
    print(f"{'takes that differ':40}" + "".join(f"{kind:>12}" for kind in graded))
    for relation in relations:
        counts = (f"{differ[relation, kind]}/{number}" for kind, number in graded.items())
        print(f"{relation:40}" + "".join(f"{count:>12}" for count in counts))


def _difference(before: Verdicts, after: Verdicts) -> str:
    if before.form != after.form:
        return f"form {before.form} -> {after.form}"
    pairs = zip(before.chords, after.chords, strict=False)
    return "chords " + str(next((pair for pair in pairs if pair[0] != pair[1]), "fewer or more"))


if __name__ == "__main__":
    main()
