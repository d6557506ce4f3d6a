"""In what words is the form told: bars missing or too many, halts, restarts, choices?

The rows of a table say the same of other stretches: whole sections, a line, a tail, single bars.
"""

from typing import Final

ALIKE: Final = " These bars sound alike, so only the count is certain."
UNSURE: Final = " Which of them cannot be told by ear, so only the count is certain."
"""For bars that are not all alike but could be lost in several ways that sound the same."""

WHOLE: Final = {
    ("missing", "section"): "{sections} left out ({bars}).",
    ("missing", "sections"): "{sections} left out ({bars}).",
    ("missing", "parts"): "{sections} left out.",
    ("missing", "line"): "{section}{line} is missing ({bars}).",
    ("missing", "tail"): "{section}: the tail is missing ({bars}).",
    ("extra", "tail"): "{section}: the tail was played once too often ({bars}).",
    ("missing", ""): "{section}: {bars} {is_are} missing{cue}.",
    ("extra", "section"): "{sections} played {times} ({bars}).",
    ("extra", "sections"): "{sections} played {times} ({bars}).",
    ("extra", "parts"): "{sections} played once too often.",
    ("extra", "line"): "{section}{line} was played once too often ({bars}).",
    ("extra", ""): "{section}: {bars} {was_were} played once too often{cue}.",
}
LINE: Final = (": the line {quoted}", ": a whole line")
"""What stands for `{line}`, with words over it and without."""
COUNTED: Final = "{where}: {had} where the chart has {wanted} ({bars})."
COUNTED_MISSING: Final = "{where}: {count} of {bars} {is_are} missing."
"""Where the bars are not alike, so that it matters which of them are missing."""
TAIL: Final = "{section}, the tail"
OF: Final = " of {chord}"
"""Behind `three bars`, where all of them have one chord."""
AT_LEAST: Final = "at least {count}"
CHOICES: Final = {
    "or line": '{section}, {bars}: the "or" line was played, as the chart allows.',
    "left out": "{section}: {bars} left out, as the chart allows.",
    "times": "{section}{line}: {had}, as the chart allows.",
    "through": "The song was begun once more from the beginning.",
    "": "{section}, {bars}: played in a way that the chart allows.",
}
CHOSEN_LINE: Final = (", the tail", ", the line {quoted}", "")
"""What stands for `{line}` of a tail, of a line with words, of any other."""
IN_PLACE: Final = "{played} was played in place of {wanted} ({bars})."
"""For a section that came once more just where another of its kind is missing."""
LATER: Final = {
    "line": "{section}{line} was played later than the chart has it ({bars}).",
    "section": "{sections} played later than the chart has it ({bars}).",
    "sections": "{sections} played later than the chart has them ({bars}).",
}
"""For what is missing in its place and comes afterwards."""
TAILS: Final = {
    "missing": "{tails} are cut short: {items}.",
    "extra": "{tails} are too long: {items}.",
}
TAIL_BY: Final = "{section} by {bars}"
BARS: Final = {
    "missing": "{bars} are left out{last} ({places}).",
    "extra": "{bars} were played once too often{last} ({places}).",
}
"""For the same mistake again and again."""
AT_ENDS: Final = (", nearly all of them the last of a line", ", each of them the last of its line")
TIMES: Final = {2: "twice", 3: "three times", 4: "four times"}
TOO_OFTEN: Final = "once too often"

BREAK: Final = "{where}: a halt of {seconds:.1f} seconds, without losing the place."
RESTART: Final = "{where}: stopped and restarted here{after}{again}."
AFTER: Final = " after {seconds:.1f} seconds"
AGAIN: Final = ", repeating {bars}"
SEVERAL: Final = {
    "restart": "Stopped and restarted {count} ({places}).",
    "break": "{count}, {seconds:.0f} seconds in all{lines} ({places}).",
    "beat": "{count} of about a beat{lines} ({places}): count through to the next bar.",
}
"""Several halts or restarts together."""
BEFORE_SECTIONS: Final = ", each before a new section"
BEFORE_LINES: Final = (", nearly all before a new line", ", each before a new line")

BRIEF_WHOLE: Final = {
    "missing": "{sections} left out",
    "extra": "{sections} played again",
}
"""In the headline, for whole sections."""
BRIEF_IN_PLACE: Final = "{played} in place of {wanted}"
BRIEF_LATER: Final = {
    "line": "a line of {section} out of order",
    "section": "{sections} out of order",
    "sections": "{sections} out of order",
}
BRIEF: Final = {
    ("missing", True): "{bars} missing from the tail of {section}",
    ("missing", False): "{bars} missing in {section}",
    ("extra", True): "{bars} too many in the tail of {section}",
    ("extra", False): "{bars} too many in {section}",
}
BRIEF_PLACES: Final = "the bar count off in {places}"
