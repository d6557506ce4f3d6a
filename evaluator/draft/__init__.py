"""A sheet with chords above the words, and a teacher's take, to a chart that can be corrected.

read_sheet       bytes of a text -> Sheet
draft_sheet      Sheet -> Draft: a bar a chord
write_draft      Draft -> chart text
"""

from evaluator.draft.model import Draft
from evaluator.draft.plain import Asked, draft_sheet
from evaluator.draft.sheet import Sheet, SheetError
from evaluator.draft.sheet_read import read_sheet
from evaluator.draft.write import write_draft

__all__ = ["Asked", "Draft", "Sheet", "SheetError", "draft_sheet", "read_sheet", "write_draft"]
