"""What does a teacher see of a class?

One page: what to teach again, the song with the number of students who stumbled at each
bar, and everybody's mark with the way to the page.
"""

from urllib.parse import quote

from evaluator.report.class_report import ClassReport
from evaluator.show.pages.render import render


def class_page(report: ClassReport) -> str:
    """The page as HTML; its links go to the takes' pages in the same folder.

    Raises `UsageError` where jinja2 is not installed.
    """
    return render("class.html", script="", report=report, href=_href)


def _href(page: str) -> str:
    """A file of the same folder as an address: never a scheme, whatever its name."""
    return f"./{quote(page)}"
