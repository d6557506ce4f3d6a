"""The simulated students themselves: what they write down is what they play.

Common practice, no source, but for the file, which mido reads.
"""

import io
from itertools import pairwise

import mido
import pytest

from evaluator.chart import BarGraph, read_chart
from evaluator.theory.symbol import parse_chord
from tests.bench.invent import FEWEST, MOST, invent
from tests.bench.orders import sounds_legal
from tests.bench.students import HANDS, MANY, NONE, Faults, HandName, Simulated, simulate
from tests.playing import Added, Early, Late, Restart, Truth, WrongBass, WrongChord, play

SEEDS = range(4)
TAIL = """
title: Four times home
tempo: 100
pattern plain
  left  | x . x . |
  right | . x . x |
[Verse]
| G | A | Bm | A |
| D | x4
[Chorus]
| G | A | Bm | Em |
"""
FREE_TAIL = TAIL.replace("x4", "x2-4")


@pytest.fixture(scope="module")
def takes() -> list[Simulated]:
    return [simulate(seed, hand, faults=MANY) for seed in SEEDS for hand in HANDS]


def test_one_seed_gives_one_take() -> None:
    first, second = (simulate(3, "rough", faults=MANY) for _ in range(2))
    assert first.midi_bytes == second.midi_bytes
    assert first.truth == second.truth
    assert simulate(4, "rough", faults=MANY).midi_bytes != first.midi_bytes


@pytest.mark.parametrize("seed", range(25))
def test_invented_charts_can_be_read_and_have_the_length_of_songs(seed: int) -> None:
    assert FEWEST <= read_chart(invent(seed)).count <= MOST


def test_the_truth_survives_being_written_down(takes: list[Simulated]) -> None:
    for take in takes:
        assert Truth.from_json(take.truth.to_json()) == take.truth


def test_mido_reads_every_note_of_the_file(takes: list[Simulated]) -> None:
    for take in takes:
        file = mido.MidiFile(file=io.BytesIO(take.midi_bytes))
        struck = [m for m in file if m.type == "note_on" and m.velocity]
        notes = take.performance.notes
        assert len(struck) == len(notes)
        assert sorted(m.note for m in struck) == sorted(n.pitch for n in notes)
        assert file.length == pytest.approx(max(n.offset for n in notes), abs=1.0)


def test_bars_follow_one_another_without_overlap(takes: list[Simulated]) -> None:
    for take in takes:
        for bar in take.truth.bars:
            assert bar.start < bar.end
            assert bar.number == take.graph.bars[bar.index].number
        for before, after in pairwise(take.truth.bars):
            assert before.end <= after.start


def test_without_faults_every_step_is_legal_and_nothing_is_held_against_it() -> None:
    for seed in SEEDS:
        take = simulate(seed, "ordinary", faults=NONE)
        assert take.truth.complete
        assert {item.kind for item in take.truth.form} <= {"choice"}
        for before, after in pairwise(take.truth.bars):
            assert after.index in take.graph.successors[before.index]


@pytest.mark.parametrize(
    "faults",
    [
        Faults(bar_missing=3.0),
        Faults(line_missing=2.0),
        Faults(section_missing=2.0),
        Faults(tail_short=3.0),
    ],
)
def test_left_out_bars_make_an_illegal_order(faults: Faults) -> None:
    found = 0
    for seed in SEEDS:
        take = simulate(seed, "tidy", faults=faults)
        missing = [item for item in take.truth.form if item.kind == "missing"]
        if missing:
            assert not sounds_legal(take.graph, [bar.index for bar in take.truth.bars])
        for item in missing:
            at = next(p for p, bar in enumerate(take.truth.bars) if bar.start == item.at)
            before, after = take.truth.bars[at - 1], take.truth.bars[at]
            assert after.index not in take.graph.successors[before.index]
            assert item.count == len(item.bars)
        found += len(missing)
    assert found


def test_a_bar_less_in_a_counted_tail_is_heard_and_in_a_free_one_it_is_not() -> None:
    exact, free = read_chart(TAIL), read_chart(FREE_TAIL)
    short = [*range(7), *range(8, 12)]
    assert not sounds_legal(exact, short)
    assert sounds_legal(free, short)


def test_bars_played_again_are_told_with_their_count() -> None:
    takes = [simulate(s, "tidy", faults=Faults(bar_twice=2.0, line_twice=1.0)) for s in SEEDS]
    extra = [(take, item) for take in takes for item in take.truth.form if item.kind == "extra"]
    assert extra
    for take, item in extra:
        at = next(p for p, bar in enumerate(take.truth.bars) if bar.start == item.at)
        again = take.truth.bars[at : at + item.count]
        assert tuple(bar.number for bar in again) == item.bars
        assert take.truth.bars[at - 1].index == again[-1].index


def test_a_restart_takes_up_the_bar_or_the_line_that_it_names() -> None:
    takes = [simulate(s, "tidy", faults=Faults(restart_bar=1.0, restart_line=1.0)) for s in SEEDS]
    found = 0
    for take in takes:
        for item in (i for i in take.truth.form if i.kind == "restart"):
            at = next(p for p, bar in enumerate(take.truth.bars) if bar.start == item.at)
            broken, onto = take.truth.bars[at - 1], take.truth.bars[at]
            written = take.graph.bars[broken.index]
            assert broken.beats_played < written.beats
            assert onto.start - broken.end == pytest.approx(item.halt)
            first = written.place if item.detail == "line" else 0
            assert onto.number == broken.number - first
            found += 1
    assert found


def test_a_wrong_chord_has_a_tone_that_the_chart_does_not_allow(takes: list[Simulated]) -> None:
    found = 0
    for take in takes:
        for bar in take.truth.bars:
            for fault in bar.faults:
                if isinstance(fault, WrongChord):
                    span = take.graph.bars[bar.index].span_at(fault.beat)
                    assert span.chord is not None
                    assert parse_chord(fault.chord).tones - span.allowed
                    assert span.chord.essential - parse_chord(fault.chord).tones
                    found += 1
    assert found


def test_a_wrong_bass_is_what_the_left_hand_plays(takes: list[Simulated]) -> None:
    found = 0
    for take in takes:
        shift = take.truth.transposed
        for bar in take.truth.bars:
            moved = any(isinstance(f, Early | Late) for f in bar.faults)
            for fault in bar.faults:
                if isinstance(fault, WrongBass) and fault.beat == 0 and not moved:
                    first = min(
                        (n for n in take.performance.notes if n.hand == "left"),
                        key=lambda n: abs(n.onset - bar.start),
                    )
                    assert (first.pitch - shift) % 12 == parse_chord(fault.bass).root.pc
                    found += 1
    assert found


GRIND = TAIL.replace("| x . x . |", "| 1 3 5 8 1 3 5 8 1 3 5 8 1 3 5 8 |").replace(
    "| . x . x |", "| . . . . . . . . . . . . . . . . |"
)


def test_unevenness_never_lets_strikes_change_places() -> None:
    graph = read_chart(GRIND)
    take = play(graph, jitter_ms=60.0, tempo=1.8)
    wanted = [
        tone
        for index in graph.written
        for s in graph.bars[index].strikes
        for tone in s.pitch_classes
    ]
    assert [note.pitch % 12 for note in take.notes] == wanted


@pytest.mark.parametrize("kind", [Early, Late])
def test_an_early_or_late_strike_is_off_by_what_it_says(kind: type[Early] | type[Late]) -> None:
    graph = read_chart(TAIL)
    even = play(graph)
    moved = play(graph, faults=[kind(2, 2.0, "left", 150.0)])
    differing = [
        (b.onset - a.onset) * 1000
        for a, b in zip(even.notes, moved.notes, strict=True)
        if b.onset != a.onset
    ]
    assert differing == [pytest.approx(150.0 if kind is Late else -150.0)]


def test_early_and_late_strikes_keep_away_from_their_neighbours(takes: list[Simulated]) -> None:
    for take in takes:
        for bar in take.truth.bars:
            written = take.graph.bars[bar.index]
            spb = written.seconds_per_beat / take.truth.tempo
            for fault in bar.faults:
                if isinstance(fault, Early | Late):
                    others = {float(s.beat) for s in written.strikes} - {fault.beat}
                    gap = min(abs(other - fault.beat) for other in others | {float(written.beats)})
                    assert 120 <= fault.ms <= 1000 * 0.45 * gap * spb + 1


def test_an_added_strike_stands_where_the_bar_has_none() -> None:
    # Seed 4 is swung: its off-beats are thirds, which no sum of floats hits exactly.
    for seed in (4, 23):
        take = simulate(seed, "tidy", faults=MANY)
        for bar in take.truth.bars:
            beats = [float(strike.beat) for strike in take.graph.bars[bar.index].strikes]
            added = [fault.beat for fault in bar.faults if isinstance(fault, Added)]
            assert all(abs(one - beat) > 0.01 for one in added for beat in beats)


@pytest.mark.parametrize("hand", HANDS)
def test_a_rougher_hand_is_further_from_its_places(hand: HandName, takes: list[Simulated]) -> None:
    names = list(HANDS)
    if hand != names[0]:
        assert HANDS[hand].jitter_ms > HANDS[names[names.index(hand) - 1]].jitter_ms
    slow, fast = HANDS[hand].tempo
    for take in takes[names.index(hand) :: len(names)]:
        assert slow - 1e-9 <= take.truth.tempo <= fast


def test_a_restart_cannot_be_the_end() -> None:
    graph: BarGraph = read_chart(TAIL)
    with pytest.raises(ValueError, match="needs a bar to go on with"):
        play(graph, faults=[Restart(12, 2.0, 1.0)])
