"""Are professionals who play printed scores judged as musicians would judge them?

    python -m tests.bench.scores FOLDER [PIECE...] [--cases]

Reads a folder laid out like a part of (n)ASAP (Foscarin et al., ISMIR 2020; Peter et al.,
TISMIR 2023; CC BY-NC-SA 4.0): `NAME.mxl`, a take `NAME.mid`, its beats `NAME.beats.tsv`
(seconds; `db` is a downbeat) and `NAME.notes.tsv`, which says for each note of the score by
which one of the take it was played (`deletion`: by none; `insertion`: a note that the score
does not have). The folder is named on the command line and is not part of the project.

Shown are
- placed: of the bars whose first beat is struck, those that we begin within 100 ms of where
  they were played (without `NAME.notes.tsv`: of the downbeats, those at which we begin a bar);
- accused: bars with a finding of chord, bass or rhythm, over all, and of those in which each
  note of the score was played and no other; beside it how many bars truly hold a wrong note,
  and of the accused ones those that do (of pieces whose notes are aligned);
- found: of the notes that were truly wrong (left out, or not in the score), those whose bar
  is accused, or told of a key that was brushed or did not speak; behind it those whose bar is
  accused. Ornaments are aside: grace notes, notes under a sign of ornament, and what is struck
  while they last within a fourth of them; so are an octave that is added to a note, a key that
  two voices share, or a note and its own grace notes, and that was struck once, and a cadenza
  at a fermata (C. P. E. Bach, Versuch, 1753, on fermatas; from memory): what is added between
  it and the next bar;
- the marks, the findings of the form, and seconds.
"""

import csv
import sys
import time
from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median
from xml.etree import ElementTree

from evaluator.grading import Graded, grade_fully, prepare
from evaluator.judge.verdict import BarVerdict
from evaluator.notation import import_score
from evaluator.notation.guard import safe_score
from evaluator.notation.reading import read_score
from evaluator.notation.unroll import unroll
from tests.bench.figures import add_up

PLACED_WITHIN = 0.100
"""Seconds."""
BEAT_WITHIN = 0.25
"""Seconds between the notes on a downbeat and the beat that is annotated for it."""
AT_THE_LINE = 0.10
"""Seconds from a bar line within which a note may be told of either bar."""
NEAR_KEYS = 5
"""Semitones from a note within which its ornament moves."""
TOGETHER = 0.1
"""Seconds within which an octave is added to a note."""
LEADS_TO = 0.3
"""Seconds before and behind a note within which its grace notes and ornaments are struck."""
ACCUSING = ("incomplete", "wrong", "not played")
STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


@dataclass(frozen=True, slots=True)
class Printed:
    """A note of the score."""

    bar: int
    offset: float
    """Quarter notes from the bar line."""
    length: float
    key: int
    ornamental: bool
    held: bool = False
    """Under a fermata."""


@dataclass(slots=True)
class TrueBar:
    """A bar as it was played."""

    printed: int
    start: float | None = None
    notes: int = 0
    deleted: int = 0
    inserted: int = 0
    wrong: list[tuple[float, str]] = field(default_factory=list)
    """When notes were truly wrong, and how."""


@dataclass(slots=True)
class Piece:
    """A take against the truth."""

    name: str
    graded: Graded
    order: list[int]
    """The printed bars in the order of playing, with all repeats."""
    bars: list[TrueBar]
    seconds: float
    remarks: tuple[str, ...]


def printed_notes(xml: bytes) -> tuple[dict[str, Printed], list[float]]:
    """The notes of a score by their ids, and for each bar its quarters."""
    notes: dict[str, Printed] = {}
    lengths = []
    divisions = 1.0
    for bar, measure in enumerate(ElementTree.fromstring(xml).find("part") or ()):
        at = longest = 0.0
        graces = False
        for element in measure:
            length = float(element.findtext("duration") or 0)
            if element.tag == "attributes":
                divisions = float(element.findtext("divisions") or divisions)
            elif element.tag in ("backup", "forward"):
                at += length / divisions * (1 if element.tag == "forward" else -1)
            elif element.tag == "note":
                length /= divisions
                chord = element.find("chord") is not None
                grace = element.find("grace") is not None
                begins = at - length if chord else at
                pitch = element.find("pitch")
                if pitch is not None and "id" in element.attrib:
                    adorned = element.find("notations/ornaments") is not None
                    adorned = adorned or element.find("cue") is not None
                    held = element.find("notations/fermata") is not None
                    notes[element.attrib["id"]] = Printed(
                        bar, begins, length, _key(pitch), grace or graces or adorned, held
                    )
                graces = grace or (graces and chord)
                at = at if chord else at + length
            longest = max(longest, at)
        lengths.append(longest)
    return notes, lengths


def _key(pitch: ElementTree.Element) -> int:
    octave = int(pitch.findtext("octave") or 0)
    alter = round(float(pitch.findtext("alter") or 0))
    return 12 * (octave + 1) + STEPS[pitch.findtext("step") or "C"] + alter


def load(folder: Path, name: str) -> Piece:
    """Import, grade, and read what is true of one piece."""
    raw = (folder / f"{name}.mxl").read_bytes()
    begun = time.process_time()
    chart = import_score(raw, name=name)
    graded = grade_fully(prepare(chart.text), (folder / f"{name}.mid").read_bytes())
    seconds = time.process_time() - begun
    score = read_score(safe_score(raw))
    order = [step.bar for step in unroll([bar.marks for bar in score.bars])]
    beats = _rows(folder / f"{name}.beats.tsv")
    aligned = folder / f"{name}.notes.tsv"
    if aligned.exists():
        bars = _aligned(order, printed_notes(safe_score(raw)), aligned)
        _on_beats(bars, [float(row[0]) for row in beats])
    else:
        # Of a take without its repeats nothing says which bar is which.
        bars = [TrueBar(-1, float(row[0])) for row in beats if row[2].startswith("db")]
    return Piece(name, graded, order, bars, seconds, chart.remarks)


def _rows(path: Path) -> list[list[str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file, delimiter="\t"))


def _aligned(
    order: Sequence[int], printed: tuple[dict[str, Printed], list[float]], path: Path
) -> list[TrueBar]:
    notes, lengths = printed
    bars = [TrueBar(bar) for bar in order]
    places: dict[int, list[int]] = defaultdict(list)
    for place, bar in enumerate(order):
        places[bar].append(place)
    onsets: dict[tuple[str, int], float] = {}
    deleted: list[tuple[Printed, int]] = []
    inserted: list[tuple[int, float]] = []
    struck: dict[tuple[int, float, int], float] = {}
    for row in _rows(path)[1:]:
        if row[0] == "insertion":
            inserted.append((int(row[4]), float(row[5])))
            continue
        name, _, again = row[0].rpartition("-")
        note = notes[name]
        if int(again) > len(places[note.bar]):
            continue
        place = places[note.bar][int(again) - 1]
        bars[place].notes += 1
        if row[1] == "deletion":
            deleted.append((note, place))
        else:
            onsets[name, place] = struck[place, note.offset, note.key] = float(row[5])
    downs: dict[int, list[float]] = defaultdict(list)
    for (name, place), onset in onsets.items():
        if notes[name].offset == 0 and not notes[name].ornamental:
            downs[place].append(onset)
    for place, found in downs.items():
        bars[place].start = median(found)
    times = _Times(bars, lengths)
    adorned = [
        (notes[name], onset, times.seconds(place, notes[name].length))
        for (name, place), onset in onsets.items()
        if notes[name].ornamental
    ]
    for note, place in deleted:
        bars[place].deleted += 1
        at = times.at(place, note.offset)
        # One that is struck and held while its grace notes are touched was struck once.
        once = any(
            grace.key == note.key and abs(onset - at) <= LEADS_TO for grace, onset, _ in adorned
        )
        if not note.ornamental and not once and (place, note.offset, note.key) not in struck:
            bars[place].wrong.append((at, f"{note.key} left out at {note.offset:g}"))
    played = [(notes[name], onset) for (name, _), onset in onsets.items()]
    cadenzas = [
        (times.at(place, note.offset), times.at(place, lengths[note.bar]))
        for note in notes.values()
        if note.held
        for place in places[note.bar]
    ]
    for key, onset in inserted:
        place = times.place(onset)
        bars[place].inserted += 1
        doubled = any(
            abs(start - onset) <= TOGETHER and (key - note.key) % 12 == 0 for note, start in played
        )
        if (
            not doubled
            and not any(
                abs(key - note.key) <= NEAR_KEYS
                and start - LEADS_TO <= onset <= start + length + LEADS_TO
                for note, start, length in adorned
            )
            and not any(begins <= onset <= ends for begins, ends in cadenzas)
        ):
            bars[place].wrong.append((onset, f"{key} added"))
    return bars


class _Times:
    """When each place of the score was played, by the bars' beginnings."""

    def __init__(self, bars: Sequence[TrueBar], lengths: Sequence[float]) -> None:
        self._lines = [0.0]
        for bar in bars:
            self._lines.append(self._lines[-1] + lengths[bar.printed])
        known = [(self._lines[p], bar.start, p) for p, bar in enumerate(bars) if bar.start]
        self._known = sorted(known)

    def at(self, place: int, offset: float) -> float:
        where = self._lines[place] + offset
        after = bisect_right([line for line, _, _ in self._known], where)
        after = min(max(after, 1), len(self._known) - 1)
        (a, start, _), (b, end, _) = self._known[after - 1], self._known[after]
        return start + (where - a) / (b - a) * (end - start)

    def seconds(self, place: int, length: float) -> float:
        return self.at(place, length) - self.at(place, 0.0)

    def place(self, time: float) -> int:
        after = bisect_right([start for _, start, _ in self._known], time + 0.05)
        return self._known[max(0, after - 1)][2]


def _on_beats(bars: Sequence[TrueBar], beats: Sequence[float]) -> None:
    """Each bar begins with the annotated beat, where there is one beside its notes."""
    for bar in bars:
        if bar.start is not None:
            nearest = min(beats, key=lambda beat, start=bar.start: abs(beat - start))
            if abs(nearest - bar.start) <= BEAT_WITHIN:
                bar.start = nearest


def accused(bar: BarVerdict) -> str:
    """The parts in which a bar is accused: `c`, `b`, `r`."""
    if not bar.judged:
        return ""
    found = "c" if bar.chord.word in ACCUSING else ""
    found += "b" if bar.bass.word in ACCUSING else ""
    return found + ("r" if bar.rhythm.faults else "")


def brushed(bar: BarVerdict) -> bool:
    """Whether a key that was only brushed, or did not speak, is told of."""
    return any(span.slips or span.mute for part in (bar.chord, bar.bass) for span in part.spans)


@dataclass(slots=True)
class Tally:
    """Counts of one piece, or of all."""

    begun: int = 0
    placed: int = 0
    bars: int = 0
    accused: int = 0
    right: int = 0
    right_accused: int = 0
    wrong: int = 0
    found: int = 0
    blamed: int = 0
    """Of these, those whose bar is accused."""
    truly: int = 0
    """Bars with notes that were truly wrong,"""
    known: int = 0
    """and bars of which that is known."""
    told: int = 0
    """Of the latter those that are accused,"""
    just: int = 0
    """and in which a note was truly wrong."""
    parts: Counter[str] = field(default_factory=Counter)

    def add(self, other: "Tally") -> None:
        add_up(self, other)


def count(piece: Piece, *, cases: bool) -> Tally:
    """What was right and what was not."""
    tally = Tally()
    printed = dict(zip(piece.graded.song.graph.written, piece.order, strict=True))
    verdicts: dict[int, list[BarVerdict]] = defaultdict(list)
    for one in piece.graded.judgement.bars:
        verdicts[printed[one.bar]].append(one)
        tally.bars += 1
        said = accused(one)
        tally.accused += bool(said)
        for part in said:
            tally.parts[part] += 1
    wrong = [at for bar in piece.bars for at, _ in bar.wrong]
    for bar in piece.bars:
        if bar.start is None:
            continue
        begun = verdicts[bar.printed] if bar.printed >= 0 else piece.graded.judgement.bars
        nearest = min(begun, key=lambda one, at=bar.start: abs(one.start - at), default=None)
        tally.begun += 1
        off = float("nan") if nearest is None else nearest.start - bar.start
        tally.placed += abs(off) <= PLACED_WITHIN
        if cases and not abs(off) <= PLACED_WITHIN:
            print(f"    bar {bar.printed + 1} at {bar.start:.2f}: {1000 * off:+.0f} ms")
        if nearest is None:
            continue
        said = accused(nearest)
        if bar.notes and not bar.deleted and not bar.inserted:
            tally.right += 1
            tally.right_accused += bool(said)
        if cases and said and not bar.wrong:
            print(f"    bar {bar.printed + 1} at {bar.start:.2f}: {' '.join(told(nearest))}")
        tally.truly += bool(bar.wrong)
        if bar.printed >= 0:
            tally.known += 1
            tally.told += bool(said)
            tally.just += bool(said) and any(_is_in(nearest, at) for at in wrong)
        for at, what in bar.wrong:
            tally.wrong += 1
            around = [one for one in piece.graded.judgement.bars if _is_in(one, at)]
            near = any(accused(one) or brushed(one) for one in around)
            tally.found += near
            tally.blamed += any(map(accused, around))
            if cases and not near:
                print(f"    bar {bar.printed + 1} at {at:.2f}: {what}, not found")
    return tally


def _is_in(bar: BarVerdict, at: float) -> bool:
    return bar.start - AT_THE_LINE <= at < bar.end + AT_THE_LINE


def told(bar: BarVerdict) -> Iterator[str]:
    """The findings of a bar, shortly."""
    for name, part in (("chord", bar.chord), ("bass", bar.bass)):
        for span in part.spans:
            if span.word in ACCUSING:
                yield f"{name} {1 + span.beat:g}: {span.word} {span.expected} <- {span.played};"
    for fault in bar.rhythm.faults:
        yield f"{fault.hand} {fault.kind} {1 + fault.beat:.2f} {fault.ms:+.0f};"


def _row(name: str, tally: Tally, rest: str) -> None:
    def share(part: int, whole: int) -> str:
        return f"{part / whole:.3f}" if whole else "-"

    parts = " ".join(f"{part} {share(tally.parts[part], tally.bars)}" for part in "cbr")
    print(
        f"  {name:<18} placed {share(tally.placed, tally.begun)} of {tally.begun}"
        f"  accused {share(tally.accused, tally.bars)} of {tally.bars} ({parts})"
        f"  truly {share(tally.truly, tally.known)}"
        f"  just {share(tally.just, tally.told)} of {tally.told}"
        f"  of right {share(tally.right_accused, tally.right)} of {tally.right}"
        f"  found {share(tally.found, tally.wrong)} of {tally.wrong}"
        f" ({share(tally.blamed, tally.wrong)} accused)  {rest}"
    )


def main(arguments: Sequence[str]) -> None:
    """Measure what the command line asks for."""
    folder, *names = [one for one in arguments if not one.startswith("-")]
    cases = "--cases" in arguments
    names = names or sorted(path.stem for path in Path(folder).glob("*.mxl"))
    whole = Tally()
    for name in names:
        piece = load(Path(folder), name)
        tally = count(piece, cases=cases)
        whole.add(tally)
        judgement = piece.graded.judgement
        costly = [one for one in judgement.form if one.kind != "choice"]
        form = ", ".join(f"{one.kind} {one.count}" for one in costly)
        given = judgement.marks
        parts = [given[part] for part in ("chord", "bass", "rhythm", "form", "touch")]
        marks = f"mark {given.overall} ({' '.join(map(str, parts))})"
        _row(name, tally, f"{marks}  form: {form or 'nothing'}  {piece.seconds:.1f} s")
    _row("all", whole, "")


if __name__ == "__main__":
    main(sys.argv[1:])
