"""In what words is another rhythm than the pattern's told, and what is each called?"""

from collections.abc import Mapping
from typing import Final

from evaluator.judge.verdict import Manner

NAMES: Final[Mapping[Manner, str]] = {
    "pattern": "the pattern",
    "once": "one strike per chord",
    "halves": "half notes",
    "dotted quarters": "dotted quarters",
    "quarters": "quarters",
    "eighths": "eighths",
    "after-beats": "after-beats",
    "off-beats": "off-beats",
    "broken": "broken chords",
    "single": "single notes",
    "free": "a free rhythm",
}
"""What each manner is called."""
PLAYS: Final[Mapping[Manner, str]] = {
    "pattern": "with the pattern",
    "once": "with one strike per chord",
    "halves": "in half notes",
    "dotted quarters": "in dotted quarters",
    "quarters": "in quarters",
    "eighths": "in eighths",
    "after-beats": "on the after-beats",
    "off-beats": "between the beats",
    "broken": "in broken chords",
    "single": "in single notes",
    "free": "in a free rhythm",
}
"""How a hand plays, behind `the right hand`."""

SAYS: Final = "{where}: {what}{right}."
ALL_RIGHT: Final = ", all chords right"
SIMPLIFIED: Final = "the pattern was simplified to one strike per chord"
BOTH: Final = "both hands {plays} instead of the pattern"
HAND: Final = "the {hand} hand {plays}"
INSTEAD: Final = "{hands} instead of the pattern"
WHERE_IT_HAS: Final = "{hands} where the pattern has {name}"
