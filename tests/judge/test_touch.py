"""How was it played, beside what was played?

The window of eight beats: Sogorski, Geisel, Priesemann (2018), arXiv 1710.05608. The rest
is common practice, no source, unless it stands beside the check.
"""

import math
import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from evaluator.judge import Judgement, judge
from evaluator.judge.rubric import COUNTABLE, STEADY, Rubric
from evaluator.judge.touch.curves import CURVES, Curve
from evaluator.judge.verdict import TouchAspect, TouchVerdict
from evaluator.take.strike import strikes
from tests.judge.songs import SONG, order, song, take
from tests.judge.truth_path import take_of, truth_path
from tests.playing import Late, Note, Pause, PedalMove, Performance, Restart, play

WALTZ = """title: Slow Boat
key: C major
meter: 3/4
tempo: 100

[A]
        | C              | F              | G              | C        |
  right | C5 D5 E5       | F5 E5 D5       | B4 C5 D5       | C5       |
  left  | C3+E3 . C3+E3  | F3+A3 . F3+A3  | G3+B3 . G3+B3  | C3+E3    |
        | C              | F              | G              | C        |
  right | C5 D5 E5       | F5 E5 D5       | B4 C5 D5       | C5       |
  left  | C3+E3 . C3+E3  | F3+A3 . F3+A3  | G3+B3 . G3+B3  | C3+E3    |
"""

Change = Callable[[Note], Note]


def _steps() -> int:
    """From strike to strike of the song, as far as its last two bars."""
    graph = song()
    return sum(len({one.beat for one in graph.bars[bar].strikes}) for bar in graph.written[:-2]) - 1


STEPS = _steps()


def aspect(judgement: Judgement, name: TouchAspect) -> TouchVerdict:
    return next(one for one in judgement.touch.aspects if one.aspect == name)


def judged(performance: Performance, *, text: str | None = None, rubric: Rubric = STEADY):
    graph = song(text) if text else song()
    recorded = take_of(performance)
    struck = strikes(recorded)
    path = truth_path(graph, performance, struck)
    return judge(graph, recorded, struck, path, rubric=rubric)


def changed(change: Change, *, text: str | None = None, **manner) -> Judgement:
    """A take with every note changed."""
    performance = play(song(text) if text else song(), **manner)
    notes = tuple(sorted(map(change, performance.notes), key=lambda one: (one.onset, one.pitch)))
    return judged(replace(performance, notes=notes), text=text)


def bent(performance: Performance, when: Callable[[float], float]) -> Performance:
    """The same with its time bent."""
    notes = tuple(
        replace(note, onset=when(note.onset), offset=when(note.offset))
        for note in performance.notes
    )
    bars = tuple(
        replace(bar, start=when(bar.start), end=when(bar.end)) for bar in performance.truth.bars
    )
    return replace(performance, notes=notes, truth=replace(performance.truth, bars=bars))


def by_hand(left: int, right: int) -> Change:
    """Loudness by hand, a little up and down as fingers do."""

    def change(note: Note) -> Note:
        loud = left if note.hand == "left" else right
        return replace(note, velocity=loud + int(note.onset * 7) % 3 - 1)

    return change


def test_an_exact_take_has_full_marks() -> None:
    touch = take().touch
    assert touch.mark == 100.0
    assert not any(one.matters for one in touch.aspects)


def test_every_aspect_has_a_unit_and_a_place_in_the_list() -> None:
    aspects = take().touch.aspects
    assert [one.aspect for one in aspects] == list(CURVES)
    assert all(one.unit for one in aspects)


def test_a_halt_is_a_hesitation_with_its_length_and_its_bar() -> None:
    found = aspect(take(Pause(6, 2.0, 1.5)), "hesitation")
    assert (found.count, found.bars) == (1, (5,))
    assert found.seconds == pytest.approx(1.5, abs=0.05)
    assert found.mark is not None
    assert found.mark < 100.0


def test_more_time_lost_costs_more() -> None:
    once = take(Pause(6, 2.0, 1.0)).touch
    twice = take(Pause(6, 2.0, 1.0), Pause(12, 2.0, 2.0)).touch
    assert twice.mark is not None
    assert once.mark is not None
    assert twice.mark < once.mark < 100.0


def test_a_halt_is_one_step_astray_and_does_not_make_the_tempo_unsteady() -> None:
    found = take(Pause(6, 2.0, 1.5))
    assert aspect(found, "evenness").value == pytest.approx(100 / STEPS, abs=0.05)
    assert aspect(found, "steadiness").mark == 100.0


def test_the_time_before_a_restart_counts_as_hesitating() -> None:
    graph = song()
    again = take(Restart(3, 2.0, 2.0), bars=order(graph, 1, 2, 3, 3, *range(4, 28)))
    assert aspect(again, "hesitation").count == 1


def test_to_begin_anew_one_may_take_ones_time() -> None:
    graph = song()
    bars = order(graph, *range(1, 5), *range(1, 28))
    assert aspect(take(Restart(4, 4.0, 3.0), bars=bars), "hesitation").count == 0


def test_a_slower_tempo_is_measured_and_costs_nothing() -> None:
    slow = take(tempo=0.8)
    assert aspect(slow, "tempo").value == pytest.approx(-20.0, abs=0.2)
    assert aspect(slow, "tempo").matters is False
    assert slow.touch.mark == 100.0


def test_where_no_tempo_is_asked_for_nobody_is_slow_or_fast() -> None:
    about = song(SONG.replace("tempo: 96", "tempo: about 96"))
    slow = take(graph=about, tempo=0.6)
    assert aspect(slow, "tempo").value == pytest.approx(-40.0, abs=0.5)
    assert aspect(slow, "tempo").mark is None
    assert not aspect(slow, "tempo").matters


def test_a_tempo_far_off_is_said() -> None:
    assert aspect(take(tempo=0.6), "tempo").matters


def test_a_tempo_that_wanders_is_told_by_its_ends() -> None:
    graph = song()
    bars = tuple(graph.written)
    steady = play(graph, bars)
    middle = steady.truth.bars[len(bars) // 2].start

    def slower(at: float) -> float:
        return at if at < middle else middle + (at - middle) * 1.15

    found = judged(bent(steady, slower))
    wander = aspect(found, "steadiness")
    assert wander.between is not None
    slow, fast = wander.between
    assert fast / slow == pytest.approx(1.15, abs=0.01)
    assert wander.matters


def test_the_scatter_of_players_is_music() -> None:
    # Players scatter by some 20 ms (Repp 1997).
    assert aspect(take(jitter_ms=25.0), "evenness").mark == 100.0


def test_a_ritard_and_a_swung_eighth_are_music() -> None:
    def swung(note: Note) -> Note:
        beat = 60 / 96
        off = abs(note.onset / beat % 1 - 0.5) < 0.05
        shift = beat / 6 if off else 0.0
        return replace(note, onset=note.onset + shift, offset=note.offset + shift)

    def broader(note: Note) -> Note:
        late = max(0.0, note.onset - 60.0)
        shift = 0.02 * late**2
        return replace(note, onset=note.onset + shift, offset=note.offset + shift)

    assert aspect(changed(swung), "evenness").mark == 100.0
    assert aspect(changed(broader), "evenness").mark == 100.0


def lingering(*longer: float) -> Judgement:
    """The steps of the waltz from its third bar on take so many times as long."""
    performance = play(song(WALTZ))
    beat, begins = 60 / 100, performance.truth.bars[2].start

    def slower(at: float) -> float:
        lost = [(factor - 1) * beat for factor in longer]
        passed = [min(max((at - begins) / beat - step, 0.0), 1.0) for step in range(len(longer))]
        return at + sum(more * share for more, share in zip(lost, passed, strict=True))

    return judged(bent(performance, slower), text=WALTZ)


def test_a_slowing_down_over_several_steps_is_rubato_and_one_long_step_a_hesitation() -> None:
    assert aspect(lingering(1.0, 1.6), "hesitation").count == 1
    assert aspect(lingering(1.3, 1.6, 1.4), "hesitation").count == 0


def test_to_stop_twice_in_a_row_is_no_rubato() -> None:
    assert aspect(lingering(2.5, 2.5), "hesitation").count == 2


def test_another_note_value_is_astray() -> None:
    halved = take(*(Late(bar, 2.0, "left", 250) for bar in (6, 12)))
    # Each late strike makes the step to it too long and the next too short.
    assert aspect(halved, "evenness").value == pytest.approx(400 / STEPS, abs=0.2)


def test_a_hand_that_comes_later_is_named_by_the_sign() -> None:
    def late(note: Note) -> Note:
        shift = 0.04 if note.hand == "left" else 0.0
        return replace(note, onset=note.onset + shift, offset=note.offset + shift)

    found = changed(late, text=WALTZ)
    assert aspect(found, "together").value == pytest.approx(40.0, abs=1.0)


def test_a_left_hand_louder_than_the_chords_of_the_right_is_out_of_balance() -> None:
    assert aspect(changed(by_hand(60, 60)), "balance").mark == 100.0
    loud = aspect(changed(by_hand(80, 60)), "balance")
    assert loud.value == pytest.approx(20.0, abs=1.5)
    assert loud.matters


def test_a_loud_left_hand_among_chords_is_said_and_costs_nothing() -> None:
    loud = changed(by_hand(90, 40))
    assert "balance" not in loud.touch.counted
    assert loud.touch.mark == 100.0


def test_a_loud_left_hand_under_a_melody_is_said_and_costs_nothing() -> None:
    loud = changed(by_hand(80, 60), text=WALTZ)
    assert aspect(loud, "balance").matters
    assert loud.touch.mark == 100.0


def test_a_left_hand_as_loud_as_the_melody_is_left_to_the_teacher() -> None:
    assert not aspect(changed(by_hand(60, 60), text=WALTZ), "balance").matters


def test_keys_that_do_not_feel_loudness_tell_no_balance() -> None:
    graph = song(WALTZ)
    assert aspect(judged(play(graph), text=WALTZ), "balance").value is None


def test_a_melody_of_one_loudness_is_told_and_one_that_rises_and_falls_is_not() -> None:
    def swelling(note: Note) -> Note:
        return replace(note, velocity=round(60 + 15 * math.sin(note.onset / 3)))

    flat = aspect(changed(by_hand(50, 70), text=WALTZ), "loudness")
    assert (flat.hand, flat.matters) == ("right", True)
    assert not aspect(changed(swelling, text=WALTZ), "loudness").matters


def test_chords_need_not_rise_and_fall() -> None:
    assert aspect(changed(by_hand(50, 70)), "loudness").value is None


def of_length(share: float, *, text: str, **manner) -> Judgement:
    """Every note held for a share of its time to the next one."""

    def held(note: Note) -> Note:
        return replace(note, offset=note.onset + share * 0.6)

    return changed(held, text=text, **manner)


def test_written_notes_that_are_cut_short_are_told_unless_the_pedal_holds_them() -> None:
    found = aspect(of_length(0.2, text=WALTZ), "length")
    assert found.value is not None
    assert found.value < 50.0
    assert found.matters
    assert not aspect(of_length(0.2, text=WALTZ, pedal="changed"), "length").matters
    assert not aspect(of_length(0.9, text=WALTZ), "length").matters


def test_a_rest_that_is_written_cuts_nothing_short() -> None:
    # The left hand has a rest on the second beat of every bar: to its next chord it sounds for
    # less than half of the time.
    assert not aspect(changed(lambda note: note, text=WALTZ, length=0.8), "length").matters


def test_a_pattern_does_not_say_how_long_its_strikes_are() -> None:
    assert aspect(take(length=0.2), "length").value is None


REPEATED = """title: Slow Boat
key: C major
meter: 3/4
tempo: 100

[A]
        | C              | F              | G              | C        |
  right | C5 C5 C5       | F5 F5 D5       | B4 D5 D5       | C5       |
  left  | C3+E3 . C3+E3  | F3+A3 . F3+A3  | G3+B3 . G3+B3  | C3+E3    |
        | C              | F              | G              | C        |
  right | E5 E5 E5       | F5 A5 A5       | G5 G5 G5       | C5       |
  left  | C3+E3 . C3+E3  | F3+A3 . F3+A3  | G3+B3 . G3+B3  | C3+E3    |
"""


def test_repeated_notes_that_are_detached_are_told_unless_the_pedal_holds_them() -> None:
    found = aspect(of_length(0.4, text=REPEATED), "repeats")
    assert (found.hand, found.matters) == ("right", True)
    assert found.value == pytest.approx(60.0, abs=2.0)
    assert not aspect(of_length(0.4, text=REPEATED, pedal="changed"), "repeats").matters
    assert not aspect(of_length(0.85, text=REPEATED), "repeats").matters


def test_few_repeated_notes_or_dotted_ones_tell_nothing() -> None:
    assert aspect(of_length(0.4, text=WALTZ), "repeats").value is None
    dotted = re.sub(r"([A-G]5)", r"\1~short", REPEATED)
    assert aspect(of_length(0.4, text=dotted), "repeats").value is None


def test_staccato_that_is_held_is_told_and_staccato_that_is_short_is_not() -> None:
    dotted = re.sub(r"([A-G]3\+[A-G]3)", r"\1~short", WALTZ)
    held = aspect(of_length(0.9, text=dotted), "length")
    assert (held.hand, held.matters) == ("left", True)
    assert held.value is not None
    assert held.value > 50.0

    def light(note: Note) -> Note:
        share = 0.3 if note.hand == "left" else 0.95
        return replace(note, offset=note.onset + share * 0.6)

    assert not aspect(changed(light, text=dotted), "length").matters


def test_pedal_held_through_the_changes_of_chord_blurs() -> None:
    performance = play(song())
    end = max(note.offset for note in performance.notes)
    held = replace(performance, pedal=(PedalMove(0.5, 127), PedalMove(end, 0)))
    blurred, clean = aspect(judged(held), "blur"), aspect(take(pedal="changed"), "blur")
    assert blurred.matters
    assert blurred.bars
    assert clean.value == pytest.approx(0.0, abs=0.5)


def test_in_written_notes_only_a_pedal_that_is_never_changed_is_told() -> None:
    performance = play(song(WALTZ))
    end = max(note.offset for note in performance.notes)
    middle = end / 2
    half = replace(performance, pedal=(PedalMove(0.0, 127), PedalMove(middle, 0)))
    kept = replace(performance, pedal=(PedalMove(0.0, 127), PedalMove(end, 0)))
    found = aspect(judged(half, text=WALTZ), "blur")
    assert found.value is not None
    assert found.value > 10.0
    assert found.mark is None
    assert aspect(judged(kept, text=WALTZ), "blur").matters


def test_rubato_in_written_notes_is_no_fault_and_stumbling_on_top_of_it_is() -> None:
    def swaying(time: float) -> float:
        # A fifth slower and faster in the course of eight bars.
        return time + 0.2 * 3.0 * math.sin(time / 3.0)

    def stumbling(time: float) -> float:
        return swaying(time) + 0.5 * math.floor(time / 6.0)

    text = WALTZ + 3 * "\n[A]\n"
    graph = song(text)
    found = aspect(judged(bent(play(graph), swaying), text=text), "steadiness")
    assert found.value is not None
    assert found.value > 10.0
    assert not found.matters
    assert aspect(judged(bent(play(graph), stumbling), text=text), "steadiness").matters


def test_of_two_hundred_steps_one_may_be_astray() -> None:
    text = WALTZ + 11 * "\n[A]\n"
    graph = song(text)
    one = judged(play(graph, faults=[Pause(20, 1.0, 0.5)]), text=text)
    two = judged(play(graph, faults=[Pause(20, 1.0, 0.5), Pause(40, 1.0, 0.5)]), text=text)
    assert one.touch.mark == 100.0
    assert aspect(one, "hesitation").count == 1
    assert two.touch.mark is not None
    assert 90.0 < two.touch.mark < 100.0


def test_without_a_pedal_nothing_blurs_and_nobody_says_that_it_is_missing() -> None:
    assert aspect(take(), "blur").value is None
    assert aspect(take(), "pedal").mark is None
    assert aspect(take(pedal="changed"), "pedal").mark is None


def slowing(text: str, factor: float) -> Judgement:
    """The last two bars played so much slower."""
    performance = play(song(text))
    start = performance.truth.bars[-2].start

    def slower(at: float) -> float:
        return at if at < start else start + (at - start) * factor

    return judged(bent(performance, slower), text=text)


def test_a_closing_ritard_is_measured_and_where_none_is_written_nobody_misses_it() -> None:
    found = slowing(SONG, 1.2)
    assert aspect(found, "ending").value == pytest.approx(20.0, abs=3.0)
    assert found.touch.mark == 100.0
    assert aspect(slowing(SONG, 1.0), "ending").mark is None


def test_a_ritard_that_is_written_and_not_played_is_told() -> None:
    lines = WALTZ.splitlines()
    lines[-2] = lines[-2].replace("| B4 C5 D5", "| B4~rit C5 D5")
    ritard = "\n".join(lines) + "\n"
    assert aspect(slowing(ritard, 1.2), "ending").mark == 100.0
    assert aspect(slowing(ritard, 1.0), "ending").matters


def test_too_short_a_take_has_no_pulse_to_speak_of() -> None:
    found = take(bars=order(song(), 1))
    assert aspect(found, "hesitation").mark is None
    assert aspect(found, "steadiness").mark is None


def test_what_the_rubric_lets_pass_costs_no_touch() -> None:
    fault = Pause(6, 2.0, 1.5)
    rubric = replace(STEADY, counts=frozenset(COUNTABLE) - {"halt"})
    found = judged(play(song(), faults=[fault]), rubric=rubric)
    assert aspect(found, "hesitation").count == 1
    assert found.touch.mark == 100.0
    assert found.touch.counted == ()


def test_touch_is_a_fifth_of_the_usual_mark() -> None:
    assert STEADY.shares["touch"] == pytest.approx(0.2)


@pytest.mark.parametrize("name", list(CURVES))
def test_a_curve_falls_and_never_rises(name: TouchAspect) -> None:
    curve = CURVES[name]
    free = curve.free if isinstance(curve, Curve) else 0.0
    marks = [curve.mark(free + step * curve.width) for step in (-1, 0, 1, 2, 5)]
    assert marks[:2] == [100.0, 100.0]
    assert marks == sorted(marks, reverse=True)
    assert marks[2] == pytest.approx(60.65 if isinstance(curve, Curve) else 50.0, abs=0.01)
