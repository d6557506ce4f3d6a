"""What holds for any bytes at all, whoever made them?

Three promises, each a function of bytes that returns whether the bytes were accepted, and
fails if something else happens than being accepted or being refused in our own words:

midi     a MIDI file: the take has finite times in order, and keys that a keyboard has
chart    a chart text: mistakes have places; a song can be laid out, and a short one be
         played, judged and written
grade    any notes at all: the report's marks are marks, and the same bytes in give the
         same JSON out
"""

import json
from itertools import pairwise
from math import isfinite
from typing import Final

import numpy as np

from evaluator.chart import BarGraph, decode_chart, read_chart
from evaluator.errors import ChartError, TakeError, TextError
from evaluator.excerpt.song import Song
from evaluator.grading import grade_take, prepare
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.practise.guide import guide
from evaluator.report.json import to_json
from evaluator.take.gaps import gaps_in
from evaluator.take.midi_file import read_take
from evaluator.take.model import Take
from evaluator.take.strike import SAME_STROKE, strikes
from tests.take.build import midi, off, on

SHORT: Final = 12
"""Bars of a song that is short enough to be played thousands of times."""

SONGS: Final = tuple(
    "title: Tin Bird\ntempo: 120\n" + rest
    for rest in (
        "[A]\n| C | F | G7 | C |\n",
        "meter: 3/4\npattern turn\n left | x . . |\n right | . x x |\n"
        "[A]\n| Am | E/G# |\nor | Am |\n[B] optional\n| Dm | x2+\n[A]\n| <Am> |\n",
        "feel: swing 2:1\npattern lilt\n left | 1 . 5 8 |\n right | . x x . |\n"
        "[A]\n| N.C. | G Em | 2/4: D (Dsus4) | G | x2-4\n[B]\n| C#m7b5 / / F#7 |\n",
        "[A]\n | D | % |\n right | D4+F#4 A4,B4,C#5 - . | . |\n left | D2 | D3 D2 |\n",
    )
)
LATE: Final = 4.0
"""Seconds that the longest pause between two notes of `grade` takes."""


def take_or_refusal(raw: bytes) -> bool:
    """A MIDI file is read as a take that can be judged, or refused in a sentence."""
    gaps = gaps_in(raw)
    assert all(isfinite(gap.start) and gap.start <= gap.end for gap in gaps)
    try:
        take = read_take(raw)
    except TakeError as refusal:
        check_sentence(refusal)
        return False
    check_take(take)
    assert (take.channels != 9).all()
    return True


def check_sentence(refusal: TakeError) -> None:
    """A refusal is a whole sentence."""
    assert str(refusal).endswith(".")


def check_take(take: Take) -> None:
    """A keyboard can have sent it, in this order."""
    assert len(take) > 0
    for times in (take.onsets, take.offsets, take.pedal):
        assert np.isfinite(times).all()
        assert (times >= 0).all()
    assert (np.diff(take.onsets) >= 0).all()
    assert (take.offsets >= take.onsets).all()
    assert (np.diff(take.pedal.ravel()) >= 0).all()
    assert ((take.pitches >= 0) & (take.pitches <= 127)).all()
    assert ((take.velocities >= 1) & (take.velocities <= 127)).all()
    assert ((take.channels >= 0) & (take.channels <= 15)).all()
    assert all(repair.say.endswith(".") and "{" not in repair.say for repair in take.repairs)
    cut = strikes(take)
    inside = [note for strike in cut for note in strike.notes]
    assert len(inside) == len(set(inside))
    # The same stroke on another channel or track is in no strike of its own.
    struck = {(int(take.pitches[note]), round(float(take.onsets[note]), 9)) for note in inside}
    times: dict[int, list[float]] = {}
    for key, time in struck:
        times.setdefault(key, []).append(time)
    for note in set(range(len(take))) - set(inside):
        since = [float(take.onsets[note]) - time for time in times[int(take.pitches[note])]]
        assert any(one + 1e-6 >= 0 and one <= SAME_STROKE + 1e-6 for one in since)
    assert all(before.time <= after.time for before, after in pairwise(cut))


def song_or_refusal(raw: bytes) -> bool:
    """The bytes of a chart are a song that can be played and judged, or mistakes with places."""
    try:
        text = decode_chart(raw)
    except ChartError as error:
        check_refusal(error)
        return False
    return text_or_refusal(text)


def text_or_refusal(text: str) -> bool:
    """So is any text of a chart."""
    try:
        graph = read_chart(text)
    except ChartError as error:
        check_refusal(error)
        return False
    check_song(graph)
    if graph.count <= SHORT:
        check_graded(prepare(text), guide(graph, graph.written), STEADY)
    return True


def check_refusal(error: TextError) -> None:
    """Every mistake is said and has a place."""
    assert error.mistakes
    assert str(error)
    for mistake in error.mistakes:
        assert mistake.line >= 1
        assert 1 <= mistake.column <= len(mistake.source) + 1


def check_song(graph: BarGraph) -> None:
    """A song has a way from beginning to end, and its bars add up."""
    assert graph.count >= 1
    assert graph.starts
    assert graph.finals
    assert all(after < len(graph.bars) for ways in graph.successors for after in ways)
    for bar in graph.bars:
        assert sum(span.beats for span in bar.spans) == bar.beats
        assert all(0 <= strike.beat < bar.beats for strike in bar.strikes)


def report_of_anything(raw: bytes) -> bool:
    """Any notes are graded: the first byte chooses the song, every four make a note."""
    events = [(0, b"")]
    now = 0.0
    for place in range(1, len(raw) - 3, 4):
        since, pitch, loudness, length = raw[place : place + 4]
        now += LATE * (since / 255) ** 2
        until = now + LATE * (length / 255) ** 2
        key = pitch & 0x7F
        events += [(round(now * 1000), on(0, key, loudness & 0x7F)[1:])]
        events += [(round(until * 1000), off(0, key)[1:])]
    events.sort(key=lambda event: event[0])
    track = b"".join(
        on(after[0] - before[0], 0)[:-3] + after[1] for before, after in pairwise(events)
    )
    # 500 ticks a quarter at 120 a minute: a tick is a millisecond.
    song = prepared()[raw[0] % len(SONGS) if raw else 0]
    return check_graded(song, midi(track, division=500), STEADY)


def check_graded(song: Song, take: bytes, rubric: Rubric) -> bool:
    """Marks are marks, times are in order, and grading again says the very same."""
    try:
        report = grade_take(song, take, rubric=rubric)
    except TakeError as refusal:
        check_sentence(refusal)
        return False
    written = to_json(report)
    fields = json.loads(written)
    marks = [mark for mark in fields["scores"].values() if mark is not None]
    assert all(0 <= mark <= 100 for mark in marks)
    assert bool(marks) == fields["matches"]
    starts = [bar["start"] for bar in fields["bars"]]
    assert starts == sorted(starts)
    assert all(bar["start"] <= bar["end"] for bar in fields["bars"])
    assert to_json(grade_take(song, take, rubric=rubric)) == written
    return True


_PREPARED: list[Song] = []


def prepared() -> list[Song]:
    """The songs of `grade`, read once."""
    if not _PREPARED:
        _PREPARED.extend(map(prepare, SONGS))
    return _PREPARED
