"""`evaluator practise CHART`: the lesson goes on at the piano.

Leads through the passages that did not go well, or through one that is asked for, each from
slow to the chart's tempo, and keeps in the history what was reached. What is played is recorded
as a take like any other.
"""

import argparse
import os
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from evaluator.cli.at_piano import Look, record, recover_takes, take_folder
from evaluator.cli.files import read_chart_text, read_take_bytes, shown
from evaluator.cli.naming import played_at
from evaluator.cli.practise_words import parser
from evaluator.cli.say import say, say_error
from evaluator.cli.which_piano import port_name
from evaluator.errors import TakeError, UsageError

if TYPE_CHECKING:
    from evaluator.chart.graph import Hand
    from evaluator.excerpt.song import Song
    from evaluator.history import Memory
    from evaluator.history.places import Place
    from evaluator.history.reading import Reading
    from evaluator.live.drill import Drill, Rung
    from evaluator.live.lesson import Lesson, Wishes

__all__ = ["parser", "run"]

NOTHING_KNOWN: Final = (
    "Of this song nothing is in the history{whose} that says what to practise: play it once with "
    "`evaluator listen`, or say what with --bars or --section."
)
NOTHING_DUE: Final = (
    "Nothing needs practising today{whose}: the last takes were right, and what was mastered has "
    "rested too short a time to be asked for again. Say what with --bars or --section."
)


def run(words: Sequence[str]) -> int:
    """Practise. Raises `ChartError`, `FileError`, `UsageError`, `NoBackendError`."""
    options = parser().parse_args(words)
    if options.replay is not None and options.port is not None:
        raise UsageError("A --replay needs no piano: leave out --port.")
    wishes = _wishes(options)
    text = read_chart_text(options.chart)
    content = None if options.replay is None else read_take_bytes(options.replay)
    drills = _drills(options, text)
    if not drills:
        return 0
    from evaluator.history import remembering
    from evaluator.live.lesson import Lesson

    title = drills[0].whole.graph.title
    with remembering() as memory:
        lesson = Lesson(title, drills, wishes, _keeper(options, text, memory))
        if content is not None:
            status = _replay(lesson, content, options)
        else:
            status = _at_piano(options, lesson, title)
    if memory.trouble:
        say_error(memory.trouble)
    return status


def _wishes(options: argparse.Namespace) -> "Wishes":
    """What the piano plays along, and how long. Raises `UsageError`."""
    from evaluator.excerpt.one_hand import OTHER
    from evaluator.live.lesson import Wishes

    parts = tuple(dict.fromkeys(options.parts or ("click",)))
    if "nothing" in parts:
        if len(parts) > 1:
            raise UsageError("--with nothing goes with no other --with.")
        parts = ()
    hands = [part for part in parts if part in OTHER]
    if len(hands) > 1:
        raise UsageError("The piano plays one hand along, not both: give one --with.")
    if hands and options.hand is None:
        options.hand = OTHER[hands[0]]
    return Wishes(parts, options.minutes * 60.0, counts=options.replay is None)


def _drills(options: argparse.Namespace, text: str) -> "list[Drill]":
    """What is practised: what was asked for, or what the history says; none if nothing is due.

    Raises `ChartError`, `UsageError`, `HistoryError`.
    """
    from evaluator.grading import prepare

    whole = prepare(text, chart_file=shown(options.chart))
    if options.bars is None and options.section is None:
        return [_drill(whole, place, options.hand) for place in _places(options, text)]
    chosen = whole.passage(bars=options.bars, section=options.section).graph
    numbers = [chosen.bars[index].number for index in chosen.written]
    return [_drill(whole, _known(options, text, numbers[0], numbers[-1]), options.hand)]


def _drill(whole: "Song", place: "Place", hand: "Hand | None") -> "Drill":
    from evaluator.live.drill import drill
    from evaluator.practise.ladder import ladder

    song = whole.passage(bars=f"{place.first}-{place.last}", section=None)
    goal = 60.0 / song.graph.bars[song.graph.written[0]].seconds_per_beat
    steps = ladder(goal, start=place.bpm, reached=place.reached)
    return drill(song, steps, hand=place.hand or hand, why=place.why)


def _places(options: argparse.Namespace, text: str) -> "Sequence[Place]":
    """What the history says. Raises `UsageError` where it says nothing."""
    from evaluator.history.places import places

    kept = _kept(options, text)
    whose = f" of {options.student}" if options.student else ""
    if not kept.entries and not kept.practised:
        raise UsageError(NOTHING_KNOWN.format(whose=whose))
    found = places(kept.entries, kept.practised, date.today())
    if not found:
        say(NOTHING_DUE.format(whose=whose))
    return found


def _known(options: argparse.Namespace, text: str, first: int, last: int) -> "Place":
    """A passage that was asked for, with what the history knows of it."""
    from evaluator.history.due import courses
    from evaluator.history.places import Place
    from evaluator.history.trouble import HistoryError

    place = Place(first, last, "", options.hand)
    try:
        known = courses(_kept(options, text).practised)
    except HistoryError as error:
        say_error(str(error))
        return place
    here = (one for one in known if (one.first, one.last, one.hand) == (first, last, place.hand))
    found = next(here, None)
    return place if found is None else replace(place, reached=found.reached)


def _kept(options: argparse.Namespace, text: str) -> "Reading":
    from evaluator.history.entry import hash_of
    from evaluator.history.place import history_file
    from evaluator.history.reading import read

    chart = hash_of(text.encode("utf-8"))
    return read(history_file(), chart=chart, student=options.student or "")


def _keeper(options: argparse.Namespace, text: str, memory: "Memory") -> "Callable[[Rung], None]":
    """What keeps a rung of a ladder in the history."""
    from evaluator.history.entry import hash_of
    from evaluator.history.practised import Practised
    from evaluator.live.clock import host_clock

    chart = hash_of(text.encode("utf-8"))
    replay = options.replay
    since = time.time() - host_clock() if replay is None else played_at(replay)

    def keep(rung: "Rung") -> None:
        if options.no_history:
            return
        drill = rung.drill
        numbers = [bar.number for bar in drill.bars]
        memory.keep_round(
            Practised(
                chart=chart,
                title=drill.whole.graph.title,
                chart_file=drill.whole.file,
                chart_bars=drill.whole.graph.count,
                student=options.student or "",
                first=numbers[0],
                last=numbers[-1],
                hand=drill.song.hand,
                began_at=since + rung.began,
                ended_at=since + rung.ended,
                bpm=rung.bpm,
                goal=drill.ladder.goal,
                times=rung.times,
                good=rung.good,
                in_a_row=rung.in_a_row,
            )
        )

    return keep


def _at_piano(options: argparse.Namespace, lesson: "Lesson", title: str) -> int:
    """Record the lesson as it is played."""
    from evaluator.live.clock import host_clock
    from evaluator.live.recorder import Task
    from evaluator.live.recover import journal_for
    from evaluator.show.lesson import lay_lesson, lesson_news

    folder = take_folder(options.save)
    recover_takes(folder)
    port = port_name(options.port)
    now = datetime.now()
    journal = journal_for(folder, f"{Path(options.chart).stem}-practice", now)
    facts = {
        "chart": shown(options.chart),
        "title": title,
        "began": now.isoformat(timespec="seconds"),
    }
    look = Look(lay_lesson, lesson_news, options.plain)
    recorded = record(lesson, Task(str(journal), port, click=True), facts, look, host_clock)
    if not options.plain and not recorded.leaving:
        _tell_again(lesson)
    if recorded.take is None:
        say("Nothing was played, so nothing was saved.")
    else:
        say(f"What was played is saved: {shown(str(recorded.take.path))}")
    return 1 if recorded.broke_off else 0


def _tell_again(lesson: "Lesson") -> None:
    """What was said, for who saw it come and go on the picture."""
    from evaluator.show.lesson import lesson_news
    from evaluator.show.live_screen import LineScreen, can_draw

    if sys.stdout is not None and can_draw(sys.stdout):
        lines = LineScreen(sys.stdout, lesson_news, wraps=True)
        for sentence in lesson.said:
            lines.tell(sentence)


def _replay(lesson: "Lesson", content: bytes, options: argparse.Namespace) -> int:
    """A recorded take as the lesson, as fast as it can be judged."""
    from evaluator.live.rehearsal import rehearse
    from evaluator.live.sound_file import as_midi
    from evaluator.show.lesson import lesson_news
    from evaluator.show.live_screen import LineScreen
    from evaluator.take.midi_file import read_take

    try:
        take = read_take(as_midi(content))
    except TakeError as error:
        raise TakeError(f"{shown(options.replay)}: {error}") from None
    stream = sys.stdout if sys.stdout is not None else open(os.devnull, "w")  # noqa: SIM115
    screen = LineScreen(stream, lesson_news, wraps=not options.plain)
    for page in rehearse(lesson, take, shown(options.replay)):
        screen.show(page)
    return 0
