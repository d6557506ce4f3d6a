"""Can any order of bars make the program fail?

    python -m tests.bench.cut_up                        # 1,000 takes by file, 200 live
    python -m tests.bench.cut_up --takes 50 --live 10 --from 7000

Nobody practises from the first bar to the last. These takes skip bars, go back for them,
loop a passage, jump anywhere and stop anywhere, in time, after a halt or broken off in
the middle of a bar; some of their notes are lost or struck by chance. They are takes of
the charts that come with the program and of invented songs, graded whole, as a passage or
for one hand, and told in every way in which a take can be told; live each is followed
turn by turn as it sounds, and reported at the end. Whatever raises is a failure, and is
shown with the number that plays it again. Exit status 1 if there was one.
"""

import argparse
import io
import sys
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import Final

from evaluator.chart import read_chart
from evaluator.chart.graph import BarGraph
from evaluator.errors import TakeError
from evaluator.excerpt.song import Song
from evaluator.grading import Graded, grade_fully, prepare
from evaluator.live.session import Session, Settings
from evaluator.report.json import to_json
from evaluator.show.live_page import LivePage, news
from evaluator.show.live_screen import LineScreen
from evaluator.show.pages import take_page
from evaluator.show.terminal import print_report
from evaluator.take.midi_file import read_take
from tests.bench.dice import Dice
from tests.bench.invent import invent
from tests.bench.students import HANDS
from tests.live.script import START
from tests.live.stage import entries_of, perform
from tests.playing import Fault, Note, Pause, Performance, Restart, play, to_midi

CHARTS: Final = tuple(sorted((Path(__file__).parents[2] / "charts").glob("*.txt")))
FIRST: Final = 50_000
"""Number of the first take that is reported."""
LONGEST: Final = 120
"""Bars of a take."""

_NEXT: Final = {"on": 4.0, "skip": 2.0, "back": 2.0, "loop": 1.0, "anywhere": 1.0, "stop": 0.7}
"""What comes after some bars have been played, by how often."""
_PARTED: Final = {"in time": 4.0, "halt": 2.0, "broken off": 3.0, "long halt": 0.5}
"""How it is reached."""


def cut_up(seed: int) -> tuple[str, BarGraph, Performance]:
    """A chart, and a take that plays pieces of it in some order; the same every time."""
    dice = Dice(seed, 15)
    text = dice.pick(CHARTS).read_text(encoding="utf-8") if dice.chance(0.4) else invent(seed)
    graph = read_chart(text)
    order, faults = pieces(graph, dice)
    hand = HANDS[dice.pick(list(HANDS))]
    take = play(
        graph,
        order,
        faults=faults,
        seed=seed,
        tempo=dice.between(*hand.tempo),
        jitter_ms=hand.jitter_ms,
        spread_ms=hand.spread_ms,
        wander_pct=hand.wander_pct,
        leaps=hand.leaps,
        pedal=dice.pick(("none", "changed", "kept")),
    )
    return text, graph, _spoilt(take, dice) if dice.chance(0.3) else take


def pieces(graph: BarGraph, dice: Dice) -> tuple[list[int], list[Fault]]:
    """Bars in the order of playing, and what parts them."""
    last = len(graph.written) - 1
    at = 0 if dice.chance(0.6) else dice.count(0, last)
    passage = at
    order: list[int] = []
    faults: list[Fault] = []
    while len(order) < LONGEST:
        played = graph.written[at : at + dice.count(1, dice.pick((2, 4, 12)))]
        order += (_or_beside(graph, bar, dice) for bar in played)
        then = dice.weigh(_NEXT)
        if then == "stop":
            break
        passage = passage if then == "loop" else at
        reached = at + len(played)
        onto = {
            "on": reached,
            "skip": reached + dice.count(1, 8),
            "back": reached - dice.count(1, 12),
            "loop": passage,
            "anywhere": dice.count(0, last),
        }[then]
        at = min(max(onto, 0), last)
        if then != "on" or dice.chance(0.1):
            faults += _parting(graph, order, dice)
    # The last bar has none to go on with.
    return order, [
        fault for fault in faults if fault.bar <= len(order) - isinstance(fault, Restart)
    ]


def _parting(graph: BarGraph, order: list[int], dice: Dice) -> list[Fault]:
    """What lies between the last bar so far and the next."""
    how = dice.weigh(_PARTED)
    if how == "in time":
        return []
    if how == "broken off":
        beats = float(graph.bars[order[-1]].beats)
        return [Restart(len(order), dice.between(0.1, 0.9) * beats, dice.between(0.3, 4.0))]
    seconds = dice.between(0.8, 3.0) if how == "halt" else dice.between(8.0, 40.0)
    return [Pause(len(order) + 1, 0.0, seconds)]


def _or_beside(graph: BarGraph, bar: int, dice: Dice) -> int:
    """The bar, or now and then one with which another way through its line begins."""
    ways = [way for way in graph.successors[bar] if graph.bars[way].alternative]
    return dice.pick(ways) if ways and dice.chance(0.1) else bar


def _spoilt(take: Performance, dice: Dice) -> Performance:
    """The take with some notes lost and some struck by chance."""
    lost = dice.between(0.0, 0.3)
    notes = [note for note in take.notes if not dice.chance(lost)]
    end = max(note.offset for note in take.notes)
    for _ in range(dice.count(0, len(take.notes) // 4)):
        at = dice.between(0.0, end)
        notes.append(Note(at, at + 0.3, dice.count(30, 95), dice.count(20, 110), "right"))
    notes = notes or list(take.notes[:1])
    return replace(take, notes=tuple(sorted(notes, key=lambda note: (note.onset, note.pitch))))


def song_of(text: str, graph: BarGraph, dice: Dice) -> Song:
    """What of the chart is graded: mostly all of it, else a passage, or one hand."""
    hand = dice.pick((None, None, None, "left", "right"))
    if dice.chance(0.8):
        return prepare(text, hand=hand)
    first = dice.count(1, graph.count)
    return prepare(text, hand=hand, bars=f"{first}-{min(graph.count, first + dice.count(0, 12))}")


def by_file(seed: int) -> None:
    """Grade the take and tell of it in every way."""
    text, graph, take = cut_up(seed)
    graded = grade_fully(song_of(text, graph, Dice(seed, 16)), to_midi(take), take_file="take.mid")
    _tell(graded)


def live(seed: int) -> None:
    """Follow the take as it sounds, then grade it."""
    text, _, take = cut_up(seed)
    song = prepare(text)
    raw = to_midi(take)
    read = read_take(raw)
    session = Session(song, Settings())
    screen = LineScreen(io.StringIO(), news)
    until = START + read.seconds + 60.0
    shown: LivePage | None = None
    for _, page in perform(session, entries_of(read), until=until):
        if page != shown:
            screen.show(page)
            shown = page
    session.finish(until)
    screen.show(session.page(until))
    _tell(grade_fully(song, raw, take_file="take.mid"))


def _tell(graded: Graded) -> None:
    to_json(graded.report)
    for plain in (False, True):
        print_report(graded.report, io.StringIO(), plain=plain)
    take_page(graded)


def failures(play_one: Callable[[int], None], seeds: Iterable[int]) -> Counter[str]:
    """How often what was raised; the first of each kind is shown."""
    found: Counter[str] = Counter()
    for seed in seeds:
        try:
            play_one(seed)
        except TakeError:
            continue  # a passage to which the take does not come
        except Exception as error:  # noqa: BLE001 - this is what is looked for
            place = traceback.extract_tb(error.__traceback__)[-1]
            kind = f"{type(error).__name__} in {Path(place.filename).name}, {place.name}"
            if kind not in found:
                print(f"take {seed}:", file=sys.stderr)
                traceback.print_exc()
            found[kind] += 1
    return found


def main() -> int:
    """Play them all; 1 if one failed."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.cut_up")
    parser.add_argument("--takes", type=int, default=1000, help="graded by file")
    parser.add_argument("--live", type=int, default=200, help="followed as they sound")
    parser.add_argument("--from", type=int, default=FIRST, dest="first", help="number of the first")
    given = parser.parse_args()
    warnings.simplefilter("error")
    failed = 0
    for name, play_one, takes in (("by file", by_file, given.takes), ("live", live, given.live)):
        began = time.process_time()
        found = failures(play_one, range(given.first, given.first + takes))
        took = time.process_time() - began
        print(f"{name}: {takes} cut-up takes, {found.total()} failures, {took:.0f} s")
        for kind, count in found.most_common():
            print(f"  {count:5} {kind}")
        failed += found.total()
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
