"""In what words are the verdicts told?

Every wording stands here, in tables. A clause has no place in it: with one place it
follows the place and a colon, with several it goes first and the places follow in
parentheses. Headlines are warm where there is reason to be and exact in every case.
"""

from typing import Final

CLAUSES: Final = {
    "chord wrong": "{played} was played where the chart wants {expected}",
    "chord incomplete": "{expected} was not complete ({played} was heard)",
    "chord not played": "{expected} was not played",
    "bass root": "the root {played} was played where the chart wants {expected}",
    "bass wrong": "{played} was played where the chart wants {expected}",
    "bass not played": "the bass note {expected} was not played",
    "missed": "the {hand} hand leaves out {beat}",
    "added": "the {hand} hand plays one more on {beat}",
    "early": "the {hand} hand is early on {beat}, by about {ms:.0f} ms",
    "late": "the {hand} hand is late on {beat}, by about {ms:.0f} ms",
}
"""What happened, for the things to fix first."""

LEADS: Final = {
    "bass root": "bass under {chord}: ",
    "bass wrong": "bass under {chord}: ",
    "bass not played": "bass under {chord}: ",
}
"""What goes before the clause; `under {chord}` is left out where it is the bass itself."""

PHRASES: Final = {
    "chord wrong": "{played} where {expected} is wanted",
    "chord incomplete": "{expected} not complete ({played} heard)",
    "chord not played": "{expected} not played",
    "bass root": "bass {played} where {expected} is wanted",
    "bass wrong": "bass {played} where {expected} is wanted",
    "bass not played": "bass {expected} not played",
    "missed": "{beats} of the {hand} hand missed",
    "added": "the {hand} hand added {beats}",
    "early": "{beats} of the {hand} hand early ({ms:.0f} ms)",
    "late": "{beats} of the {hand} hand late ({ms:.0f} ms)",
    "slip": "{keys} brushed",
    "lost": "could not follow here",
}
"""What happened, under the bar where it happened."""

LET_PASS: Final = " It does not count by this rubric."
NOT_COUNTED: Final = "{phrase}, which does not count"
"""For a finding of the form, and for a fault of a bar, that the rubric lets pass."""

SOMETHING_HEARD: Final = {"chord": "something else", "bass": "another note"}
"""Stands for what was played when it has no name."""

OPENINGS: Final = (
    (95.0, "Nearly there"),
    (85.0, "Well on the way"),
    (65.0, "A good part is there"),
    (0.0, "A start is made"),
)
"""Least overall mark for each; common practice, no source."""

ALL_RIGHT: Final = "Well played: {all} right, no fewer and no more."
NO_MATCH: Final = (
    "This does not sound like {title}: too little of it fits the chart, so nothing is marked."
)
STOPS: Final = (
    "The take stops in {section}, bar {number}, and only what was played is judged: {base}"
)

REMARKS: Final = {
    "starts": "The take begins in {section}, bar {number}; only what was played is judged.",
    "transposed": (
        "The take sounds {semitones} {direction} than the chart (the piano's transpose "
        "setting?); it is judged as if it were in the chart's key."
    ),
    "lost": (
        "{places}: this could not be followed, so nothing there is judged and "
        "nothing is held against it."
    ),
    "repairs": "The recording needed repair. {repairs}",
    "one hand": "Only the {hand} hand is judged.",
    "hand alone": "Only the {hand} hand was played, and only that is judged.",
}

CAUTION: Final = (
    "Rest ten minutes in every hour. Stop when anything hurts; if it goes on hurting, ask "
    "your teacher and see a doctor who knows musicians."
)
"""Said with every practice plan, and no more than this: it is no medical advice. Ten minutes
an hour, and a rise in load as the main blamed cause: Horvath's rules; Chan and Ackermann
(2014), Front. Psychol. 5:706. Pain is not to be played through: Michigan State University
Libraries, "Ergonomics: music". A quarter of music students report injuries, and what teachers
can say about it: Guptill and Zaza (2010), Music Educators Journal."""
