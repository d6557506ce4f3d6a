"""What may go wrong in a take that a test plays, and what is written down about it?

The mistakes are both the order to the player (`tests.playing.play` puts them into the
take) and the truth about the take afterwards: what was put in is what must be found.

Units: `bar` is the bar of the take, from 1 in the order of playing; `beat` counts from
0 within the bar; `numbers` are bars of the expanded chart; times are seconds of the take.
"""

import json
from dataclasses import asdict, dataclass
from typing import Any, Literal, get_args

from evaluator.chart.graph import Hand

FormKind = Literal["missing", "extra", "restart", "break", "choice"]


@dataclass(frozen=True, slots=True)
class WrongChord:
    """The right hand plays another chord over the whole span that begins at `beat`."""

    bar: int
    chord: str
    beat: float = 0.0


@dataclass(frozen=True, slots=True)
class Lacking:
    """The chord of the span that begins at `beat` is struck without one of its tones."""

    bar: int
    tone: str
    beat: float = 0.0


@dataclass(frozen=True, slots=True)
class WrongBass:
    """The left hand plays another bass note over the whole span that begins at `beat`."""

    bar: int
    bass: str
    beat: float = 0.0


@dataclass(frozen=True, slots=True)
class Slip:
    """A neighbouring key is brushed together with the right-hand strike at `beat`."""

    bar: int
    beat: float = 0.0


@dataclass(frozen=True, slots=True)
class Missed:
    """A strike of the pattern is left out."""

    bar: int
    beat: float
    hand: Hand


@dataclass(frozen=True, slots=True)
class Added:
    """The hand strikes chord or bass once more where the pattern has nothing."""

    bar: int
    beat: float
    hand: Hand


@dataclass(frozen=True, slots=True)
class Early:
    """A strike of the pattern comes exactly `ms` too early."""

    bar: int
    beat: float
    hand: Hand
    ms: float


@dataclass(frozen=True, slots=True)
class Late:
    """A strike of the pattern comes exactly `ms` too late."""

    bar: int
    beat: float
    hand: Hand
    ms: float


@dataclass(frozen=True, slots=True)
class Fill:
    """A passing note of the right hand, alone, no mistake: the scale note next to the chord."""

    bar: int
    beat: float


@dataclass(frozen=True, slots=True)
class Miscounted:
    """The bar lasts so many beats, more or fewer than its own: the player goes on too late or too
    soon, in time. What would fall behind them is left out."""

    bar: int
    beats: float


@dataclass(frozen=True, slots=True)
class Pause:
    """A halt before `beat` that does not lose the place."""

    bar: int
    beat: float
    seconds: float


@dataclass(frozen=True, slots=True)
class Restart:
    """Breaks off before `beat`, waits, and takes up again with the next bar of the order."""

    bar: int
    beat: float
    seconds: float


@dataclass(frozen=True, slots=True)
class BarsMissing:
    """Before this bar of the take the bars `numbers` of the chart were not played."""

    bar: int
    numbers: tuple[int, ...]
    unit: str = "bars"
    """`bars`, or `line` or `section` when exactly a whole one is missing."""


@dataclass(frozen=True, slots=True)
class BarsExtra:
    """With this bar of the take the bars `numbers` come once more than the chart allows."""

    bar: int
    numbers: tuple[int, ...]
    unit: str = "bars"


@dataclass(frozen=True, slots=True)
class Choice:
    """With this bar of the take a legal variation was taken: no mistake."""

    bar: int
    numbers: tuple[int, ...]
    """The bars chosen or left out."""
    unit: str
    """`or line`, `left out` or `times`."""


@dataclass(frozen=True, slots=True)
class WrongNote:
    """Instead of one key that is written out another is struck, or none."""

    bar: int
    beat: float
    wanted: int
    played: int | None


BarFault = (
    WrongNote
    | WrongChord
    | Lacking
    | WrongBass
    | Slip
    | Missed
    | Added
    | Early
    | Late
    | Fill
    | Miscounted
)
FormFault = Pause | Restart | BarsMissing | BarsExtra | Choice
Fault = BarFault | FormFault

_BY_NAME: dict[str, type] = {kind.__name__: kind for kind in get_args(BarFault)}


@dataclass(frozen=True, slots=True)
class TrueBar:
    """One bar as it was in fact played."""

    played: int
    """Which bar of the take, from 1."""
    index: int
    """Index into `BarGraph.bars`."""
    number: int
    """Number in the expanded chart."""
    start: float
    end: float
    """Bar line at its end, or where it was broken off."""
    beats_played: float
    faults: tuple[BarFault, ...] = ()


@dataclass(frozen=True, slots=True)
class TrueForm:
    """What was done to the form; the fields mean what they mean in a report's `form`."""

    kind: FormKind
    bars: tuple[int, ...]
    count: int
    section: str
    tail: bool
    at: float
    halt: float = 0.0
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Truth:
    """Everything that a fair report of the take would have to say."""

    bars: tuple[TrueBar, ...]
    form: tuple[TrueForm, ...]
    tempo: float
    """Mean speed against the chart's: 0.5 is half."""
    transposed: int
    """Semitones above the chart."""
    complete: bool
    """Ends with a bar with which the song may end."""

    def to_json(self) -> str:
        """JSON with a line for each bar and each finding; `from_json` reads an equal value."""
        tree = asdict(self)
        for bar, true in zip(tree["bars"], self.bars, strict=True):
            names = [type(fault).__name__ for fault in true.faults]
            bar["faults"] = [
                {"kind": name, **fields} for name, fields in zip(names, bar["faults"], strict=True)
            ]
        parts = [f'"{name}": {_lines(value)}' for name, value in tree.items()]
        return "{" + ",\n ".join(parts) + "}\n"

    @staticmethod
    def from_json(text: str) -> "Truth":
        """The value that `to_json` wrote."""
        tree = json.loads(text)
        bars = tuple(_bar_from(bar) for bar in tree.pop("bars"))
        form = tuple(TrueForm(**{**item, "bars": tuple(item["bars"])}) for item in tree.pop("form"))
        return Truth(bars=bars, form=form, **tree)


def _lines(value: object) -> str:
    if not isinstance(value, list | tuple):
        return json.dumps(value)
    return "[" + ",\n  ".join(json.dumps(item, ensure_ascii=False) for item in value) + "]"


def _bar_from(tree: dict[str, Any]) -> TrueBar:
    faults = []
    for fields in tree["faults"]:
        named = dict(fields)
        faults.append(_BY_NAME[named.pop("kind")](**named))
    return TrueBar(**{**tree, "faults": tuple(faults)})
