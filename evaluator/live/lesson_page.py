"""What stands on the board in a lesson?

Collects what is said, the marks of the last time through and where the student is, and makes a
page of it.
"""

from collections.abc import Sequence
from dataclasses import replace

from evaluator.follow.path import AT_LINE
from evaluator.judge.verdict import FormFinding, Judgement, Tempo
from evaluator.live.drill import Course, Drill
from evaluator.live.following import Place, name_struck
from evaluator.live.picture import REFUSED, counted, live_bar, placed
from evaluator.practise.ladder import GOOD_IN_A_ROW
from evaluator.report.layout import lay_out
from evaluator.report.model import BarState, LayoutLine, LayoutSection, Pass, Report
from evaluator.show.lesson import LessonPage, LessonState
from evaluator.show.live_page import LiveBar, LivePage


class Board:
    """Everything that is shown."""

    def __init__(self, title: str, drill: Drill) -> None:
        self.notes: tuple[str, ...] = ()
        """What holds at this moment."""
        self._title = title
        self.said: list[str] = []
        """Every sentence so far."""
        self._graph = drill.song.graph
        self._sections: tuple[LayoutSection, ...] = ()
        self._played: tuple[LiveBar, ...] = ()
        self._struck: frozenset[int] = frozenset()
        self._counted: tuple[float, float, int] | None = None
        """First beat by the host's clock, seconds of a beat, and how many there are."""

    def say(self, sentence: str, *, once: bool = False) -> None:
        """One more sentence; `once`: unless it was said before."""
        if not once or sentence not in self.said:
            self.said.append(sentence)

    def heard_of(self, piano: str) -> None:
        """The piano is there."""
        self.say(f"Listening to {piano}.", once=True)

    def refused(self, why: str) -> None:
        """The piano is there and cannot be opened."""
        self.notes = (REFUSED.format(why=why),)

    def struck(self, keys: frozenset[int]) -> None:
        """These keys are down now that one more was struck."""
        self._struck = keys

    def counts(self, first: float, beat: float, beats: int) -> None:
        """A count-in begins."""
        self._counted = first, beat, beats

    def practises(self, course: Course) -> None:
        """Another passage is practised, of which nothing was played yet."""
        graph = course.drill.song.graph
        nothing = Judgement((), (), Tempo(graph.bpm, 0.0, 0.0), matches=False)
        self._graph, self._played = graph, ()
        self._sections = lay_out(graph, nothing)

    def marks(self, report: Report, one: Pass) -> None:
        """What was found in the bars of one time through."""
        over = [bar for bar in report.bars if bar.verdict.start < one.end - AT_LINE]
        if not over:
            return
        here = [n for n, bar in enumerate(over, start=1) if bar.verdict.start > one.start - AT_LINE]
        kinds = [
            found.finding
            for found in report.form
            if one.start - AT_LINE < found.finding.at < one.end - AT_LINE
            and found.finding.kind != "missing"
        ]
        self._sections = tuple(
            replace(section, lines=tuple(_of(line, here, one, kinds) for line in section.lines))
            for section in report.layout
        )
        self._played = tuple(live_bar(bar.number, bar.section, bar.faults) for bar in over)

    def page(
        self, state: LessonState, course: Course, place: Place | None, now: float
    ) -> LessonPage:
        """The picture of this moment."""
        graph, ladder = self._graph, course.ladder
        passage = LivePage(
            title=self._title,
            state="playing",
            bars=graph.count,
            sections=self._sections,
            beats=graph.bars[graph.written[0]].meter.beats,
            sounding=name_struck(self._struck, graph, place),
            played=self._played,
            count=self._count_shown(now) if state == "counting" else None,
        )
        return LessonPage(
            passage=passage if place is None else placed(passage, graph, place, again=True),
            state=state,
            label=course.drill.label,
            bpm=ladder.bpm,
            goal=ladder.goal,
            good=ladder.good,
            wanted=GOOD_IN_A_ROW,
            said=tuple(self.said),
            notes=self.notes,
        )

    def _count_shown(self, now: float) -> tuple[int, int] | None:
        if self._counted is None:
            return None
        first, beat, beats = self._counted
        a_bar = self._graph.bars[self._graph.written[0]].meter.beats
        return counted(now - first, beat, beats // a_bar, a_bar)


def _of(
    line: LayoutLine, here: Sequence[int], one: Pass, found: Sequence[FormFinding]
) -> LayoutLine:
    """A line with the marks of one time through; `here` are the numbers of its played bars."""
    bars = []
    for bar in line.bars:
        played = tuple(number for number in bar.played if number in here)
        state: BarState = "missing" if bar.number in one.wrong else "not reached"
        form = tuple(finding.kind for finding in found if bar.number in finding.bars)
        bars.append(replace(bar, played=played, state="played" if played else state, form=form))
    return replace(line, bars=tuple(bars))
