"""Is the draft of a chart the chart?

    python -m tests.bench.draft [--songs 200] [--tuning] [--no-hints] [--quick]
    python -m tests.bench.draft --teachers [--songs 10] [--tuning]
    python -m tests.bench.draft FOLDER [--half 1|2] [--no-hints] [--typed]

Without a folder: invented songs (`tests.bench.draft_songs`), each with its chart, the sheet
typed from it and a take. The draft of sheet and take is compared with the chart bar for bar
(meter, chords, their beats and basses), its bass rules and what its patterns want in every
bar; the same take is graded by it. `--no-hints` takes tempo and meter off the sheet. With
`--teachers` each kind of `tests.bench.draft_teachers` plays the songs, and has a table of its
own.

`mark` is the share of takes that get 97 by their own draft. What that draft leaves open stands
beside it: the share of sections with a pattern (the others are free), of chords without a
colour, and of bars that are sure.

With a folder of real accompaniments (see `tests/bench/pop.py`): the order of the annotated
chords is the sheet, the annotated tempo to within a tenth and the meter are said, or with
`--no-hints` neither; the take alone is measured by `mir_eval.chord`. With `--typed` the sheet
has lines of four bars, in sections by what comes again: a pattern is a section's. Half 1, the
songs that the program was built on, is every song up to the middle of the list by name; half 2
was never looked at but for the totals. Behind a figure stands how much of it is in the takes at
all: `struck` has a strike where the label is, or the tone that tells, `heard` one that fits the
new chord better than the old, and `even` bars are as long as the others (`draft_ceiling`).
"""

import argparse
import json
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

import mir_eval.beat
import mir_eval.chord
import mir_eval.util
import numpy as np

from evaluator.chart import read_chart
from evaluator.chart.graph import Bar, BarGraph, Meter
from evaluator.chart.values import FREE
from evaluator.draft import Asked, Draft, Sheet, SheetError, read_sheet, write_draft
from evaluator.draft.alone import LINE as LINE_BARS
from evaluator.draft.alone import hear_chords
from evaluator.draft.played import draft_played, follow_sheet
from evaluator.draft.route import sheet_route
from evaluator.draft.sections import find_sections
from evaluator.draft.sheet import SheetLine, SheetSection
from evaluator.grading import grade_take, prepare
from evaluator.take.midi_file import read_take
from evaluator.take.model import Take
from evaluator.take.strike import strikes
from evaluator.theory.symbol import ChordSymbol, parse_chord
from tests.bench import pop
from tests.bench.draft_ceiling import CHANGE, LINE, Annotation, ceiling
from tests.bench.draft_songs import invent_song
from tests.bench.draft_teachers import TEACHERS, play_as

HARTE = {
    **{"": "maj", "m": "min", "7": "7", "m7": "min7", "maj7": "maj7"},
    **{"dim": "dim", "m7b5": "hdim7", "sus4": "sus4", "sus2": "sus2"},
}
"""The vocabulary of a take alone in the syntax of Harte et al. (ISMIR 2005)."""
TUNING = 10_000
"""Seeds from here on are for trying things out."""
PASS = 97.0


@dataclass(frozen=True, slots=True)
class Row:
    """What became of one song."""

    name: str
    right: dict[str, float]
    """Share right of each thing."""
    seconds: float
    said: str = ""
    inside: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    """For a figure how much of what it counts is in the take at all."""


def invented(seed: int, *, hints: bool, marks: bool, kind: str = "") -> Row:
    """One invented song; `kind` is the teacher who plays it, if not the tidy one."""
    song = invent_song(seed)
    if kind:
        song = play_as(kind, song, seed)
    sheet = song.sheet
    if not hints:
        sheet = "\n".join(
            row for row in sheet.splitlines() if not row.startswith(("Tempo", "Time"))
        )
    begun = time.process_time()
    try:
        draft = draft_played(read_sheet(sheet.encode(), name="x"), read_take(song.raw), Asked())
    except SheetError as error:
        return Row(
            str(seed), dict.fromkeys(("bars", "rules", "patterns", "mark"), 0.0), 0, str(error)
        )
    seconds = time.process_time() - begun
    text = write_draft(draft)
    graph = read_chart(text)
    bars = _contents(graph) == _contents(song.graph)
    right = {
        "bars": float(bars),
        "rules": float(_basses(graph) == _basses(song.graph)),
        "patterns": float(bars and _strikes(graph) == _strikes(song.graph)),
    }
    said = "" if bars else _difference(graph, song.graph)
    if marks:
        mark = grade_take(prepare(text), song.raw).marks.overall
        right["mark"] = float(mark >= PASS)
        said += f" mark {mark}"
    return Row(str(seed), right | _open(draft), seconds, said)


def _open(draft: Draft) -> dict[str, float]:
    """How little a draft leaves open."""
    sure, bars = draft.sure
    free = [section.pattern in (None, FREE) for section in draft.sections]
    coloured = [bool(span.colours) for bar in draft.bars() for span in bar.spans]
    return {
        "with a pattern": 1 - float(np.mean(free)),
        "uncoloured": 1 - float(np.mean(coloured)),
        "sure": sure / bars,
    }


def _played(graph: BarGraph) -> list[Bar]:
    return [graph.bars[index] for index in graph.written]


def _content(bar: Bar) -> object:
    spans: list[list[object]] = []
    for span in bar.spans:
        name = span.chord.without_bass() if span.chord else None
        if spans and spans[-1][:2] == [name, span.bass]:
            spans[-1][2] += span.beats  # type: ignore[operator]
        else:
            spans.append([name, span.bass, span.beats])
    return bar.meter, spans


def _contents(graph: BarGraph) -> list[object]:
    return [_content(bar) for bar in _played(graph)]


def _basses(graph: BarGraph) -> set[tuple[str, int | None]]:
    """Chords that stand on another note by rule."""
    return {
        (span.chord.name, span.bass)
        for bar in graph.bars
        for span in bar.spans
        if span.ruled and span.chord
    }


def _strikes(graph: BarGraph) -> list[object]:
    return [
        [(one.beat, one.hand, one.pitch_classes) for one in bar.strikes] for bar in _played(graph)
    ]


def _difference(one: BarGraph, other: BarGraph) -> str:
    drafted, wanted = _played(one), _played(other)
    for place, (ours, theirs) in enumerate(zip(drafted, wanted, strict=False), 1):
        if _content(ours) != _content(theirs):
            return f"bar {place}: {ours.meter} {ours.text} for {theirs.meter} {theirs.text}"
    return f"{len(drafted)} bars for {len(wanted)}"


def real(song: pop.Song, folder: Path, *, hints: bool, typed: bool) -> Row:
    """One annotated accompaniment."""
    labels = [label for bar in song.bars for label in _beat_labels(bar, len(song.beats[0]))]
    beats = np.array([beat for bar in song.beats for beat in bar])
    sheet = _typed(song) if typed else Sheet(song.name, (SheetSection("Song", (_line(labels),)),))
    beat = float(np.median(np.diff(beats)))
    asked = Asked()
    if hints:
        # Off by up to a tenth, differently for every song.
        off = (int(song.name) * 37 % 21 - 10) / 100
        asked = Asked(60 / beat * (1 + off), Meter(len(song.beats[0]), 4))
    route = sheet_route(sheet)
    begun = time.process_time()
    take = read_take(song.raw)
    draft = draft_played(sheet, take, asked)
    seconds = time.process_time() - begun
    text = write_draft(draft)
    counted = follow_sheet(route, strikes(take), asked)
    places, grid = counted.way.places, counted.beats
    starts = beats[[True, *(one != other for one, other in pairwise(labels))]]
    # Where lines meet on one chord it is typed again, and has not changed.
    row = list(route.route.chords)
    new = [not place or row[place - 1] != chord for place, chord in enumerate(row)]
    drafted = np.array([grid[np.argmax(places == place)] for place in np.flatnonzero(new)])
    at = np.clip(np.searchsorted(grid, beats + beat / 4) - 1, 0, len(places) - 1)
    both = zip(map(route.chord_at, places[at].tolist()), map(_chord, labels), strict=True)
    lines = grid[:-1][counted.way.in_bar == 0]
    lines = lines[(lines > beats[0] - beat / 2) & (lines < beats[-1] + beat / 2)]
    right = {
        "changes": float(np.mean(np.abs(drafted - starts)[1:] <= CHANGE)),
        "beats": float(np.mean([one == other for one, other in both])),
        "bar lines": float(mir_eval.beat.f_measure(np.array(song.starts), lines, LINE)),
        "mark": float(grade_take(prepare(text), song.raw).marks.overall >= PASS),
    }
    right |= _open(draft)
    found = json.loads((folder / f"{song.name}.json").read_text(encoding="utf-8"))
    annotated = Annotation(
        song.starts,
        [*beats.tolist(), found["end"]],
        list(map(_chord, labels)),
        [label for bar in found["bars"] for label in bar["chords"]],
    )
    right |= _alone(annotated, take, asked)
    return Row(song.name, right, seconds, inside=ceiling(annotated, strikes(take)))


def _alone(annotated: Annotation, take: Take, asked: Asked) -> dict[str, float]:
    """Chords of the take alone: share of the time with the right root and third, and with
    the right seventh too, where the annotation has one (mir_eval.chord)."""
    beats, labels = annotated.beats, list(annotated.labels)
    heard = hear_chords(strikes(take), asked)
    names = [f"{chord.root.text}:{HARTE[chord.quality]}" for chord in heard.chords]
    grid, theirs = heard.counted.beats, np.array(list(pairwise(beats)))
    ours, names = mir_eval.util.adjust_intervals(
        np.array(list(pairwise(grid))), names, beats[0], beats[-1], "N", "N"
    )
    spans, labels, names = mir_eval.util.merge_labeled_intervals(theirs, labels, ours, names)
    seconds = mir_eval.util.intervals_to_durations(spans)
    return {
        f"alone, {what}": float(mir_eval.chord.weighted_accuracy(compare(labels, names), seconds))
        for what, compare in (
            ("thirds", mir_eval.chord.thirds),
            ("sevenths", mir_eval.chord.sevenths),
        )
    }


def _chord(label: str) -> ChordSymbol | None:
    return None if label == "N.C." else parse_chord(label)


def _line(labels: Sequence[str]) -> SheetLine:
    """A line with the chords of its beats, each typed once."""
    new = [not place or labels[place - 1] != label for place, label in enumerate(labels)]
    return SheetLine(
        tuple((_chord(label),) for label, begins in zip(labels, new, strict=True) if begins)
    )


def _typed(song: pop.Song) -> Sheet:
    """The chords of a song in lines and sections."""
    bars = [tuple(_beat_labels(bar, len(song.beats[0]))) for bar in song.bars]
    sections = []
    for part in find_sections(bars, LINE_BARS):
        cuts = [*range(part.first, part.last, LINE_BARS), part.last]
        rows = [
            [label for bar in bars[first:last] for label in bar] for first, last in pairwise(cuts)
        ]
        sections.append(SheetSection(part.name, tuple(map(_line, rows))))
    return Sheet(song.name, tuple(sections))


def _beat_labels(text: str, beats: int) -> list[str]:
    """The chord of each beat of a bar."""
    signs = text.split()
    if len(signs) == 1:
        return signs * beats
    return [next(sign for sign in signs[place::-1] if sign != "/") for place in range(len(signs))]


def _table(rows: Sequence[Row], *, each: bool) -> None:
    for row in rows:
        if each and any(share < 1 for share in row.right.values()):
            print(row.name, {k: round(v, 3) for k, v in row.right.items()}, row.said)
    for name in rows[0].right:
        shares = [row.right.get(name, 0.0) for row in rows]
        print(f"{name:<15} {np.mean(shares):.3f}, mean of {len(rows)} songs", end="")
        for kind in rows[0].inside.get(name, ()):
            print(f"; {kind} {np.mean([row.inside[name][kind] for row in rows]):.3f}", end="")
        print()
    print(f"seconds: at most {max(row.seconds for row in rows):.2f}")


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", nargs="?", type=Path)
    parser.add_argument("--songs", type=int, default=200)
    parser.add_argument("--half", type=int, default=2)
    parser.add_argument("--tuning", action="store_true")
    parser.add_argument("--no-hints", action="store_true")
    parser.add_argument("--typed", action="store_true", help="in lines and sections")
    parser.add_argument("--quick", action="store_true", help="grade none of the takes")
    parser.add_argument("--teachers", action="store_true", help="a table a kind of teacher")
    options = parser.parse_args()
    first = TUNING if options.tuning else 0
    if options.teachers:
        for kind in TEACHERS:
            print(f"\n{kind}")
            songs = range(first, first + options.songs)
            _table([invented(n, hints=True, marks=True, kind=kind) for n in songs], each=False)
        return
    if options.folder is None:
        rows = [
            invented(seed, hints=not options.no_hints, marks=not options.quick)
            for seed in range(first, first + options.songs)
        ]
    else:
        names = sorted(path.stem for path in options.folder.glob("*.json"))
        middle = len(names) // 2
        chosen = tuple(names[:middle] if options.half == 1 else names[middle:])
        songs = pop.load(options.folder, chosen)
        rows = [
            real(song, options.folder, hints=not options.no_hints, typed=options.typed)
            for song in songs
        ]
    _table(rows, each=options.folder is None or options.half == 1)


if __name__ == "__main__":
    main()
