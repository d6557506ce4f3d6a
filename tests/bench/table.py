"""How is the cost of a part told so that tomorrow's can be held against it?

As a ratio to a reference that does comparable work in the same run. The two take turns,
so that a busy machine slows both alike; the ratio is that of their medians, and its noise
the standard error of the median of the turns' own ratios. Only what differs by clearly
more than the noise of both runs is called slower or faster.

Units: seconds; noise as a share of the ratio.
"""

import gc
import json
import math
import platform
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from statistics import median
from time import process_time

Run = Callable[[], float]
"""Does the work once and says how many seconds it took."""

LEAST = 0.05
"""Share by which a ratio may always differ: a processor's caches fall out differently from
one start to the next, which no turn within a run shows."""
SURE = 3.0
"""Times the noise of both runs together; from so much more on a difference is one."""
NORMAL = 1.4826 * 1.2533
"""From the median deviation to the standard error of a median, of normal scatter."""
FEW, UNKNOWN = 3, 0.1
"""Of fewer turns nothing is known of the noise, which is taken for so much."""
SORTED = 20_000
"""Words that the yardstick sorts."""


@dataclass(frozen=True, slots=True)
class Row:
    """One part and its reference."""

    name: str
    reference: str
    seconds: float
    reference_seconds: float
    ratio: float
    noise: float
    most: float | None = None
    """What is aimed at, at most."""

    @property
    def missed(self) -> bool:
        """Whether the ratio is above the aim."""
        return self.most is not None and self.ratio > self.most


def beside(
    name: str, work: tuple[Run, Run], *, reference: str, turns: int, most: float | None = None
) -> Row:
    """A part and its reference (`work`, in that order), after one turn that does not count."""
    ours, theirs = work
    ours(), theirs()
    pairs = [(ours(), theirs()) for _ in range(turns)]
    return row_of(name, pairs, reference=reference, most=most)


def row_of(
    name: str, pairs: Sequence[tuple[float, float]], *, reference: str, most: float | None = None
) -> Row:
    """A row from the seconds of a part and of its reference, turn by turn."""
    mine, other = (median(pair[side] for pair in pairs) for side in (0, 1))
    return Row(name, reference, mine, other, mine / other, _noise(pairs), most)


def _noise(pairs: Sequence[tuple[float, float]]) -> float:
    if len(pairs) < FEW:
        return UNKNOWN
    ratios = [ours / theirs for ours, theirs in pairs]
    middle = median(ratios)
    deviation = median(abs(ratio - middle) for ratio in ratios)
    return NORMAL * deviation / middle / math.sqrt(len(ratios))


def processor(work: Callable[[], object]) -> Run:
    """A run within this process, by the seconds of the processor.

    As in `timeit` no garbage is looked for meanwhile, since it would be that of other runs.
    """

    def run() -> float:
        gc.collect()
        gc.disable()
        begun = process_time()
        try:
            work()
            return process_time() - begun
        finally:
            gc.enable()

    return run


def yardstick() -> None:
    """A fixed piece of plain Python, for parts that nothing else does: how fast is it here?"""
    words = {str(number * 7919 % SORTED): (number, number / 7) for number in range(SORTED)}
    ordered = sorted(words.items(), key=lambda item: item[1])
    total = 0.0
    for name, (number, share) in ordered:
        total += len(name) * share if number % 3 else -share
    assert total > 0


def change(row: Row, before: Row | None) -> tuple[str, bool]:
    """What became of a row, in words, and whether it became slower."""
    if before is None or before.reference != row.reference:
        return "new", False
    share = row.ratio / before.ratio - 1.0
    doubt = LEAST + SURE * math.hypot(row.noise, before.noise)
    if abs(share) <= doubt:
        return f"as before ({before.ratio:.3g})", False
    word = "SLOWER" if share > 0 else "faster"
    return f"{word} by {abs(share):.0%} ({before.ratio:.3g})", share > 0


def lines(rows: Iterable[Row], before: Mapping[str, Row] | None) -> Iterable[str]:
    """The table, a line a row."""
    yield f"{'':<26}{'ms':>9}{'reference ms':>14}{'ratio':>8}{'+-':>6}  aim      reference"
    for row in rows:
        aim = "" if row.most is None else f"<= {row.most:g}"
        numbers = f"{1e3 * row.seconds:>9.4g}{1e3 * row.reference_seconds:>14.4g}"
        missed = " MISSED" if row.missed else ""
        told = "" if before is None else f"; {change(row, before.get(row.name))[0]}"
        yield (
            f"{row.name:<26}{numbers}{row.ratio:>8.3g}{row.noise:>6.0%}  "
            f"{aim:<9}{row.reference}{missed}{told}"
        )


def write(path: Path, rows: Sequence[Row]) -> None:
    """The rows as JSON, with the machine they were measured on."""
    machine = {"python": platform.python_version(), "system": platform.platform()}
    tree = {"machine": machine, "rows": [asdict(row) for row in rows]}
    path.write_text(json.dumps(tree, indent=1) + "\n", encoding="utf-8")


def read(path: Path) -> dict[str, Row]:
    """Rows by their names, as `write` wrote them."""
    tree = json.loads(path.read_text(encoding="utf-8"))
    return {row["name"]: Row(**row) for row in tree["rows"]}
