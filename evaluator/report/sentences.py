"""In what words is a take told?

A clause names no place. With one place, the place and a colon come first; with several, the
clause comes first and the places follow in parentheses. Headlines are warm where there is
reason to be, and exact in every case. The form's words are in `form_words`, a class's in
`class_words`.
"""

from collections.abc import Mapping
from typing import Final

CLAUSES: Final = {
    "chord wrong": "{played} was played instead of {expected}",
    "chord incomplete": "{expected} was incomplete ({played} was heard)",
    "chord not played": "{expected} was not played",
    "chord put right": "{played} came first and was corrected to {expected}",
    "bass put right": "{played} came first and was corrected to {expected}",
    "bass root": "the root {played} was played instead of {expected}",
    "bass wrong": "{played} was played instead of {expected}",
    "bass not played": "{expected} was not played",
    "bass incomplete": "the left hand should have {expected}; only {played} was heard",
    "missed": "the {hand} hand leaves out {beat}",
    "added": "the {hand} hand plays an extra note on {beat}",
    "early": "the {hand} hand is about {ms:.0f} ms early on {beat}",
    "late": "the {hand} hand is about {ms:.0f} ms late on {beat}",
    "other rhythm": "play the {hand} hand's pattern instead of {manner}",
}
"""What happened, for the things to fix first."""

LEADS: Final = {
    "bass root": "in the bass under {chord}, ",
    "bass wrong": "in the bass under {chord}, ",
    "bass not played": "in the bass under {chord}, ",
    "bass put right": "in the bass under {chord}, ",
    "bass incomplete": "",
}
"""What goes before the clause,"""
IN_THE_BASS: Final = "in the bass, "
"""and where the chord has no name of its own beside its bass."""

JOINED: Final[Mapping[str, tuple[str, str]]] = {
    "tone": ("{foreign} was played instead of {missing} in {items} ({where}).", "{expected}"),
    "minor third": (
        "{items} were played as minor chords ({where}).",
        "{expected}",
    ),
    "major third": (
        "{items} were played as major chords ({where}).",
        "{expected}",
    ),
    "lacking": ("The {degree} was left out of {items} ({where}).", "{expected}"),
    "exchanged": ("{played} was played instead of {items} ({where}).", "{expected}"),
    "swapped": ("{items} were exchanged ({where}).", "{expected}"),
    "kept": (
        "The bar's first chord was kept where it changes to {items} ({where}).",
        "{expected}",
    ),
    "chord not played": (
        "No chord was played where the chart has {items} ({where}).",
        "{expected}",
    ),
    "bass not played": ("No bass was played where the chart has {items} ({where}).", "{expected}"),
    "bass root": (
        "The root was played where the chart has another bass note: {items} ({where}).",
        "{expected} under {chord}",
    ),
    "bass fifth": (
        "The fifth was played where the chart has another bass note: {items} ({where}).",
        "{played} under {chord}",
    ),
    "put right": (
        "{count} something else came first and was corrected at once: {items} ({where}).",
        "{played} for {expected}",
    ),
    "one hand's rhythm": (
        "Play the {hand} hand's pattern instead of {items} ({where}).",
        "{manner}",
    ),
    "other rhythm": ("Play the pattern instead of {items} ({where}).", "{manner} ({hand} hand)"),
}
"""For causes that show in several ways: a sentence, and what it lists."""
BOTH_HANDS: Final = "{manner} in both hands"
"""Listed instead, where either hand plays the same other rhythm."""

SEARCHING: Final = (
    "The {hand} hand searches for its chord at the changes, up to {seconds:.1f} seconds late "
    "({where}): practise the changes on their own.",
    "Both hands search for their chords at the changes, up to {seconds:.1f} seconds late "
    "({where}): practise the changes on their own.",
)
"""For one hand and for both."""

SILENT: Final = "The {hand} hand does not play ({where})."

PHRASES: Final = {
    "chord wrong": "{played} instead of {expected}",
    "chord incomplete": "{expected} incomplete ({played} heard)",
    "chord not played": "{expected} not played",
    "chord put right": "{played} corrected to {expected}",
    "bass put right": "bass {played} corrected to {expected}",
    "bass root": "bass {played} instead of {expected}",
    "bass wrong": "bass {played} instead of {expected}",
    "bass not played": "bass {expected} not played",
    "bass incomplete": "left hand {expected} incomplete ({played} heard)",
    "missed": "{hand} hand misses {beats}",
    "added": "{hand} hand plays extra on {beats}",
    "early": "{hand} hand {ms:.0f} ms early on {beats}",
    "late": "{hand} hand {ms:.0f} ms late on {beats}",
    "other rhythm": "{hand} hand {plays}",
    "slip": "{keys} brushed",
    "mute": "{keys} did not speak",
    "lost": "could not follow here",
}
"""What happened, under the bar where it happened."""

LET_PASS: Final = " This rubric does not count it."
NOT_COUNTED: Final = "{phrase} (not counted)"
"""For a finding of the form, and for a fault of a bar, that the rubric lets pass."""

SOMETHING_HEARD: Final = {"chord": "something else", "bass": "another note"}
"""Stands for what was played when it has no name."""

OPENINGS: Final = (
    (95.0, "Nearly there"),
    (85.0, "Well on the way"),
    (50.0, "Coming along"),
    (0.0, "A start"),
)
"""Least overall mark for each; common practice, no source."""

ALL_RIGHT: Final = "Well played: {all} right, none missing and none too many."
ALL_BUT_RHYTHM: Final = "Well played: {all} with the right {what}, but {rhythm}."
"""Where nothing is wrong but that the pattern was not played."""
ONCE_OR_MORE: Final = {1: "once", 2: "twice"}
STATED: Final = {
    "right": "{right} right",
    "right sounds": "{right} with the right {what}",
    "some": "{count} of {total} bars",
    "all": "all {bars}",
    "the one": "the one bar",
    "other rhythm": "{bars} in another rhythm",
    "all other rhythm": "all in another rhythm",
    "every other rhythm": "all in another rhythm than the pattern",
    "some other rhythm": "{bars} in another rhythm than the pattern",
    "loose": "the pattern off in {bars}",
    "lacking": "a note of the chord missing in {bars}",
    "lacking more": "a note of the chord missing in {count} more",
    "stumbling": "stumbling in {bars}",
    "restart": "stopped and restarted {times}",
    "break": "{halts} along the way",
}
"""What a headline says of the bars and of going on; it is put together from these."""
TIMES: Final = {
    "all": "Well played: {times} through with nothing wrong.",
    "some": "{opening}: {clean} of {times} through with nothing wrong; the last time, {told}.",
    "wrong": "{bars} wrong",
    "clean": "nothing wrong",
}
"""A passage that was played round and round."""
NO_MATCH: Final = (
    "This does not sound like {title}: too little of it fits the chart, so nothing is marked."
)
PARTLY: Final = "The take {ends}, and only what was played is judged: {base}"
BEGINS, STOPS = "begins in {section}, bar {number}", "stops in {section}, bar {number}"
"""What stands for `{ends}`, or both of them."""

REMARKS: Final = {
    "through": "The song was played {times} through, and all of it is judged.",
    "begun again": "After its end the song was begun again, up to {section}, bar {number}; all of "
    "it is judged.",
    "transposed": (
        "The take sounds {semitones} {direction} than the chart (the piano's transpose "
        "setting?); it is judged as if it were in the chart's key."
    ),
    "lost": "{places}: could not be followed, so nothing there is judged or held against anyone.",
    "straight": "The eighths are played straight; the chart swings them ({chart}).",
    "swung": "The eighths are swung, about {played:.1f} to 1; the chart has them straight.",
    "tempo": "{sections}: {bpm:.0f} beats a minute, against {rest:.0f} in the rest.",
    "slower": "The tempo slows from beginning to end: {first:.0f} beats a minute at first, "
    "{last:.0f} at last.",
    "faster": "The tempo quickens from beginning to end: {first:.0f} beats a minute at first, "
    "{last:.0f} at last.",
    "counted": "{counted} beats are played in every bar; the chart has {beats}.",
    "short": "{places} {is_are} {beats} short{last}.",
    "slow": "{places} {is_are} much slower than the bars around {it_them}.",
    "repairs": "The recording had to be repaired. {repairs}",
    "more repairs": "And {repairs}.",
    "one hand": "Only the {hand} hand is judged.",
    "within": "The take goes through the song; only the passage asked for is judged.",
    "hand alone": "Only the {hand} hand was played, and only that is judged.",
    "hands apart": (
        "The hands were practised separately first ({passes}); the mark is for what was played "
        "hands together."
    ),
    "pass": "{hand} hand, {bars}",
}

TOUCH: Final = {
    "hesitation": "{halts}, {seconds:.1f} seconds in all{where}.",
    "hesitation one": "One hesitation of {seconds:.1f} seconds{where}.",
    "steadiness": "The tempo wanders between {slow:.0f} and {fast:.0f} beats a minute "
    "(slowest around {slowest}, fastest around {fastest}).",
    "evenness": "{value:.0f} % of the notes come clearly too soon or too late after the one "
    "before{where}.",
    "balance": "The left hand is louder than the right, by {value:.0f} of 127: play it softer.",
    "tempo slower": "The tempo is {value:.0f} % slower than the chart's: {played:.0f} beats a "
    "minute.",
    "tempo faster": "The tempo is {value:.0f} % faster than the chart's: {played:.0f} beats a "
    "minute.",
    "together left": "The left hand comes {value:.0f} ms after the right{where}.",
    "together right": "The right hand comes {value:.0f} ms after the left{where}.",
    "loudness": "The melody stays at nearly the same loudness: let it rise and fall with the "
    "phrase.",
    "length short": "The {hand} hand's notes are cut short, to {value:.0f} % of their written "
    "length{where}.",
    "length long": "The {hand} hand's staccato notes are held for {value:.0f} % of their written "
    "length.",
    "repeats": "The melody's repeated notes are detached: silent for {value:.0f} % of the time "
    "from one to the next.",
    "blur": "The pedal blurs one chord into the next {value:.0f} % of the time{where}.",
    "blur throughout": "The pedal is hardly ever changed, so the chords run into each other: "
    "change it with each chord.",
    "ending faster": "A ritard is written at the end, but the last bars get {value:.0f} % faster.",
    "ending slower": "The ritard at the end can hardly be heard: the last bars are only "
    "{value:.0f} % slower.",
}
"""How it was played, where it matters; `where` is a list of places in parentheses."""

AT_EASE: Final = "It moves along steadily, and nothing about the touch stands out."
"""Where nothing of it matters."""
CANNOT_TELL: Final = (
    "Tone, phrasing, fingering and posture cannot be told from keys and pedal: they are for "
    "the teacher's ears and eyes."
)
"""Said with every touch."""

CAUTION: Final = (
    "Rest ten minutes in every hour. Stop when anything hurts; if it keeps hurting, ask "
    "your teacher and see a doctor who treats musicians."
)
"""Said with every practice plan, and no more than this: it is no medical advice. Ten minutes
an hour, and a rise in load as the main blamed cause: Horvath's rules; Chan and Ackermann
(2014), Front. Psychol. 5:706. Pain is not to be played through: Michigan State University
Libraries, "Ergonomics: music". A quarter of music students report injuries, and what teachers
can say about it: Guptill and Zaza (2010), Music Educators Journal."""
