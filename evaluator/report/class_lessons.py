"""What should be taught again?

Stumbles that one lesson would mend are taken together: everything that went wrong with
one chord, with the bass under one chord, with one strike of the pattern, with the count
of bars in one tail or line, with halts in one line. A lesson is worth the time of a class
if more than one student needs it; the one that costs the class most comes first.
Common practice, no source.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from evaluator.chart.graph import Bar, BarGraph
from evaluator.report import class_words
from evaluator.report.class_report import ClassTake, Lesson, Stumble
from evaluator.report.places import capital, listed, places, quoted

MOST_LESSONS: Final = 6
"""More than can be taught again in one lesson anyway."""
LEAST_STUDENTS: Final = 2
LEAST_SHARE: Final = 0.15
"""Of those who came by; what fewer need is told to them alone."""
LEAST_COST: Final = 0.05
"""Worth of bars for each student concerned; below, it is not worth a lesson."""
OFTEN: Final = 0.5
"""Bars are named that troubled at least so many of the students of the worst bar."""

Key = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Case:
    """One lesson: who needs it, and for what stumbles."""

    key: Key
    by_student: Mapping[str, Sequence[Stumble]]
    of: int

    @property
    def stumbles(self) -> list[Stumble]:
        return [one for found in self.by_student.values() for one in found]

    @property
    def cost(self) -> float:
        return sum(one.cost for one in self.stumbles)

    @property
    def kind(self) -> str:
        return self.key[0]

    def counted(self, what: Callable[[Stumble], str]) -> list[tuple[str, int]]:
        """Students by what they did, the most first; of equals the first by name."""
        counts: Counter[str] = Counter()
        for found in self.by_student.values():
            counts.update({what(one) for one in found})
        return sorted(counts.items(), key=lambda one: (-one[1], one[0]))


def class_lessons(graph: BarGraph, takes: Sequence[ClassTake]) -> tuple[Lesson, ...]:
    """At most six, the costliest for the class first; `takes` are one a student."""
    groups: dict[Key, dict[str, list[Stumble]]] = {}
    for take in takes:
        for stumble in take.stumbles:
            key = _key(stumble, graph.bars[stumble.bar])
            groups.setdefault(key, {}).setdefault(take.student, []).append(stumble)
    cases = [_Case(key, by_student, _of(by_student, takes)) for key, by_student in groups.items()]
    worth = [case for case in cases if _is_worth(case)]
    worth.sort(key=lambda case: (-round(case.cost, 6), case.key))
    return tuple(_lesson(case, graph) for case in worth[:MOST_LESSONS])


def _key(stumble: Stumble, bar: Bar) -> Key:
    """What one lesson mends."""
    words = dict(stumble.words)
    if stumble.kind in ("chord", "incomplete"):
        return "chord", words["expected"]
    if stumble.kind == "bass":
        return "bass", words["expected"], words["chord"]
    if stumble.kind == "rhythm":
        return "rhythm", stumble.case, words["hand"], words["beat"]
    if stumble.kind == "otherwise":
        return "otherwise", words["hand"]
    # Sorts by the order of the song; a tail is one place wherever its bars are written.
    line = "tail" if bar.tail else f"{bar.line:03}"
    kind = "count" if stumble.kind in ("missing", "extra") else "halt"
    return kind, f"{bar.section_index:03}", line


def _of(by_student: Mapping[str, Sequence[Stumble]], takes: Iterable[ClassTake]) -> int:
    """Students who came by any of the bars in question."""
    bars = {one.bar for found in by_student.values() for one in found}
    return sum(bool(take.heard & bars) or take.student in by_student for take in takes)


def _is_worth(case: _Case) -> bool:
    students = len(case.by_student)
    return (
        students >= max(LEAST_STUDENTS, LEAST_SHARE * case.of)
        and case.cost >= LEAST_COST * students
    )


def _lesson(case: _Case, graph: BarGraph) -> Lesson:
    bars = _often(case, graph)
    say = SENTENCES[case.kind](case, bars)
    kinds = Counter(one.kind for one in case.stumbles)
    return Lesson(
        say=capital(say),
        kind=min(kinds, key=lambda kind: (-kinds[kind], kind)),
        bars=tuple(sorted({bar.number for bar in bars})),
        students=len(case.by_student),
        of=case.of,
        names=tuple(case.by_student),
        cost=case.cost,
    )


def _often(case: _Case, graph: BarGraph) -> list[Bar]:
    """The bars that troubled most, in the order of the song."""
    counts: Counter[int] = Counter()
    for found in case.by_student.values():
        counts.update({one.bar for one in found})
    least = OFTEN * max(counts.values())
    return [graph.bars[index] for index in sorted(counts) if counts[index] >= least]


def _say(case: _Case, bars: Sequence[Bar], **words: str) -> str:
    who = class_words.STUDENTS.format(some=len(case.by_student), all=case.of)
    return class_words.LESSONS[case.kind].format(who=who, places=places(bars), **words)


def _say_chord(case: _Case, bars: Sequence[Bar]) -> str:
    return _say(case, bars, expected=case.key[1], did=_instead(case))


def _say_bass(case: _Case, bars: Sequence[Bar]) -> str:
    _, expected, chord = case.key
    under = class_words.UNDER.format(chord=chord) if chord and chord != expected else ""
    return _say(case, bars, expected=expected, under=under, did=_instead(case))


def _instead(case: _Case) -> str:
    """`play another chord, most often Gm`, or what the most did if that is something else."""
    did = case.counted(lambda one: one.case)
    what, another = did[0][0], class_words.ANOTHER[case.kind]
    words = class_words.MOSTLY if len(did) > 1 else "{did}"
    if what.endswith("not played"):
        return words.format(did=class_words.NOT_PLAYED)
    if what.endswith("incomplete"):
        return words.format(did=class_words.INCOMPLETE)
    if what == "bass root":
        return class_words.MOSTLY_ROOT.format(did=another) if len(did) > 1 else class_words.ROOT
    heard = case.counted(lambda one: dict(one.words).get("played", ""))
    return class_words.OFTEN.format(did=another, played=heard[0][0])


def _say_rhythm(case: _Case, bars: Sequence[Bar]) -> str:
    _, what, hand, beat = case.key
    return _say(case, bars, hand=hand, did=class_words.PATTERN[what], beat=beat)


def _say_otherwise(case: _Case, bars: Sequence[Bar]) -> str:
    manner = case.counted(lambda one: dict(one.words)["manner"])[0][0]
    return _say(case, bars, hand=case.key[1], manner=manner)


def _say_count(case: _Case, bars: Sequence[Bar]) -> str:
    kinds, did = dict(case.counted(lambda one: one.kind)), class_words.COUNT
    if len(kinds) == 1:
        told = did[next(iter(kinds))]
    else:
        how = listed([f"{kinds[kind]} {did[kind]}" for kind in did])
        told = class_words.LOSE_COUNT.format(how=how)
    return _say(case, bars, where=_where(case, bars), did=told)


def _say_halt(case: _Case, bars: Sequence[Bar]) -> str:
    return _say(case, bars, where=_where(case, bars))


def _where(case: _Case, bars: Sequence[Bar]) -> str:
    """`Chorus 2, the tail (bars 61 to 63)`, `Verse 1, bar 5 ("Down by the kettle")`."""
    if case.key[2] == "tail":
        section, _, numbers = places(bars).partition(", ")
        return class_words.TAIL.format(section=section, bars=numbers)
    cue = f" ({quoted(bars[0].cue)})" if bars[0].cue else ""
    return f"{places(bars)}{cue}"


SENTENCES: Final[Mapping[str, Callable[[_Case, Sequence[Bar]], str]]] = {
    "chord": _say_chord,
    "bass": _say_bass,
    "rhythm": _say_rhythm,
    "otherwise": _say_otherwise,
    "count": _say_count,
    "halt": _say_halt,
}
