"""What is each manner of playing called?"""

from collections.abc import Mapping
from typing import Final

from evaluator.judge.verdict import Manner

NAMES: Final[Mapping[Manner, str]] = {
    "pattern": "the pattern",
    "once": "one strike a chord",
    "halves": "half notes",
    "dotted quarters": "dotted quarters",
    "quarters": "quarters",
    "eighths": "eighths",
    "broken": "broken chords",
    "single": "single notes",
    "free": "a rhythm of its own",
}
"""What each manner is called."""
PLAYS: Final[Mapping[Manner, str]] = {
    "pattern": "with the pattern",
    "once": "with one strike a chord",
    "halves": "in half notes",
    "dotted quarters": "in dotted quarters",
    "quarters": "in quarters",
    "eighths": "in eighths",
    "broken": "in broken chords",
    "single": "in single notes",
    "free": "in a rhythm of its own",
}
"""How a hand plays, behind `the right hand`."""
