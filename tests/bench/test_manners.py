"""Players who play otherwise: what they play is the song, whatever their manner.

Common practice, no source: a chord is right if its tones sound and no others do, within
the time that the chart gives it; a bass is right if it is the lowest note.
"""

import re

import pytest

from evaluator.chart import read_chart
from evaluator.chart.graph import Span
from tests.bench.habits import Habits, bends, shaped
from tests.bench.kinds import KINDS, MIXED, play_kind, song_text, without_patterns
from tests.bench.strangers import OWN, STRANGERS, in_order
from tests.bench.students import Simulated
from tests.playing import Note
from tests.playing.strokes import Sound

SEED = 5
CHART = """
title: A row of chords
key: G major
tempo: 96
pattern plain
  left  | x . . . |
  right | . x x x |
[Verse] pattern plain
| G | D/F# | Em7 | C |
| G | Bm | C D | Em |
[Chorus]
| Am7 | D7 | G | Em |
| Am7 | D7 | C / / D | <G> |
"""
WITH_OTHER_TONES = {
    "a tune above the chords",
    "a tune, chords in the left",
    "a walking bass",
    "stride under a tune",
}
EARLY, LATE = 0.2, 0.45
"""Seconds by which a hand that is off, a search and a roll may displace a chord."""


@pytest.mark.parametrize("name", KINDS)
def test_one_seed_gives_one_take(name: str) -> None:
    first, second = (play_kind(name, SEED, faults=MIXED, chart_text=CHART) for _ in range(2))
    assert first.midi_bytes == second.midi_bytes
    assert first.truth == second.truth


@pytest.mark.parametrize("name", sorted(set(KINDS) - WITH_OTHER_TONES - {"pushed chords"}))
def test_every_chord_is_right_and_every_bass(name: str) -> None:
    take = play_kind(name, SEED, chart_text=CHART)
    for begin, end, span in _spans(take):
        assert span.chord is not None
        whole = {n.pitch % 12 for n in _between(take, begin - EARLY, end - EARLY)}
        within = {n.pitch % 12 for n in _between(take, begin + LATE, end - EARLY)}
        assert within <= span.allowed
        struck = _between(take, begin - EARLY, min(begin + LATE, end - EARLY))
        lowest = min(note.pitch for note in struck)
        assert lowest % 12 == span.bass
        if not KINDS[name].partly:
            assert span.chord.essential <= whole


def _between(take: Simulated, begin: float, end: float) -> list[Note]:
    return [note for note in take.performance.notes if begin <= note.onset < end]


@pytest.mark.parametrize("name", ["pushed chords", *sorted(WITH_OTHER_TONES)])
def test_under_a_tune_the_chords_are_there(name: str) -> None:
    take = play_kind(name, SEED, chart_text=CHART)
    for begin, end, span in _spans(take):
        inside = [n for n in take.performance.notes if begin - 0.6 <= n.onset < end]
        assert span.chord is not None
        assert span.chord.essential <= {n.pitch % 12 for n in inside}


def _spans(take: Simulated) -> list[tuple[float, float, Span]]:
    """Begin and end of each chord of the take in seconds."""
    found = []
    for true in take.truth.bars:
        bar = take.graph.bars[true.index]
        beat = (true.end - true.start) / float(bar.beats)
        for span in bar.spans:
            begin = true.start + float(span.beat) * beat
            found.append((begin, begin + float(span.beats) * beat, span))
    return found


def test_the_left_hand_adds_no_tone_that_the_chord_lacks() -> None:
    minor = Sound(frozenset({9, 0, 4}), 9, 9)
    assert shaped((45,), "tenth", minor) == (45, 60)
    assert shaped((45,), "fifth", minor) == (45, 52)
    assert shaped((45,), "chord", minor) == (45, 48, 52)
    over_third = Sound(frozenset({7, 11, 2}), 11, 11)
    assert shaped((47,), "fifth", over_third) == (47, 55)


def test_a_ritard_takes_the_last_four_bars_and_a_slow_section_one_section() -> None:
    bars = list(read_chart(CHART).bars)
    slower = bends(bars, Habits(bend="ritard", bent_to=0.5), _NoDice())
    assert slower[:12] == [1.0] * 12
    assert slower[12] > slower[13] > slower[14] > slower[15] == 0.5
    section = bends(bars, Habits(bend="section", bent_to=0.7), _NoDice())
    assert section == [0.7] * 8 + [1.0] * 8


class _NoDice:
    def pick(self, items):  # type: ignore[no-untyped-def]
        return items[0]


def test_a_chart_loses_its_patterns_and_nothing_else() -> None:
    bare = without_patterns(CHART)
    assert "pattern" not in bare
    with_them, without = read_chart(CHART), read_chart(bare)
    assert [b.spans for b in without.bars] == [b.spans for b in with_them.bars]
    assert not without.has_patterns


@pytest.mark.parametrize("name", STRANGERS)
def test_strangers_do_not_play_the_bars_of_the_chart(name: str) -> None:
    take = STRANGERS[name](3)
    right = 0
    for number in take.graph.written:
        span, true = take.graph.bars[number].spans[0], take.truth.bars
        place = take.graph.written.index(number)
        if place < len(true) and span.chord is not None:
            begin = true[place].start
            notes = _between(take, begin - 0.1, begin + 0.3)
            right += {note.pitch % 12 for note in notes} == set(span.chord.tones)
    assert right < 0.4 * len(take.graph.written)


def test_chords_at_random_need_no_bass_rules_of_the_song() -> None:
    assert "\nbass:" in song_text(5)
    assert STRANGERS["chords of the key at random"](5).chart_text == song_text(5)


@pytest.mark.parametrize("name", OWN)
def test_its_own_takes_are_of_eight_bars_or_more(name: str) -> None:
    assert len(OWN[name](3).truth.bars) >= 8


def test_three_chords_in_ten_are_wrong() -> None:
    takes = [OWN["three chords in ten wrong"](seed) for seed in range(6)]
    bars = [bar for take in takes for bar in take.truth.bars]
    wrong = [bar for bar in bars if re.search("WrongChord", str(bar.faults))]
    assert 0.2 < len(wrong) / len(bars) < 0.4


def test_in_three_bars_of_ten_both_hands_play_another_chord() -> None:
    for seed in range(1, 4):
        take = OWN["the same in both hands"](seed)
        bars = [take.graph.bars[at] for at in take.graph.written]
        wrong = 0
        for bar, true in zip(bars, take.truth.bars, strict=False):
            span = bar.spans[0]
            lowest = min(n.pitch for n in _between(take, true.start - 0.1, true.start + 0.3))
            wrong += span.bass is not None and lowest % 12 != span.bass
        assert 0.1 < wrong / len(bars) < 0.5


def test_bars_in_order_are_counted_past_what_lies_between() -> None:
    assert in_order("CGAF", "CxGyyAF") == 4
    assert in_order("CGAF", "FAGC") == 1


def test_a_hand_that_searches_begins_its_bars_late() -> None:
    late = play_kind("both hands search", SEED, chart_text=CHART)
    for true in late.truth.bars[:-1]:
        onsets = [note.onset for note in late.performance.notes]
        assert any(abs(onset - true.start) < 0.1 for onset in onsets)
