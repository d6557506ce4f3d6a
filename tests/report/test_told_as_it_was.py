"""Bars that nobody heard, halts and ruled basses are told as what they are, in every output. Our
own rules, no source."""

from dataclasses import replace

from evaluator.grading import Graded, grade_fully, prepare
from evaluator.judge.gaps import excused, unheard
from evaluator.report.layout import lay_out
from evaluator.show.page import Sheet
from evaluator.show.spoken import spoken
from evaluator.take.gaps import Gap
from tests.playing import Pause, WrongBass, play, to_midi

RULED = """\
title: Tin Bird
key: D major
tempo: 96
bass: D = F#
pattern p
 left  | x . . . x . . . |
 right | . . x . . x x . |
[A]
| A | D | G (Gadd9) | A |
| Bm | G | D | A |
| A | G | Bm | A |
"""


def graded(*faults: Pause | WrongBass) -> Graded:
    song = prepare(RULED)
    return grade_fully(song, to_midi(play(song.graph, faults=faults, jitter_ms=8)))


def test_a_bar_shows_the_bass_that_the_rule_wants_where_it_was_missed() -> None:
    found = graded(WrongBass(2, "D"))
    texts = {
        bar.number: bar.text
        for section in found.report.layout
        for line in section.lines
        for bar in line.bars
    }
    assert (texts[2], texts[7]) == ("D/F#", "D")


def test_a_halt_is_told_of_its_bar_when_it_is_read_aloud() -> None:
    lines = [
        "".join(text for text, _ in line)
        for line in spoken(graded(Pause(6, 0.0, 3.0)).report, Sheet(80))
    ]
    told = [line for line in lines if line.startswith("bar ") and "halt" in line]
    assert len(told) == 1
    assert "a halt of 3.0 seconds" in told[0]
    assert lines.count("bar 3, A: right") == 1


def test_bars_while_the_piano_was_away_are_not_left_out() -> None:
    found = graded()
    cut = replace(found.path, bars=(*found.path.bars[:4], *found.path.bars[6:]))
    gap = Gap(cut.bars[3].end - 0.5, cut.bars[4].start)
    path = unheard(cut, (gap,))
    bars = tuple(
        replace(verdict, played=at, judged=played.confidence > 0)
        for at, (verdict, played) in enumerate(
            zip((*found.judgement.bars[:4], *found.judgement.bars[6:]), path.bars, strict=True), 1
        )
    )
    judged = excused(found.song.graph, path, replace(found.judgement, bars=bars, form=()), (gap,))
    states = [
        bar.state
        for section in lay_out(found.song.graph, judged)
        for line in section.lines
        for bar in line.bars
    ]
    assert states == ["played"] * 4 + ["lost"] * 2 + ["played"] * 6
