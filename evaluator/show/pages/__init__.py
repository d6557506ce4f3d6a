"""Report to pages: one self-contained HTML page a take, and one for the class.

take_page     everything about one graded take -> HTML
class_page    the takes of a class, and where it stumbles -> HTML
"""

from evaluator.show.pages.classroom import class_page
from evaluator.show.pages.take import take_page

__all__ = ["class_page", "take_page"]
