"""Was the pattern played, and in time?

That timing tolerances begin where listeners begin to hear (2.5 % of the beat): Friberg
and Sundberg (1995), JASA 98(5). Everything else is common practice, no source.
"""

from dataclasses import replace

import pytest

from evaluator.judge.verdict import RhythmVerdict, StrikeFault
from tests.judge.songs import SONG, judged, song, take
from tests.playing import Added, Early, Late, Missed, Pause, Performance, play


def rhythm(*faults, bar: int, **manner) -> RhythmVerdict:
    return take(*faults, **manner).bars[bar - 1].rhythm


def all_faults(**manner) -> list[StrikeFault]:
    return [fault for bar in take(**manner).bars for fault in bar.rhythm.faults]


def moved(performance: Performance, bar: int, hand: str, ms: float) -> Performance:
    """The take with the hand's first strike of a bar moved."""
    start = performance.truth.bars[bar - 1].start
    notes = tuple(
        replace(note, onset=note.onset + ms / 1000)
        if note.hand == hand and abs(note.onset - start) < 0.01
        else note
        for note in performance.notes
    )
    return replace(performance, notes=notes)


def test_an_exact_take_is_full_of_hits() -> None:
    found = rhythm(bar=1)
    assert (found.hits, found.faults, found.score) == (5, (), 1.0)


@pytest.mark.parametrize("hand", ["left", "right"])
def test_a_missed_strike_is_missed_at_its_beat(hand: str) -> None:
    beat = 2.0 if hand == "left" else 2.5
    found = rhythm(Missed(3, beat, hand), bar=3)
    assert found.faults == (StrikeFault("missed", beat, hand),)
    assert found.score == pytest.approx(0.8)


def test_late_and_early_strikes_are_told_in_milliseconds() -> None:
    late = rhythm(Late(3, 2.0, "left", 130), bar=3).faults
    early = rhythm(Early(3, 2.5, "right", 130), bar=3).faults
    assert [(one.kind, one.beat, one.hand) for one in late] == [("late", 2.0, "left")]
    assert [(one.kind, one.beat, one.hand) for one in early] == [("early", 2.5, "right")]
    assert late[0].ms == pytest.approx(130, abs=15)
    assert early[0].ms == pytest.approx(-130, abs=15)


def test_nothing_is_taken_off_below_what_can_be_heard() -> None:
    assert rhythm(Late(3, 2.0, "left", 15), bar=3).score == pytest.approx(1.0)


def test_a_chord_half_a_beat_late_is_late_and_not_missed_and_added() -> None:
    found = rhythm(Late(3, 3.0, "right", 250), bar=3).faults
    assert [one.kind for one in found] == ["late"]


def test_an_early_downbeat_is_no_strike_added_to_the_bar_before() -> None:
    performance = moved(play(song()), 5, "left", -140)
    verdict = judged(song(), performance)
    assert verdict.bars[3].rhythm.faults == ()
    assert [fault.kind for fault in verdict.bars[4].rhythm.faults] == ["early"]


def test_added_strikes_are_added_where_they_were_played() -> None:
    found = rhythm(Added(3, 1.75, "left"), Added(4, 1.75, "right"), bar=3)
    assert found.faults == (StrikeFault("added", 1.75, "left"),)
    assert found.score is not None
    assert 0.8 < found.score < 1.0


@pytest.mark.parametrize(("loudness", "length"), [(0.6, 0.5), (1.0, 0.08), (1.0, 0.5)])
def test_a_bass_once_more_is_added_however_softly_or_shortly(
    loudness: float, length: float
) -> None:
    performance = play(song(), faults=[Added(3, 1.75, "left")])
    at = performance.truth.bars[2].start + 1.75 * 60 / 96
    notes = tuple(
        replace(n, velocity=round(loudness * n.velocity), offset=n.onset + length)
        if abs(n.onset - at) < 0.01
        else n
        for n in performance.notes
    )
    found = judged(song(), replace(performance, notes=notes)).bars[2].rhythm.faults
    assert [(fault.kind, fault.hand) for fault in found] == [("added", "left")]


def test_a_bass_key_barely_touched_is_no_strike() -> None:
    performance = play(song(), faults=[Added(3, 1.75, "left")])
    at = performance.truth.bars[2].start + 1.75 * 60 / 96
    notes = tuple(
        replace(n, velocity=20, offset=n.onset + 0.05) if abs(n.onset - at) < 0.01 else n
        for n in performance.notes
    )
    assert judged(song(), replace(performance, notes=notes)).bars[2].rhythm.faults == ()


def test_an_added_chord_whose_notes_part_is_one_strike() -> None:
    performance = play(song(), faults=[Added(3, 1.75, "right")])
    at = performance.truth.bars[2].start + 1.75 * 60 / 96
    struck = [n for n in performance.notes if abs(n.onset - at) < 0.01]
    notes = tuple(
        replace(n, onset=n.onset + 0.07) if n is struck[-1] else n for n in performance.notes
    )
    found = judged(song(), replace(performance, notes=notes)).bars[2].rhythm.faults
    assert [fault.kind for fault in found] == ["added"]


def test_a_split_chord_is_one_strike() -> None:
    performance = play(song())
    start = performance.truth.bars[2].start
    first = [n for n in performance.notes if n.hand == "right" and n.onset > start - 0.01][:4]
    notes = tuple(
        replace(note, onset=note.onset + 0.1) if note in first[2:] else note
        for note in performance.notes
    )
    found = judged(song(), replace(performance, notes=notes)).bars[2].rhythm
    assert found.faults == ()


def test_human_unevenness_is_not_held_against_anybody() -> None:
    # 8 to 20 ms about the beat: professionals and good amateurs at a keyboard.
    assert all_faults(jitter_ms=8, seed=1) == []
    assert all_faults(jitter_ms=20, spread_ms=10, seed=2) == []


def test_an_uneven_take_is_not_full_of_accusations() -> None:
    assert len(all_faults(jitter_ms=35, seed=3)) <= 2
    assert take(jitter_ms=35, seed=3).marks["rhythm"] > 75


def test_a_late_strike_is_found_in_an_uneven_take() -> None:
    found = rhythm(Late(3, 2.0, "left", 130), bar=3, jitter_ms=15, seed=4).faults
    assert [fault.kind for fault in found] == ["late"]


SPARSE = """title: Barge
key: D major
meter: 6/8
tempo: 180
pattern row
  left  | x . . . . . |
  right | . . . x . . |
[Verse]
| D | A | Bm7 | G | x4
"""


@pytest.mark.parametrize(("hand", "beat"), [("left", 0.0), ("right", 3.0)])
def test_where_few_strikes_tell_the_time_a_late_one_does_not_set_it(hand: str, beat: float) -> None:
    late = Late(9, beat, hand, 150)
    found = take(late, graph=song(SPARSE), jitter_ms=10, wander_pct=1, seed=8).bars
    faults = [(bar.played, one.kind, one.hand) for bar in found for one in bar.rhythm.faults]
    assert faults == [(9, "late", hand)]


def test_a_fifth_of_a_second_late_is_late_however_short_the_beats_are() -> None:
    late = Late(9, 0.0, "left", 195)
    found = take(late, graph=song(SPARSE)).bars[8].rhythm.faults
    assert [(one.kind, one.hand) for one in found] == [("late", "left")]


def test_a_slow_or_a_wandering_tempo_is_no_mistake_of_rhythm() -> None:
    assert take(tempo=0.6).marks["rhythm"] == 100.0
    assert take(tempo=1.4).marks["rhythm"] == 100.0
    assert all_faults(wander_pct=4.0, seed=5) == []


def test_a_hand_that_always_leads_by_a_little_is_a_way_of_playing() -> None:
    performance = play(song())
    notes = tuple(
        replace(n, onset=n.onset - 0.05) if n.hand == "left" else n for n in performance.notes
    )
    verdict = judged(song(), replace(performance, notes=notes))
    assert [fault for bar in verdict.bars for fault in bar.rhythm.faults] == []


def test_rolled_chords_count_at_their_first_note() -> None:
    assert all_faults(rolled=1.0, seed=6) == []


def test_a_hesitation_is_told_as_that_and_not_as_a_late_hand() -> None:
    verdict = take(Pause(3, 2.0, 0.4))
    assert [fault for bar in verdict.bars for fault in bar.rhythm.faults] == []
    (halts,) = [one for one in verdict.touch.aspects if one.aspect == "hesitation"]
    assert (halts.count, halts.bars) == (1, (2,))


SWUNG = SONG.replace("tempo: 96", "tempo: 96\nfeel: swing 2:1").replace(
    "right | . . x . . x x .", "right | x x x x x x x x"
)


@pytest.mark.parametrize("ratio", [1.0, 1.7, 2.0, 3.0])
def test_in_a_swung_chart_the_takes_own_swing_is_the_yardstick(ratio: float) -> None:
    verdict = take(graph=song(SWUNG), swing=ratio, jitter_ms=6, seed=7)
    assert [fault for bar in verdict.bars for fault in bar.rhythm.faults] == []
    assert verdict.marks["rhythm"] > 97


def test_a_late_off_beat_is_found_in_a_swung_take() -> None:
    found = rhythm(Late(3, 1 + 2 / 3, "right", 130), bar=3, graph=song(SWUNG), swing=1.7).faults
    assert [(one.kind, one.hand) for one in found] == [("late", "right")]


@pytest.mark.parametrize("seed", range(3))
def test_an_inexact_follower_does_not_change_the_verdict(seed: int) -> None:
    performance = play(song(), faults=[Missed(3, 2.5, "right"), Late(6, 2.0, "left", 130)])
    verdict = judged(song(), performance, bar_line_ms=45, astray=0.15, seed=seed)
    found = [(bar.played, fault.kind) for bar in verdict.bars for fault in bar.rhythm.faults]
    assert found == [(3, "missed"), (6, "late")]
