"""Does the program find what was done to real playing?

Real accompaniments with annotated bars (tests/bench/pop.py) are charts without patterns.
Each is followed and judged as it is, and again with one known mistake at a time, at bars
drawn by the song's name: a bar cut out or played twice, two bars cut out, a breaking off
in mid-bar with a return to its bar line, a standstill of three seconds, a cut in a run of
bars that sound alike; and with one chord or one bass changed in the chart.

What counts as found
- bars cut or twice: a finding of that kind and count whose bars leave (or make) the same
  row of bars as the true ones, so any bar of a run or a loop that sounds alike; or, but
  for a cut in such a run, bars that begin one bar beside them.
- breaking off: a restart at the right bar or the one next to it, within a bar in time.
- standstill: a break in the right bar or the one next to it.
- changed chord or bass: the verdict on that very sign of that bar is not right. An
  annotation is not what a pianist must play, so bars are drawn without asking whether
  the unchanged verdict was right; the verdicts on all other bars should stay the same.
Beside it stands how many of the eight bars about the mistake begin, on the path, within
100 ms of the truth, as a bar of the same signs.

The same is done once more on charts that have a pattern of some kind in them (drawn by the
song's name, tests/bench/patterns.py), which the pianists do not play.

Findings that neither the truth nor the unedited take has are made up. Of a folder every
second song by name, from the first, was for tuning, the others are for the report.
"""

import sys
import zlib
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from multiprocessing import get_context
from pathlib import Path as FilePath

import numpy as np

from evaluator.chart import read_chart
from evaluator.chart.graph import BarGraph
from evaluator.follow import Path, follow
from evaluator.judge import judge
from evaluator.judge.verdict import FormFinding, Judgement, SpanVerdict
from evaluator.take.midi_file import read_take
from evaluator.take.model import Take
from evaluator.take.strike import strikes
from evaluator.theory.pitch import note_text
from evaluator.theory.symbol import parse_chord
from tests.bench.edited import MARGIN, Edited, drawn, takes_with_mistakes
from tests.bench.figures import Figure, add_up, per_thousand, share, show
from tests.bench.pop import Song, load
from tests.bench.true_way import dearer, reasons

PLACED_WITHIN = 0.100
"""Seconds."""
COSTED = ("missing", "extra", "restart", "break")

EDITED: tuple[tuple[str, float], ...] = (
    ("bar cut", 0.99),
    ("bar twice", 0.99),
    ("two bars cut", 0.95),
    ("cut in a run", 0.95),
    ("broken off", 0.95),
    ("standstill", 0.95),
)


@dataclass
class Result:
    """Counts over songs."""

    bars: int = 0
    placed: int = 0
    songs: int = 0
    known: int = 0
    """Of them, those that are taken for the song of their chart."""
    false_form: Counter[str] = field(default_factory=Counter)
    wanted: Counter[str] = field(default_factory=Counter)
    hits: Counter[str] = field(default_factory=Counter)
    around: Counter[str] = field(default_factory=Counter)
    around_placed: Counter[str] = field(default_factory=Counter)
    made_up: Counter[str] = field(default_factory=Counter)
    accused: Counter[str] = field(default_factory=Counter)
    """Bars of unedited takes whose chord or bass is not called right."""
    swayed: int = 0
    """Other bars whose verdict changed with the one that was changed in the chart."""
    cases: list[str] = field(default_factory=list)
    dearer: list[float] = field(default_factory=list)
    """For takes whose mistake was not found, or with one made up, what the true way costs more."""

    def add(self, other: "Result") -> None:
        """Take in the counts of another song."""
        add_up(self, other)


def measure_songs(
    folder: FilePath, *, tuning: bool, patterns: int = 1, jobs: int = 1
) -> tuple[dict[str, list[Figure]], list[str]]:
    """Measure the half of a folder that is for tuning, or the other; print and give back.

    Each song is measured on its chart without a pattern, and once more with so many patterns
    in it, one after another, that the pianist does not play. Returns the tables and a line
    for every case that failed.
    """
    names = sorted(path.stem for path in folder.glob("*.json"))
    chosen = names[0 if tuning else 1 :: 2]
    half = "tuning half" if tuning else "reported half"
    tables: dict[str, list[Figure]] = {}
    cases: list[str] = []
    for number in (0, patterns) if patterns else (0,):
        words = f"{half}, {number} pattern(s) in each chart" if number else half
        total = _total(partial(measure_song, folder, patterns=number), chosen, jobs)
        tables[f"real, {words}"] = table = _figures(total)
        title = f"{len(chosen)} real songs, {words}; then bars placed about the mistake, made up"
        show(title, table, _beside(total))
        if not number:  # under many patterns it would take longer than all the rest
            tables[f"true way, {words}"] = why = reasons(total.dearer)
            show("takes with a mistake not found or made up", why, {})
        cases += [f"{words}: {case}" for case in total.cases]
    return tables, cases


def _total(measure: Callable[[str], Result], names: Sequence[str], jobs: int) -> Result:
    total = Result()
    with get_context("spawn").Pool(jobs) as pool:
        for done, result in enumerate(pool.imap(measure, names), 1):
            total.add(result)
            print(f"\r{done} of {len(names)} songs", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    return total


def measure_song(folder: FilePath, name: str, *, patterns: int = 0) -> Result:
    """One song as it is and with every mistake; on charts with so many patterns in turn."""
    song, total = load(folder, (name,))[0], Result()
    for chart in [song.with_a_pattern(number) for number in range(patterns)] or [song]:
        total.add(_measured(chart))
    return total


def _measured(song: Song) -> Result:
    graph, take = read_chart(song.chart()), read_take(song.raw)
    path, judgement = _graded(graph, take)
    result = Result()
    _score_unedited(result, song, path, judgement)
    if result.false_form and not song.pattern:
        order = tuple(range(len(song.bars)))
        result.dearer.append(_dearer(graph, take, path, order, song.starts, song.end))
    known = _keys(judgement.form)
    rng = np.random.default_rng(zlib.crc32(song.name.encode()))
    for edited in takes_with_mistakes(song, take, rng):
        _score_edited(result, song, graph, edited, known)
    for kind in ("chord", "bass"):
        for number, text in _changes(song, graph, rng, kind):
            _score_change(result, song, take, judgement, (kind, number, text))
    return result


def _graded(graph: BarGraph, take: Take) -> tuple[Path, Judgement]:
    heard = strikes(take)
    path = follow(graph, heard)
    return path, judge(graph, take, heard, path)


def _dearer(
    graph: BarGraph,
    take: Take,
    path: Path,
    order: tuple[int, ...],
    starts: tuple[float, ...],
    end: float,
) -> float:
    """What the way of the annotation costs more than the one that was found, nats."""
    played = list(zip(order, starts, (*starts[1:], end), strict=True))
    return dearer(graph, played, strikes(take), path)


def _keys(form: tuple[FormFinding, ...]) -> Counter[tuple[str, tuple[int, ...]]]:
    return Counter((one.kind, one.bars) for one in form if one.kind in COSTED)


def _placed(
    song: Song, path: Path, order: tuple[int, ...], starts: tuple[float, ...]
) -> list[bool]:
    """Whether each bar of the true order begins on the path where and as it should."""
    found = [(played.start, song.bars[played.bar]) for played in path.bars]
    return [
        any(abs(at - start) <= PLACED_WITHIN and text == song.bars[bar] for at, text in found)
        for bar, start in zip(order, starts, strict=True)
    ]


def _score_unedited(result: Result, song: Song, path: Path, judgement: Judgement) -> None:
    placed = _placed(song, path, tuple(range(len(song.bars))), song.starts)
    result.bars, result.placed = len(placed), sum(placed)
    result.songs, result.known = 1, judgement.matches
    lost = [place + 1 for place, right in enumerate(placed) if not right]
    if lost:
        result.cases.append(f"{song.name}: not placed {lost}")
    for finding in judgement.form:
        if finding.kind in COSTED:
            result.false_form[finding.kind] += 1
            result.cases.append(f"{song.name}: made up {finding}")
    for bar in judgement.bars:
        for part, verdict in (("chord", bar.chord), ("bass", bar.bass)):
            result.accused[part] += bar.judged and verdict.word not in (
                "right",
                "not judged",
            )


def _score_edited(
    result: Result,
    song: Song,
    graph: BarGraph,
    edited: Edited,
    known: Counter[tuple[str, tuple[int, ...]]],
) -> None:
    path, judgement = _graded(graph, edited.take)
    findings = [one for one in judgement.form if one.kind in COSTED]
    hit = next((one for one in findings if _same(song, edited, one)), None)
    kind = edited.kind
    result.wanted[kind] += 1
    result.hits[kind] += hit is not None
    others = _keys(tuple(one for one in findings if one is not hit)) - known
    result.made_up[kind] += others.total() if hit is not None else max(others.total() - 1, 0)
    near = slice(max(edited.place - 4, 0), edited.place + 4)
    placed = _placed(song, path, edited.order[near], edited.starts[near])
    result.around[kind] += len(placed)
    result.around_placed[kind] += sum(placed)
    if hit is None and not song.pattern:
        end = edited.starts[-1] + song.end - song.starts[-1]
        result.dearer.append(_dearer(graph, edited.take, path, edited.order, edited.starts, end))
    if hit is None or others:
        said = [(one.kind, one.bars, round(one.at, 1)) for one in findings]
        bars = [bar + 1 for bar in edited.bars]
        result.cases.append(f"{song.name}: {kind} {bars}, found: {said}")


def _same(song: Song, edited: Edited, found: FormFinding) -> bool:
    """Whether the finding says what was done; see the top of this module."""
    first = edited.bars[0]
    off = abs(found.bars[0] - 1 - first)
    if edited.kind == "standstill":
        return found.kind == "break" and off <= 1
    if edited.kind == "broken off":
        bar = song.starts[first + 1] - song.starts[first]
        close = abs(found.at - edited.starts[edited.place]) <= bar
        return found.kind == "restart" and off <= 1 and close
    kind = "extra" if edited.kind == "bar twice" else "missing"
    if found.kind != kind or found.count != len(edited.bars):
        return False
    lies = edited.kind != "cut in a run" and off <= 1
    said = tuple(number - 1 for number in found.bars)
    return lies or _row(song, kind, said) == _row(song, kind, edited.bars)


def _row(song: Song, kind: str, bars: tuple[int, ...]) -> tuple[str, ...]:
    """The song without these neighbouring bars, or with them once more."""
    text = song.bars
    if kind == "missing":
        return text[: bars[0]] + text[bars[-1] + 1 :]
    return text[: bars[-1] + 1] + text[bars[0] :]


def _changes(
    song: Song, graph: BarGraph, rng: np.random.Generator, kind: str
) -> Iterator[tuple[int, str]]:
    """Bars with the first sign changed: (index, new text)."""
    inner = range(MARGIN, len(song.bars) - MARGIN)
    for bar in drawn([k for k in inner if not song.bars[k].startswith("N.C.")], rng):
        sign, *others = song.bars[bar].split()
        other = _other_chord(graph, sign, rng) if kind == "chord" else _other_bass(sign)
        yield bar, " ".join((other, *others))


def _other_chord(graph: BarGraph, sign: str, rng: np.random.Generator) -> str:
    """Another chord of the song with at most one tone in common, or else a tone higher."""
    tones = parse_chord(sign).tones
    chords = {span.chord for bar in graph.bars for span in bar.spans if span.chord is not None}
    others = sorted(chord.text for chord in chords if len(chord.tones & tones) <= 1)
    if others:
        return str(rng.choice(others))
    return note_text((parse_chord(sign).root.pc + 2) % 12, flats=True)


def _other_bass(sign: str) -> str:
    """The third or fifth in the bass where the root is written, and the plain root elsewhere."""
    chord = parse_chord(sign)
    plain = sign.partition("/")[0]
    if chord.bass_pc != chord.root.pc:
        return plain
    degree = chord.degree(3)
    low = degree if degree is not None else (chord.root.pc + 7) % 12
    return f"{plain}/{note_text(low, flats=True)}"


def _score_change(
    result: Result,
    song: Song,
    take: Take,
    before: Judgement,
    change: tuple[str, int, str],
) -> None:
    kind, bar, text = change
    graph = read_chart(song.chart((*song.bars[:bar], text, *song.bars[bar + 1 :])))
    _, after = _graded(graph, take)
    name = f"{kind} changed"
    result.wanted[name] += 1
    here = [one for one in after.bars if one.bar == bar and one.judged]
    hit = any(_first(one.chord.spans if kind == "chord" else one.bass.spans) for one in here)
    result.hits[name] += hit
    if not hit:
        result.cases.append(f"{song.name}: {name} in bar {bar + 1}: {song.bars[bar]} to {text}")
    was, now = ({(b.bar, b.chord.word, b.bass.word) for b in j.bars} for j in (before, after))
    result.swayed += len({verdict[0] for verdict in now ^ was} - {bar})
    more = (_keys(after.form) - _keys(before.form)).total()
    result.made_up[name] += more


def _first(spans: tuple[SpanVerdict, ...]) -> bool:
    """Whether the first sign of a bar is held against the player."""
    return bool(spans) and spans[0].word not in ("right", "not judged")


def _figures(total: Result) -> list[Figure]:
    found = [share(f"{kind} found", total.hits[kind], total.wanted[kind], g) for kind, g in EDITED]
    changed = [
        share(f"{kind} found", total.hits[kind], total.wanted[kind])
        for kind in ("chord changed", "bass changed")
    ]
    changes = sum(total.wanted[f"{part} changed"] for part in ("chord", "bass"))
    accused = [
        per_thousand(f"{part} held against it a 1000 bars", total.accused[part], total.bars)
        for part in ("chord", "bass")
    ]
    form = [per_thousand("false form a 1000 bars", total.false_form.total(), total.bars, 0.5)]
    swayed = Figure("other verdicts swayed a change", total.swayed / max(changes, 1), changes)
    placed = share("bars placed", total.placed, total.bars, 0.99)
    known = share("taken for the song", total.known, total.songs)
    return [known, placed, *form, *found, *changed, swayed, *accused]


def _beside(total: Result) -> dict[str, list[float]]:
    """Bars placed about the mistake, as a share, and findings made up."""
    beside = {}
    for kind in total.wanted:
        placed = total.around_placed[kind] / total.around[kind] if total.around[kind] else np.nan
        beside[f"{kind} found"] = [placed, total.made_up[kind]]
    return beside
