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
    "after-beats": "after-beats",
    "off-beats": "strikes between the beats",
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
    "after-beats": "on the after-beats",
    "off-beats": "between the beats",
    "broken": "in broken chords",
    "single": "in single notes",
    "free": "in a rhythm of its own",
}
"""How a hand plays, behind `the right hand`."""
