"""What does a student get back for one take?

One page: the headline and the mark with its sum, what to put right first, the song with
its marks, what was wrong tone by tone, the form, the picture of time, what to practise. The
page of a draft has before it what is doubtful about the draft.
"""

from dataclasses import dataclass

from evaluator.draft import Draft
from evaluator.draft.own_take import is_the_same
from evaluator.grading import Graded
from evaluator.parts import PARTS
from evaluator.report.reckoning import verdict_words
from evaluator.report.sentences import AT_EASE, CANNOT_TELL
from evaluator.show.pages.render import island, render
from evaluator.show.pages.song_bars import legend, mark, page_song
from evaluator.show.pages.sound import sounds
from evaluator.show.pages.strips import bar_times, strips
from evaluator.show.pages.tempo_picture import tempo_picture
from evaluator.show.pages.wrong import what_was_wrong


@dataclass(frozen=True, slots=True)
class DoubtfulBar:
    """A bar that is not sure."""

    number: int
    section: str
    text: str
    """As it is drafted."""
    at: float
    """Seconds of the take."""
    doubts: tuple[str, ...]
    wanted: int
    """Index of the chart's bar."""
    played: int
    """Number of the played bar, from 1."""


def doubtful_bars(graded: Graded, draft: Draft) -> tuple[DoubtfulBar, ...]:
    """The bars of a draft that are doubted, in their order, as the take was followed to them."""
    found = []
    graph, played = graded.song.graph, graded.path.bars
    for one in draft.bars():
        if not one.doubts or one.start is None or not played:
            continue
        start = one.start
        place = min(range(len(played)), key=lambda k: abs(played[k].start - start))
        bar = graph.bars[played[place].bar]
        if is_the_same(start, played[place].start, bar.seconds):
            found.append(
                DoubtfulBar(
                    bar.number, bar.section, bar.text, start, one.doubts, bar.index, place + 1
                )
            )
    return tuple(found)


def take_page(graded: Graded, *, student: str = "", draft: Draft | None = None) -> str:
    """The page as HTML, complete in itself; `student` is the name over it, `draft` what the
    chart was written from, if it was drafted from this take.

    Raises `UsageError` where jinja2 is not installed.
    """
    report = graded.report
    if not report.matches:
        return render("other_song.html", script="", report=report, student=student)
    song = page_song(graded)
    return render(
        "take.html",
        script="take.js",
        report=report,
        student=student,
        doubtful=() if draft is None else doubtful_bars(graded, draft),
        asked=() if draft is None else draft.remarks,
        about={part: row.asks for part, row in PARTS.items()},
        at_ease=AT_EASE,
        cannot_tell=CANNOT_TELL,
        verdict=verdict_words(report.reckoning, report.marks.overall),
        song=song,
        legend=legend(song),
        sign=mark,
        strips=strips(graded),
        bar_times=bar_times(graded),
        tempo=tempo_picture(graded),
        wrong=what_was_wrong(graded),
        sounds=island(sounds(graded)),
    )
