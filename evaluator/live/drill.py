"""What is practised, and how far did it get?

A drill is one passage with the tempi that lead to the chart's; its course is what became of it
so far. Values and small sums, no clocks.
"""

from dataclasses import dataclass, replace
from typing import Final

from evaluator.chart.graph import Bar, Hand
from evaluator.excerpt.song import CutFrom, Song
from evaluator.practise.ladder import Ladder
from evaluator.practise.times import Asked, TimeThrough, asked
from evaluator.report.places import bar_numbers

PASSAGE: Final = "{bars} ({sections})"
ONE_HAND: Final = "{passage}, {hand} hand"


@dataclass(frozen=True, slots=True, eq=False)
class Drill:
    """A passage to be practised."""

    song: Song
    """The passage, for the hand that practises it,"""
    whole: Song
    """the song it is cut from, for who plays something else,"""
    score: tuple[Bar, ...]
    """and the bars of the passage with both hands, for what plays along."""
    ladder: Ladder
    why: str = ""
    """Why it is asked for, as a phrase; empty where somebody chose it."""

    @property
    def bars(self) -> list[Bar]:
        """The bars of the passage, in order."""
        return [self.song.graph.bars[index] for index in self.song.graph.written]

    @property
    def numbers(self) -> str:
        """`bars 5 and 6`."""
        return bar_numbers(bar.number for bar in self.bars)

    @property
    def label(self) -> str:
        """`bars 5 and 6 (Verse 1), right hand`."""
        sections = ", ".join(dict.fromkeys(bar.section for bar in self.bars))
        passage = PASSAGE.format(bars=self.numbers, sections=sections)
        hand = self.song.hand
        return passage if hand is None else ONE_HAND.format(passage=passage, hand=hand)


@dataclass(frozen=True, slots=True, eq=False)
class Rung:
    """The times through a passage at one step of its ladder. Host seconds."""

    drill: Drill
    bpm: int
    began: float
    ended: float
    times: int = 0
    good: int = 0
    row: int = 0
    """Good times in a row, the last ones,"""
    in_a_row: int = 0
    """and the most there were."""

    def after(self, one: TimeThrough, now: float) -> "Rung":
        """The same after one more time through."""
        row = self.row + 1 if one.good else 0
        return replace(
            self,
            ended=now,
            times=self.times + 1,
            good=self.good + one.good,
            row=row,
            in_a_row=max(row, self.in_a_row),
        )


def drill(song: Song, ladder: Ladder, *, hand: Hand | None = None, why: str = "") -> Drill:
    """A passage of a song to be practised, by one hand or both. Raises `UsageError`."""
    graph, whole = song.graph, Song(song.whole, song.file)
    score = tuple(graph.bars[index] for index in graph.written)
    # Who practises a passage does not play the song through: it is not looked for in there.
    song = replace(song, cut_from=CutFrom(graph, tuple(range(len(graph.bars)))))
    if hand is not None:
        song, whole = song.one_handed(hand), whole.one_handed(hand)
    return Drill(song, whole, score, ladder, why)


class Course:
    """How far one drill has got."""

    def __init__(self, drill: Drill, now: float) -> None:
        self.drill = drill
        self.ladder = drill.ladder
        self.rung = Rung(drill, self.ladder.bpm, now, now)
        self.times = self.good = 0

    @property
    def asked(self) -> Asked:
        """The passage at the present tempo."""
        return asked(self.drill.song.graph, self.ladder.bpm)

    @property
    def ratio(self) -> float:
        """Played seconds per written second at the present tempo."""
        return 1.0 / self.asked.share

    @property
    def beat(self) -> float:
        """Seconds of a beat of the first bar."""
        return 60.0 / self.ladder.bpm

    def after(self, one: TimeThrough, now: float) -> Rung:
        """One more time through is over; the rung with it."""
        self.times += 1
        self.good += one.good
        done = self.rung.after(one, now)
        before, self.ladder = self.ladder, self.ladder.after(good=one.good)
        self.rung = done
        if self.ladder.bpm != before.bpm:
            self.rung = Rung(self.drill, self.ladder.bpm, now, now)
        return done
