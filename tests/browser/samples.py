"""Pages to be opened: ordinary ones, and some made of everything that a stranger could type."""

from dataclasses import dataclass, replace
from pathlib import Path

from evaluator.grading import Graded, grade_fully, prepare
from evaluator.judge.rubric import STEADY
from evaluator.report.class_build import build_class
from evaluator.report.class_report import ClassTake
from evaluator.report.class_take import class_take, unread_take
from evaluator.show.pages import class_page, take_page
from tests.playing import Late, Missed, WrongBass, WrongChord, play, to_midi

ROOT = Path(__file__).resolve().parents[2]

SCRIPT = "<script>window.harmed=1</script>"
IMAGE = '"><img src=x onerror="window.harmed=1">'
ENDED = "</script></style></title><svg onload=window.harmed=1>"
TURNED = "\u202egnos eht\u202c \u2066x\u2069"
CONTROL = "bell\x07 escape\x1b[31m null-width\u200b"
TEMPLATE = "{{ 7 * 7 }}{% raw %}"

HOSTILE_CHART = f"""\
title: {SCRIPT}{TURNED}
key: D major
tempo: 96
bass: A = C#

pattern walk
  count | 1 . 2 . 3 . 4 . |
  left  | x . . . x . . . |
  right | . . x . . x x . |

[Verse {IMAGE}]
| D | A | Bm7 | G |
  {IMAGE}{ENDED}
| D | A | G | A |
  {CONTROL} {TEMPLATE} {TURNED} {"la" * 120}

[{ENDED}{TURNED}]
| G | Em7 | A | D |
"""
HOSTILE_NAME = f"{SCRIPT}{IMAGE}{TURNED}{CONTROL}{TEMPLATE}"

NO_PATTERN = """\
title: Bare Boards
tempo: 90

[All]
| D | A | Bm7 | G |
| D | G / A / | N.C. | D |
"""
ELSEWHERE = """\
title: Elsewhere
tempo: 140

pattern thump
  left  | x x x x |
  right | x x x x |

[All]
| F#m7b5 | Ab7 | Ebm | B7 | x4
"""


@dataclass(frozen=True)
class Page:
    """A page as a file, and what it was made from."""

    path: Path
    html: str
    graded: Graded | None = None

    @property
    def address(self) -> str:
        return self.path.as_uri()


def write_all(folder: Path) -> dict[str, Page]:
    """Every sample by its name, as a file in a folder."""
    takes = {
        "student": (_student(), "Ada Brook"),
        "hostile": (_hostile(), HOSTILE_NAME),
        "without patterns": (_played(NO_PATTERN), "Ben Castor"),
        "another song": (_other_song(), "Cleo Dahl"),
    }
    pages = {
        name: _page(folder, f"{name}.html", take_page(graded, student=student), graded)
        for name, (graded, student) in takes.items()
    }
    graded, hostile = takes["student"][0], takes["hostile"][0]
    pages["class"] = _page(folder, "class.html", class_page_of(graded, "Ada Brook"))
    pages["hostile class"] = _page(folder, "hostile class.html", class_page_of(hostile, IMAGE))
    return pages


def class_page_of(graded: Graded, student: str) -> str:
    """A class of three: one with two takes, one whose file could not be read, one absent."""
    judged, report = graded.judgement, graded.report
    graph = graded.song.graph
    takes: list[ClassTake] = [
        replace(
            class_take(graph, judged, report, student=student, file=f"{student} {number}.mid"),
            page="student.html",
        )
        for number in (1, 2)
    ]
    takes.append(unread_take(student=HOSTILE_NAME, file="notes.pdf", problem=f"It is {IMAGE}."))
    return class_page(build_class(graph, takes, STEADY, roster=["Olaf Quist", ENDED]))


def _page(folder: Path, file: str, html: str, graded: Graded | None = None) -> Page:
    path = folder / file
    path.write_text(html, encoding="utf-8")
    return Page(path, html, graded)


def _student() -> Graded:
    song = prepare((ROOT / "charts/kettle_lane.txt").read_text(encoding="utf-8"))
    midi = (ROOT / "recordings/kettle_lane-student.mid").read_bytes()
    return grade_fully(song, midi, take_file="kettle_lane-student.mid")


def _hostile() -> Graded:
    song = prepare(HOSTILE_CHART)
    faults = (
        WrongBass(2, "A"),
        WrongChord(3, "G"),
        Missed(5, 1.0, "right"),
        Late(6, 2.0, "left", 150),
    )
    midi = to_midi(play(song.graph, faults=faults))
    return grade_fully(song, midi, take_file=f"{IMAGE}{TURNED}.mid")


def _played(chart: str) -> Graded:
    song = prepare(chart)
    return grade_fully(song, to_midi(play(song.graph)), take_file="take.mid")


def _other_song() -> Graded:
    song = prepare(HOSTILE_CHART)
    midi = to_midi(play(prepare(ELSEWHERE).graph))
    return grade_fully(song, midi, take_file="elsewhere.mid")
