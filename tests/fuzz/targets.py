"""Which promises are there, by the names under which they are searched?"""

from collections.abc import Callable, Mapping
from typing import Final

from tests.fuzz.drafts import draft_or_refusal, sheet_or_refusal
from tests.fuzz.in_use import broken_pipe, cut_up, damaged_history, takes_folder
from tests.fuzz.odd_scores import odd_score
from tests.fuzz.promises import report_of_anything, song_or_refusal, take_or_refusal

PROMISES: Final[Mapping[str, Callable[[bytes], bool]]] = {
    "midi": take_or_refusal,
    "chart": song_or_refusal,
    "grade": report_of_anything,
    "cut": cut_up,
    "draft": draft_or_refusal,
    "folder": takes_folder,
    "history": damaged_history,
    "pipe": broken_pipe,
    "score": odd_score,
    "sheet": sheet_or_refusal,
}
