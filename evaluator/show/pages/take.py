"""What does a student get back for one take?

One page: the headline and the mark with its sum, what to put right first, the song with
its marks, the picture of time, what was wrong tone by tone, the form, what to practise.
"""

from evaluator.grading import Graded
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.show.pages.marking import mark_lines
from evaluator.show.pages.render import island, render
from evaluator.show.pages.song import legend, mark, page_song
from evaluator.show.pages.sound import sounds
from evaluator.show.pages.strips import band, bar_times, strips
from evaluator.show.pages.tempo import tempo_picture
from evaluator.show.pages.wrong import what_was_wrong


def take_page(graded: Graded, *, student: str = "", rubric: Rubric = STEADY) -> str:
    """The page as HTML, complete in itself.

    `rubric` is the one by which the take was graded. Raises `UsageError` where jinja2
    is not installed.
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
        rubric=rubric,
        mark_lines=mark_lines(report.marks, rubric),
        song=song,
        legend=legend(song),
        sign=mark,
        strips=strips(graded, rubric.strike_ms),
        band=band(rubric.strike_ms),
        bar_times=bar_times(graded),
        tempo=tempo_picture(graded),
        wrong=what_was_wrong(graded),
        sounds=island(sounds(graded)),
    )
