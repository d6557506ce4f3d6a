"""Ornaments as music21 plays them (`realizeOrnaments`) are no mistakes under their signs."""

from dataclasses import replace

import pytest
from music21 import expressions, note

from evaluator.chart import read_chart
from tests.judge.truth_path import judged
from tests.playing import Note, play

BEAT = 60 / 76
SIGNS = [
    (expressions.Trill, "tr"),
    (expressions.InvertedTrill, "tr"),
    (expressions.Mordent, "mord"),
    (expressions.InvertedMordent, "mord"),
    (expressions.Turn, "turn"),
    (expressions.InvertedTurn, "turn"),
]


@pytest.mark.parametrize(("ornament", "sign"), SIGNS)
def test_played_as_music21_plays_it(ornament, sign):
    graph = read_chart(
        "title: Spindle Tune\ntempo: 76\n\n[A]\n"
        "        | C           | C | C           |\n"
        f"  right | C5 D5 E5 D5 | E5 A5~{sign} E5 C5 | C5 D5 E5 D5 |\n"
        "  left  | C3 G3 E3 G3 | C3 G3 E3 G3 | C3 G3 E3 G3 |\n"
    )
    written = note.Note("A5", quarterLength=1)
    written.expressions.append(ornament())
    performance = play(graph)
    at = performance.truth.bars[1].start + BEAT
    notes = [one for one in performance.notes if one.pitch != 81]
    realized = written.expressions[0].realize(written, inPlace=False)
    for played in [*realized[0], *([realized[1]] if realized[1] else []), *realized[2]]:
        seconds = float(played.quarterLength) * BEAT
        notes.append(Note(at, at + seconds, played.pitch.midi, 70, "right"))
        at += seconds
    assert len(notes) > len(performance.notes)
    notes.sort(key=lambda one: one.onset)
    judgement = judged(graph, replace(performance, notes=tuple(notes)))
    assert {bar.chord.word for bar in judgement.bars} == {"right"}
    assert not [fault for bar in judgement.bars for fault in bar.rhythm.faults]
