"""In what manner does each hand play? Common practice of accompaniment, no source."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from evaluator.chart.graph import Bar, ExpectedStrike, Hand
from evaluator.judge import Judgement
from evaluator.judge.rubric import Rubric
from evaluator.judge.struck import struck_bars
from evaluator.take.strike import strikes
from tests.judge.otherwise import hand_later, played_as
from tests.judge.songs import HEAD, song
from tests.judge.truth_path import judged, take_of, truth_path
from tests.playing import Missed, WrongBass, WrongChord, play

TEXT = HEAD + (
    "[Verse]\n| D | A | Bm7 | G |\n| D (Dsus2) | A | G | A |\n"
    "[Chorus]\n| G | D/F# | Em7 | D |\n| D | A | G | D |\n[Verse]\n"
)
"""The left hand in halves, the right hand off them."""
HUMAN = {"jitter_ms": 15, "spread_ms": 10, "uneven": 8, "seed": 3}


def otherwise(left: str, right: str, *faults: Any, **manner: Any) -> Judgement:
    graph = song(TEXT)
    wanted: dict[Hand, str] = {}
    if left != "pattern":
        wanted["left"] = left
    if right != "pattern":
        wanted["right"] = right
    plays = played_as(graph, wanted)
    return judged(graph, play(plays, faults=faults, **{**HUMAN, **manner}))


def manners(verdict: Judgement) -> set[tuple[str, str]]:
    return {(one.hand, one.manner) for bar in verdict.bars for one in bar.rhythm.otherwise}


def words(verdict: Judgement) -> set[str]:
    return {word for bar in verdict.bars for word in (bar.chord.word, bar.bass.word)}


@pytest.mark.parametrize(
    ("left", "right", "told"),
    [
        ("whole", "whole", {("left", "once"), ("right", "once")}),
        ("pattern", "halves", {("right", "halves")}),
        ("whole", "quarters", {("left", "once"), ("right", "quarters")}),
        ("pattern", "eighths", {("right", "eighths")}),
        ("pattern", "broken", {("right", "broken")}),
        ("eighths", "pattern", {("left", "eighths")}),
        ("pattern", "pattern", set()),
    ],
)
def test_another_manner_is_heard_and_accuses_of_nothing(
    left: str, right: str, told: set[tuple[str, str]]
) -> None:
    verdict = otherwise(left, right)
    assert manners(verdict) == told
    assert words(verdict) == {"right"}
    assert [fault for bar in verdict.bars for fault in bar.rhythm.faults] == []


def test_another_manner_costs_what_the_rubric_says_and_no_more() -> None:
    bar = otherwise("whole", "whole").bars[2]
    assert bar.rhythm.score == pytest.approx(0.8)
    graph = song(TEXT)
    one = otherwise("pattern", "quarters", jitter_ms=0, spread_ms=0).bars[2]
    wanted = [strike.hand for strike in graph.bars[2].strikes]
    share = wanted.count("right") / len(wanted)
    assert one.rhythm.score == pytest.approx(1 - 0.2 * share, abs=0.01)
    assert Rubric(counts=frozenset()).price_of_other_rhythm == 0.0


def test_each_section_has_its_own_manner() -> None:
    graph = song(TEXT)
    plays = played_as(graph, {"right": "eighths"}, sections=frozenset({1}))
    verdict = judged(graph, play(plays, **HUMAN))
    here = [bar.played for bar in verdict.bars if bar.rhythm.otherwise]
    assert here == list(range(9, 17))


def test_the_pattern_with_a_strike_left_out_is_still_the_pattern() -> None:
    faults = [Missed(bar, 3.0, "right") for bar in range(1, 9)]
    verdict = judged(song(TEXT), play(song(TEXT), faults=faults, **HUMAN))
    assert manners(verdict) == set()
    assert [f.kind for bar in verdict.bars[:8] for f in bar.rhythm.faults] == ["missed"] * 8


def test_a_wrong_chord_and_a_wrong_bass_are_heard_in_any_manner() -> None:
    faults = (WrongChord(3, "E"), WrongBass(6, "E"))
    for right in ("whole", "eighths", "broken"):
        verdict = otherwise("whole", right, *faults)
        found = [bar.played for bar in verdict.bars if bar.chord.word != "right"]
        assert found == [3]
        assert [bar.played for bar in verdict.bars if bar.bass.word != "right"] == [6]


@pytest.mark.parametrize("hand", ["left", "right"])
@pytest.mark.parametrize("seconds", [-0.1, 0.12, 0.15])
def test_a_hand_that_is_always_behind_the_other_is_only_that(hand: Hand, seconds: float) -> None:
    graph = song(TEXT)
    performance = hand_later(play(graph, start=2.0, **HUMAN), hand, seconds)
    verdict = judged(graph, performance)
    assert manners(verdict) == set()
    assert words(verdict) == {"right"}
    assert [fault for bar in verdict.bars for fault in bar.rhythm.faults] == []
    (apart,) = [one for one in verdict.touch.aspects if one.aspect == "together"]
    assert apart.matters
    assert apart.value == pytest.approx(1000 * (seconds if hand == "left" else -seconds), abs=15)


def test_hands_that_are_together_are_not_held_to_be_behind() -> None:
    graph = song(TEXT)
    performance = play(graph, **HUMAN)
    take = take_of(performance)
    struck = strikes(take)
    found = struck_bars(graph, take, struck, truth_path(graph, performance, struck))
    assert set(found.late.values()) == {0.0}


def test_chords_pushed_an_eighth_ahead_are_the_next_ones() -> None:
    """Both hands strike every chord half a beat before its bar; the first in time."""
    # The bass of each bar is a tone of the chord before, so only the bass tells them apart.
    graph = song(HEAD.replace("bass: A = C#\n", "") + "[Verse]\n| D | Bm7 | D | F#m | A | D |\n")
    performance = play(played_as(graph, {"left": "whole", "right": "whole"}), start=2.0, **HUMAN)
    ahead = 0.5 * 60 / 96
    second = performance.truth.bars[1].start - 0.2
    notes = tuple(
        replace(note, onset=note.onset - ahead) if note.onset > second else note
        for note in performance.notes
    )
    verdict = judged(graph, replace(performance, notes=notes))
    assert words(verdict) == {"right"}


ENDING = TEXT.replace(
    "[Verse]\n| D | A", "pattern held\n  left  | x . . . |\n  right | x . . . |\n\n[Verse]\n| D | A"
)
ENDING += "[Ending] pattern held\n| G | A | D | D |\n"


def test_a_manner_that_is_the_patterns_own_is_none() -> None:
    """A last line in whole notes: who plays whole notes throughout plays its pattern there."""
    graph = song(ENDING)
    plays = played_as(graph, {"left": "whole", "right": "whole"})
    verdict = judged(graph, play(plays, **HUMAN))
    other = {graph.bars[bar.bar].section for bar in verdict.bars if bar.rhythm.otherwise}
    assert other == {"Verse 1", "Chorus", "Verse 2"}


WALTZ = """title: Waltz
meter: 3/4
tempo: 120

pattern lilt
  count | 1 . 2 . 3 . |
  left  | x . . . . . |
  right | . . x . x . |

[Verse]
| C / D | G / Em | C / D | G |
| C / D | G / Em | Am / D | G |
"""


def test_a_chord_broken_where_the_pattern_has_the_next_one_is_no_chord_missing() -> None:
    graph = song(WALTZ)

    def lilted(bar: Bar) -> Bar:
        first = bar.spans[0]
        tones = [first.chord.degree(degree) for degree in (1, 3, 5)] if first.chord else []
        broken = [
            ExpectedStrike(first.beat + Fraction(at, 3), "right", frozenset({tone}), "tone", 0)
            for at, tone in enumerate(tones * int(first.beats))
            if tone is not None
        ]
        kept = [one for one in bar.strikes if one.hand == "left" or one.span > 0]
        return replace(bar, strikes=tuple(sorted([*kept, *broken], key=lambda one: one.beat)))

    plays = replace(graph, bars=tuple(map(lilted, graph.bars)))
    verdict = judged(graph, play(plays, **HUMAN))
    assert {bar.chord.word for bar in verdict.bars} == {"right"}
