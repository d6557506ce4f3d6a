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
    "chord put right": "{played} was played first where the chart wants {expected}",
    "bass put right": "{played} was played first where the chart wants {expected}",
    "bass root": "the root {played} was played where the chart wants {expected}",
    "bass wrong": "{played} was played where the chart wants {expected}",
    "bass not played": "the bass note {expected} was not played",
    "bass incomplete": "the left hand has {expected}, and of it {played} was heard",
    "missed": "the {hand} hand leaves out {beat}",
    "added": "the {hand} hand plays one more on {beat}",
    "early": "the {hand} hand is early on {beat}, by about {ms:.0f} ms",
    "late": "the {hand} hand is late on {beat}, by about {ms:.0f} ms",
    "other rhythm": "the pattern of the {hand} hand in place of {manner}",
}
"""What happened, for the things to fix first."""

LEADS: Final = {
    "bass root": "bass under {chord}: ",
    "bass wrong": "bass under {chord}: ",
    "bass not played": "bass under {chord}: ",
    "bass put right": "bass under {chord}: ",
    "bass incomplete": "",
}
"""What goes before the clause; `under {chord}` is left out where it is the bass itself."""

PHRASES: Final = {
    "chord wrong": "{played} where {expected} is wanted",
    "chord incomplete": "{expected} not complete ({played} heard)",
    "chord not played": "{expected} not played",
    "chord put right": "{played} put right to {expected}",
    "bass put right": "bass {played} put right to {expected}",
    "bass root": "bass {played} where {expected} is wanted",
    "bass wrong": "bass {played} where {expected} is wanted",
    "bass not played": "bass {expected} not played",
    "bass incomplete": "left hand {expected} not complete ({played} heard)",
    "missed": "{beats} of the {hand} hand missed",
    "added": "the {hand} hand added {beats}",
    "early": "{beats} of the {hand} hand early ({ms:.0f} ms)",
    "late": "{beats} of the {hand} hand late ({ms:.0f} ms)",
    "other rhythm": "{hand} hand {plays}",
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
    (50.0, "A good part is there"),
    (0.0, "A start is made"),
)
"""Least overall mark for each; common practice, no source."""

ALL_RIGHT: Final = "Well played: {all} right, no fewer and no more."
TIMES: Final = {
    "all": "Well played: {times} through with nothing wrong.",
    "some": "{opening}: {times}; the last time, {told}.",
}
"""A passage that was played round and round."""
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
    "straight": "The eighths are played straight, where the chart swings them ({chart}).",
    "swung": "The eighths are swung, about {played:.1f} to 1, where the chart has them straight.",
    "tempo": "{sections} at {bpm:.0f} beats a minute, where the rest goes at {rest:.0f}.",
    "repairs": "The recording needed repair. {repairs}",
    "one hand": "Only the {hand} hand is judged.",
    "within": (
        "The take goes through the song; only the passage that was asked for is judged, where it "
        "comes in it."
    ),
    "hand alone": "Only the {hand} hand was played, and only that is judged.",
}

TOUCH: Final = {
    "hesitation": "{halts}, {seconds:.1f} seconds in all{where}.",
    "steadiness": "The tempo wanders between {slow:.0f} and {fast:.0f} beats a minute "
    "(slowest about {slowest}, fastest about {fastest}).",
    "evenness": "{value:.0f} % of the steps from one strike to the next are plainly too long or "
    "too short{where}.",
    "balance close": "The left hand is too loud beside the melody, only {value:.0f} below it in "
    "velocity{where}.",
    "balance above": "The left hand is louder than the right, by {value:.0f} in velocity{where}.",
    "tempo slower": "It is {value:.0f} % slower than the chart: {played:.0f} beats a minute.",
    "tempo faster": "It is {value:.0f} % faster than the chart: {played:.0f} beats a minute.",
    "together left": "The left hand comes {value:.0f} ms after the right{where}.",
    "together right": "The right hand comes {value:.0f} ms after the left{where}.",
    "loudness": "The melody is nearly all of one loudness: let it rise and fall with the phrase.",
    "length short": "The {hand} hand's notes are cut short, at {value:.0f} % of their written "
    "length{where}.",
    "length long": "The {hand} hand's staccato notes are held, for {value:.0f} % of what is "
    "written under the dots.",
    "repeats": "The melody's repeated notes are detached, silent for {value:.0f} % of the time "
    "between one and the next.",
    "blur": "The pedal carries notes into the next chord, {value:.0f} % of the time{where}.",
    "blur throughout": "The pedal is held down throughout, and the chords run into each other: "
    "change it with each chord.",
    "ending faster": "A ritard is written at the end, and the last bars hurry, by {value:.0f} %.",
    "ending slower": "The ritard at the end is hardly heard: the last bars are {value:.0f} % "
    "slower.",
}
"""How it was played, where it matters; `where` is a list of places in parentheses."""

AT_EASE: Final = "It went along steadily, and nothing of the touch stands out."
"""Where nothing of it matters."""
CANNOT_TELL: Final = (
    "Tone, phrasing, fingering and posture cannot be told from keys and pedal: they are for "
    "the teacher's ears and eyes."
)
"""Said with every touch."""

CAUTION: Final = (
    "Rest ten minutes in every hour. Stop when anything hurts; if it goes on hurting, ask "
    "your teacher and see a doctor who knows musicians."
)
"""Said with every practice plan, and no more than this: it is no medical advice. Ten minutes
an hour, and a rise in load as the main blamed cause: Horvath's rules; Chan and Ackermann
(2014), Front. Psychol. 5:706. Pain is not to be played through: Michigan State University
Libraries, "Ergonomics: music". A quarter of music students report injuries, and what teachers
can say about it: Guptill and Zaza (2010), Music Educators Journal."""
