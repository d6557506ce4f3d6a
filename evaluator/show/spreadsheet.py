"""Which text may stand in a cell of a spreadsheet?

A text that a spreadsheet would take for a formula (OWASP, CSV Injection: beginning with
= + - @, a tab or a line end) gets an apostrophe before it, as spreadsheets themselves mark
texts; what nobody sees is taken out.
"""

from typing import Final

from evaluator.show.sanitise import clean

FORMULAS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""Also in the full-width forms that spreadsheets in East Asia take for the others."""


def cell_text(text: str) -> str:
    """A text that stays a text."""
    # Before the signs that nobody sees are taken out, and after.
    cleaned = clean(text)
    formula = text.startswith(FORMULAS) or cleaned.lstrip().startswith(FORMULAS)
    return f"'{cleaned}" if formula else cleaned
