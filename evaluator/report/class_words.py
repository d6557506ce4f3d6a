"""In what words is a teacher told what to teach again?

A lesson's sentence names the thing, the places, and how many students did what.
"""

from typing import Final

STUDENTS: Final = "{some} of {all} students"

LESSONS: Final = {
    "chord": "The chord {expected} ({places}): {who} {did}.",
    "bass": "The bass {expected}{under} ({places}): {who} {did}.",
    "rhythm": "The pattern, {hand} hand: {who} {did} {beat} ({places}).",
    "otherwise": "The pattern, {hand} hand: {who} play another rhythm, most often {manner} "
    "({places}).",
    "count": "{where}: {who} {did}.",
    "halt": "{where}: {who} stop here.",
}
UNDER: Final = " under {chord}"
TAIL: Final = "{section}, the tail ({bars})"

ANOTHER: Final = {"chord": "play another chord", "bass": "play another note"}
OFTEN: Final = "{did}, most often {played}"
NOT_PLAYED: Final = "leave it out"
INCOMPLETE: Final = "leave a note out"
ROOT: Final = "play the root"
MOSTLY: Final = "mostly {did}"
"""Where some did something else."""
MOSTLY_ROOT: Final = "{did}, mostly the root"

PATTERN: Final = {
    "missed": "leave out",
    "added": "play an extra note on",
    "early": "are early on",
    "late": "are late on",
}
COUNT: Final = {"missing": "leave bars out", "extra": "play too many"}
LOSE_COUNT: Final = "lose count ({how})"

STOPS: Final = "The take stops in {section}, bar {number}: {played} of {bars} {were} played."
UNSURE: Final = "Not counted in what to teach again: it could hardly be followed as this song."
"""Beside a take that shows nothing of what should be taught again."""
