"""What does a student get back for one take?

One page: the headline and the mark with its sum, what to put right first, the song with
its marks, what was wrong tone by tone, the form, the picture of time, what to practise. The
page of a draft has before it what is doubtful about the draft.
"""

from evaluator.draft import Draft
from evaluator.grading import Graded
from evaluator.parts import PARTS
from evaluator.report.reckoning import verdict_words
from evaluator.report.sentences import AT_EASE, CANNOT_TELL
from evaluator.show.pages.doubtful import doubtful_bars
from evaluator.show.pages.render import island, render
from evaluator.show.pages.song_bars import legend, mark, page_song
from evaluator.show.pages.sound import sounds
from evaluator.show.pages.strips import bar_times, strips
from evaluator.show.pages.tempo_picture import tempo_picture
from evaluator.show.pages.wrong import what_was_wrong


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
