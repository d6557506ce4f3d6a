"""What is a teacher told about a class that played one song?

A `ClassReport` is complete in itself: the terminal, the gradebook and the class page show
it without a chart or a take. It keeps of every take only what these need, so that a class
of any size fits into memory; the full reports are shown or written one at a time.

Marks are 0 to 100, costs are worth of bars (1: one bar wholly lost), times minutes.
A student is counted once wherever students are counted: by the best take.
"""

from dataclasses import dataclass
from typing import Literal

from evaluator.judge.verdict import Marks
from evaluator.report.model import ChartFacts

TakeStatus = Literal["graded", "another song", "unreadable"]
"""What became of a file
    graded
    another song   hardly a take of this song; nothing in it is marked
    unreadable     no take could be read from it
"""

StumbleKind = Literal[
    "chord", "incomplete", "bass", "rhythm", "otherwise", "missing", "extra", "restart", "break"
]
"""On what a student stumbled: the kinds of `BarFault` that cost something and of `FormFinding`."""


@dataclass(frozen=True, slots=True)
class Stumble:
    """One thing that went wrong in one bar of one take."""

    bar: int
    """Index into `BarGraph.bars`."""
    kind: StumbleKind
    cost: float
    case: str
    """Row of the sentence tables, `bass root` or `missed`; for the form the kind itself."""
    words: tuple[tuple[str, str], ...] = ()
    """What fills the row: `expected` and `played`, or `hand` and `beat`."""


@dataclass(frozen=True, slots=True)
class ClassTake:
    """One file that was handed in: what it was worth, or why it could not be read."""

    student: str
    file: str
    status: TakeStatus
    problem: str = ""
    """One sentence, where the file could not be read."""
    headline: str = ""
    marks: Marks | None = None
    """None unless graded."""
    passed: bool = False
    """At or above the rubric's pass mark."""
    reckoning: str = ""
    """How the mark came about: `chord 97 x 0.35 + ...`."""
    missing: int = 0
    extra: int = 0
    """Bars that were left out or came too often."""
    restarts: int = 0
    minutes: float = 0.0
    complete: bool = False
    sure: bool = True
    """Whether it was followed well enough to show what should be taught again."""
    notes: tuple[str, ...] = ()
    """What has to be known to read the marks: repairs, transposition, an early stop, the
    same recording handed in twice."""
    same_as: str = ""
    """The file with the very same bytes that comes before this one, if any."""
    page: str = ""
    """Name of its page beside the class page; empty if none was written."""
    heard: frozenset[int] = frozenset()
    """Indices of the bars that were played and followed, or missed."""
    stumbles: tuple[Stumble, ...] = ()


@dataclass(frozen=True, slots=True)
class Student:
    """Everything that one student handed in."""

    name: str
    takes: tuple[ClassTake, ...]
    """In the natural order of their file names; never empty."""
    best: ClassTake | None
    """Highest overall mark, the earlier of equals; None if none was graded."""
    latest: ClassTake | None
    """Last of those that were graded."""

    def which(self, take: ClassTake) -> list[str]:
        """`best`, `latest`, both or neither, where there are several takes."""
        if len(self.takes) == 1:
            return []
        words = {"best": self.best, "latest": self.latest}
        return [word for word, one in words.items() if one is take]


@dataclass(frozen=True, slots=True)
class Exchange:
    """What was heard in place of a chord or a bass note, and from how many students."""

    part: Literal["chord", "bass"]
    expected: str
    played: str
    """Empty where nothing was heard."""
    students: int


@dataclass(frozen=True, slots=True)
class Heat:
    """How many stumbled in a place, and on what."""

    heard: int
    """Students who came by here and could be followed."""
    stumbled: int
    on: tuple[tuple[StumbleKind, int], ...]
    """Students by kind, the most first."""
    commonest: Exchange | None
    """The wrong chord or bass that was heard most."""
    cost: float
    """Of all students together."""


@dataclass(frozen=True, slots=True)
class HeatBar:
    """A bar of the chart at its place on the page."""

    index: int
    number: int
    text: str
    heat: Heat


@dataclass(frozen=True, slots=True)
class HeatLine:
    """A line of bars, and how the class went through it."""

    bars: tuple[HeatBar, ...]
    cue: str
    alternative: bool
    """An `or` line; it is there only if somebody played it."""


@dataclass(frozen=True, slots=True)
class HeatSection:
    """A section as its lines lie on the page, and how the class went through it."""

    label: str
    lines: tuple[HeatLine, ...]
    heat: Heat


@dataclass(frozen=True, slots=True)
class Lesson:
    """One thing to teach again."""

    say: str
    """A whole sentence with its places."""
    kind: StumbleKind
    bars: tuple[int, ...]
    """Numbers of the bars in the expanded chart."""
    students: int
    of: int
    """Students who came by."""
    names: tuple[str, ...]
    """Whom it concerns."""
    cost: float


@dataclass(frozen=True, slots=True)
class ClassReport:
    """A class and one song."""

    chart: ChartFacts
    rubric: str
    pass_mark: float
    least_played: float
    """Percent of the song that must be played to pass."""
    students: tuple[Student, ...]
    """By name."""
    unreadable: tuple[ClassTake, ...]
    """Files without a take, by name; they stand with their students, too."""
    absent: tuple[str, ...]
    """Names on the roster from whom nothing came."""
    counted: int
    """Students whose playing counts in what follows: each recording once, and only those
    of this song."""
    sections: tuple[HeatSection, ...]
    """The whole chart as it lies on the page."""
    lessons: tuple[Lesson, ...]
    """What to teach again, the costliest for the class first."""

    @property
    def takes(self) -> list[ClassTake]:
        """All that was handed in, student by student."""
        return [take for student in self.students for take in student.takes]

    @property
    def best(self) -> list[ClassTake]:
        """The best take of each student of whom one was graded."""
        return [student.best for student in self.students if student.best is not None]

    @property
    def best_marks(self) -> list[float]:
        """The marks of these, 0 to 100."""
        return [take.marks.overall for take in self.best if take.marks is not None]
