"""What is said in a lesson at the piano, beside what was right and wrong?

Every sentence stands here, in tables. Nothing is praised that was not played, and whoever
practises is reminded that hands need rest. The caution is the usual one; it is no medical
advice, and says whose advice counts.
"""

from typing import Final

from evaluator.live.drill import Course
from evaluator.practise.resting import Rest
from evaluator.report.places import capital
from evaluator.report.sentences import ONCE_OR_MORE

INTRO: Final = "{label}: {why}."
INTRO_CHOSEN: Final = "{label}."
BEGINS: Final = "It begins at {bpm}; the chart has {goal}."
AT_GOAL: Final = "It is played at the chart's tempo, {goal}."

READY: Final = "Play any note when you are ready, and {bars} in."
COUNTED: Final = {1: "one bar is counted", 2: "two bars are counted", 3: "three bars are counted"}

UP: Final = "Three good times in a row: now at {bpm}."
DOWN: Final = "Once more a little slower, at {bpm}."
LOWEST: Final = (
    "It does not go slower than this. Try one hand alone first: begin again with --hand right or "
    "--hand left."
)
MASTERED: Final = "{numbers} went well at the chart's tempo three times in a row."

OTHER_PLACE: Final = "That was {other}, not {numbers}, so it is not counted."
MOST: Final = "most of the song"
NOT_HEARD: Final = "{numbers} could not be heard in that, so it is not counted."
ONE_HAND: Final = "Only the {hand} hand was heard, so only that was judged."

REST: Final[dict[Rest, str]] = {
    "passage": "Ten minutes on one passage is enough for now: let your hands rest a moment.",
    "all": "You have played for half an hour: let your hands rest before you go on.",
}
CAUTION: Final = (
    "Stop at once where something hurts; tell your teacher, and if it does not go away, see a "
    "doctor."
)
TIME_OVER: Final = "The time is over."
ALL_DONE: Final = "That was everything for now."
SUMMARY: Final = {
    "reached": "{numbers}: {times} through, {good} of them good; {reached} of {goal} reached.",
    "not yet": "{numbers}: {times} through, {good} of them good; not yet three in a row at {bpm}.",
}


def introduced(course: Course) -> tuple[str, ...]:
    """What is practised, why, and how fast."""
    drill, ladder = course.drill, course.ladder
    told = INTRO if drill.why else INTRO_CHOSEN
    tempo = AT_GOAL if ladder.bpm == ladder.goal else BEGINS
    return (
        capital(told.format(label=drill.label, why=drill.why)),
        tempo.format(bpm=ladder.bpm, goal=ladder.goal),
    )


def ready(bars: int) -> str:
    """How to begin; `bars` are counted in."""
    return READY.format(bars=COUNTED[bars])


def summed_up(course: Course) -> str:
    """What became of a drill."""
    ladder, amount = course.ladder, course.times
    row = SUMMARY["not yet" if ladder.reached is None else "reached"]
    return capital(
        row.format(
            numbers=course.drill.numbers,
            times=ONCE_OR_MORE.get(amount, f"{amount} times"),
            good=course.good if course.good else "none",
            reached=ladder.reached,
            goal=ladder.goal,
            bpm=ladder.bpm,
        )
    )
