"""What is said of a take does not depend on what does not matter.

The same playing after a silence, in another octave, at another tempo, with its hands on
tracks or channels of their own, as format 0 or 1: the verdicts on its chords and its form
stay what they were. Nobody needs to know which verdicts are right for that; it is a check
of its own kind (metamorphic testing: Chen, Cheung and Yiu 1998).

Bars that sound alike stand for each other here: of four bars of D of which three were
played, nobody can tell which one is missing, and a hair's breadth may decide it.
"""

import json
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

import pytest

from evaluator.grading import grade_take, prepare
from evaluator.report.json import fields
from evaluator.take.channels import UNCLEAR
from evaluator.take.gaps import gaps_in
from evaluator.take.midi_file import read_players_take, read_take
from tests.bench.students import FEW, MANY, simulate
from tests.end_to_end.rewriting import MOVED, REWRITTEN, Playing, plain

ROOT: Final = Path(__file__).parents[2]
RECORDED: Final = sorted(
    path.relative_to(ROOT / "recordings").as_posix()
    for path in (ROOT / "recordings").rglob("*.mid")
)
TIDY: Final = {"tidy, few faults": (37, FEW), "tidy, many faults": (20, MANY)}
TRIED: Final = [name for name in RECORDED if "student" in name or "short-tail" in name]
TRIED_ALL: Final = [*TRIED, *TIDY]


@dataclass(frozen=True, slots=True)
class Verdicts:
    """What a report says of chords and form, and all the rest of it."""

    chords: tuple[object, ...]
    form: tuple[object, ...]
    rest: str

    def same_music(self, other: "Verdicts") -> bool:
        return (self.chords, self.form) == (other.chords, other.form)


@dataclass(frozen=True, slots=True)
class File:
    """A file of a take; files of which the very same is read are one and the same."""

    midi: bytes = field(compare=False)
    read: tuple[object, ...]


def file_of(playing: Playing) -> File:
    take = read_players_take(playing.midi)
    columns = (take.onsets, take.offsets, take.pitches, take.velocities)
    written = (*columns, take.channels, take.tracks, take.pedal)
    gaps = gaps_in(playing.midi)
    return File(playing.midi, (*(one.tobytes() for one in written), take.repairs, gaps))


@lru_cache
def verdicts(chart: str, file: File) -> Verdicts:
    """Of a take; the file itself, and on what channels it is written, is left out of the rest."""
    report = fields(grade_take(prepare(chart), file.midi))
    del report["take"]
    named = UNCLEAR.partition("{")[0]
    report["remarks"] = [one for one in report["remarks"] if not one.startswith(named)]
    chords = tuple((bar["section"], _words(bar["chord"])) for bar in report["bars"])
    form = tuple((one["kind"], one["count"], one["section"], one["tail"]) for one in report["form"])
    return Verdicts(chords, form, json.dumps(report))


def _words(chord: dict[str, Any] | None) -> object:
    """Of each chord of a bar: what was expected, and the word for what was played."""
    return chord and [(span["expected"], span["word"]) for span in chord["spans"]]


def recorded(name: str) -> tuple[str, bytes]:
    """Chart and file of a take that comes with the program."""
    song = "kettle_lane" if name.startswith("class/") else name.partition("-")[0]
    chart = (ROOT / "charts" / f"{song}.txt").read_text(encoding="utf-8")
    return chart, (ROOT / "recordings" / name).read_bytes()


@lru_cache
def played(name: str) -> tuple[str, Playing, Verdicts]:
    if name in TIDY:
        seed, faults = TIDY[name]
        take = simulate(seed, "tidy", faults=faults)
        chart, raw = take.chart_text, take.midi_bytes
    else:
        chart, raw = recorded(name)
    playing = plain(read_take(raw))
    return chart, playing, verdicts(chart, file_of(playing))


@pytest.mark.parametrize("name", TRIED_ALL)
@pytest.mark.parametrize("relation", REWRITTEN)
def test_another_file_of_the_same_sound_gets_the_same_report(name: str, relation: str) -> None:
    chart, playing, before = played(name)
    assert verdicts(chart, file_of(REWRITTEN[relation](playing))) == before


@pytest.mark.parametrize("name", TRIED_ALL)
@pytest.mark.parametrize("relation", MOVED)
def test_the_same_music_elsewhere_gets_the_same_verdicts(name: str, relation: str) -> None:
    chart, playing, before = played(name)
    after = verdicts(chart, file_of(MOVED[relation](playing)))
    assert (after.chords, after.form) == (before.chords, before.form)


def test_the_comparison_can_tell_one_take_from_another() -> None:
    before, after = (played(f"kettle_lane-{one}.mid")[2] for one in ("student", "short-tail"))
    assert not before.same_music(after)
    assert before.rest != after.rest
