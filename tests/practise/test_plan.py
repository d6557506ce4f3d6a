"""What is worth practising. Common practice among teachers, no source."""

from dataclasses import replace

import pytest

from evaluator.chart import read_chart
from evaluator.grading import grade_take, prepare
from evaluator.judge.verdict import BarVerdict, FormFinding, StrikeFault, Tempo
from evaluator.practise.plan import plan
from evaluator.report.model import Loop
from tests.playing import WrongChord, play, to_midi
from tests.report.builders import (
    finding,
    incomplete_chord,
    judgement,
    off_beat,
    report,
    right_bar,
    root_for_bass,
    song,
    student_take,
    wrong_chord,
)


def loops(spoiled: dict[int, BarVerdict], form: tuple[FormFinding, ...] = ()) -> tuple[Loop, ...]:
    graph = song()
    return plan(graph, judgement(graph, spoiled=spoiled, form=form), chart_file="row.txt")


def test_the_movement_that_fails_again_and_again_comes_first() -> None:
    graph, judged = student_take()
    found = report(judged, graph).practise
    assert (found[0].kind, found[0].bars) == ("bass", (5, 6))
    assert found[0].why == "into A: the bass goes to A (3 of 3 times; also in bars 10 and 22)"
    assert found[0].listen.endswith("listen to the lowest notes: D, then C#.")
    assert 2 <= len(found) <= 5


def test_a_movement_is_played_with_the_bar_before_it() -> None:
    graph = song()
    found = loops({7: wrong_chord(right_bar(graph, 6, 7), "G")})
    assert found[0].bars == (6, 7)
    assert found[0].why.startswith("into Bm7: you play G")


def test_the_first_bar_has_none_before_it_and_is_played_with_the_next() -> None:
    graph = song()
    assert loops({1: wrong_chord(right_bar(graph, 0, 1), "A")})[0].bars == (1, 2)


def test_one_thing_alone_is_put_back_into_its_line_afterwards() -> None:
    graph = song()
    found = loops({7: wrong_chord(right_bar(graph, 6, 7), "G")})
    assert [loop.bars for loop in found] == [(6, 7), (5, 8)]
    assert found[1].why.startswith("now the whole line: ")


def test_a_count_is_practised_with_the_bar_after_the_line() -> None:
    graph = song()
    found = loops({}, (finding("extra", [20], graph),))
    assert (found[0].kind, found[0].bars) == ("count", (17, 21))
    assert found[0].why == "the tail of Chorus: one bar too many"


def test_halts_are_told_by_the_chord_that_they_delay() -> None:
    graph = song()
    at = right_bar(graph, 6, 7).start
    found = loops({}, (finding("break", [7], graph, at=at, halt=2.0),))
    assert (found[0].kind, found[0].bars) == ("halt", (6, 7))
    assert found[0].why.startswith("into Bm7: a halt")


def test_a_halt_before_the_bar_line_delays_the_chord_after_it() -> None:
    graph = song()
    at = right_bar(graph, 6, 7).start - 2.0
    found = loops({}, (finding("break", [7], graph, at=at, halt=2.0),))
    assert (found[0].kind, found[0].bars) == ("halt", (6, 7))


def test_halts_in_many_places_leave_room_for_what_else_went_wrong() -> None:
    graph = song()
    halts = tuple(
        finding("break", [n], graph, at=right_bar(graph, n - 1, n).start, halt=2.0)
        for n in (4, 7, 8, 11, 16, 21, 25)
    )
    spoiled = {
        n: root_for_bass(right_bar(graph, n - 1, n), "F#", "D")
        if n % 2
        else incomplete_chord(right_bar(graph, n - 1, n), "A5")
        for n in (14, 23, 26)
    }
    found = loops(spoiled, halts)
    assert [one.kind for one in found].count("halt") == 2
    assert {"bass", "chord"} <= {one.kind for one in found}


def test_a_place_of_the_pattern_is_one_thing_wherever_it_is_missed() -> None:
    graph = song()
    missed = StrikeFault("missed", 2.0, "right")
    found = loops({n: off_beat(right_bar(graph, n - 1, n), 0.8, missed) for n in range(1, 29)})
    assert found[0].why.startswith("the right hand on beat 3: left out (28 of 28 times")
    assert found[0].times == 8
    assert found[0].listen == "Count aloud: the right hand plays on beat 3."


def test_a_single_missed_strike_or_a_clean_take_is_not_worth_a_loop() -> None:
    graph = song()
    assert loops({}) == ()
    missed = StrikeFault("missed", 1.0, "left")
    assert loops({2: off_beat(right_bar(graph, 1, 2), 0.8, missed)}) == ()


def test_never_more_than_five() -> None:
    graph = song()
    wrong = ["F", "Gm", "C", "Eb", "F#", "Ab", "Bb", "E"]
    spoiled = {
        number: wrong_chord(right_bar(graph, number - 1, number), chord)
        for number, chord in zip((2, 6, 7, 8, 11, 17, 20, 22), wrong, strict=True)
    }
    spoiled |= {n: incomplete_chord(right_bar(graph, n - 1, n), "A5") for n in (24, 13, 15)}
    spoiled |= {n: root_for_bass(right_bar(graph, n - 1, n), "F#", "D") for n in (14, 26)}
    assert len(loops(spoiled)) == 5


def test_the_tempo_is_below_what_was_played_and_never_above_the_chart() -> None:
    graph = song()
    spoiled = {7: wrong_chord(right_bar(graph, 6, 7), "G")}
    fast = replace(
        judgement(graph, spoiled=spoiled),
        bars=tuple(replace(bar, bpm=130.0) for bar in judgement(graph, spoiled=spoiled).bars),
        tempo=Tempo(96.0, 130.0, 2.0),
    )
    assert plan(graph, fast)[0].bpm < 0.9 * 96


def test_an_unsteady_place_is_played_more_slowly() -> None:
    graph = song()
    steady = judgement(graph, spoiled={7: wrong_chord(right_bar(graph, 6, 7), "G")})
    rough = replace(
        steady,
        bars=tuple(replace(bar, rhythm=replace(bar.rhythm, spread_ms=90.0)) for bar in steady.bars),
    )
    assert plan(graph, rough)[0].bpm < plan(graph, steady)[0].bpm


def test_each_loop_names_the_command_that_makes_its_guide() -> None:
    graph = song()
    spoiled = {7: wrong_chord(right_bar(graph, 6, 7), "G")}
    judged = judgement(graph, spoiled=spoiled)
    loop = plan(graph, judged, chart_file="my songs/row.txt")[0]
    assert loop.guide == (
        f"evaluator chart guide 'my songs/row.txt' --bars 6-7 --tempo {loop.bpm} "
        f"--times {loop.times} -o guide.mid"
    )


def test_a_take_of_another_song_has_no_plan() -> None:
    graph = song()
    judged = judgement(graph, spoiled={7: wrong_chord(right_bar(graph, 6, 7), "G")}, matches=False)
    assert plan(graph, judged) == ()


def test_what_is_not_judged_is_not_held_to_be_weak() -> None:
    graph = song()
    unsure = replace(wrong_chord(right_bar(graph, 6, 7), "G"), judged=False)
    assert loops({7: unsure}) == ()


@pytest.mark.parametrize("pace", [32.0, 71.0, 96.0, 150.0])
@pytest.mark.parametrize("spread", [0.0, 20.0, 300.0])
def test_a_tempo_to_practise_at_is_six_to_nine_tenths_of_what_was_played(
    pace: float, spread: float
) -> None:
    graph = song()
    slow = {
        number: replace(
            wrong_chord(right_bar(graph, graph.written[number - 1], number), "G"),
            bpm=pace,
        )
        for number in (5, 9, 13)
    }
    slow = {n: replace(v, rhythm=replace(v.rhythm, spread_ms=spread)) for n, v in slow.items()}
    judged = judgement(graph, spoiled=slow)
    judged = replace(
        judged,
        bars=tuple(replace(bar, bpm=pace) for bar in judged.bars),
        tempo=replace(judged.tempo, median=pace),
    )
    for loop in plan(graph, judged):
        assert 0.6 * pace <= loop.bpm <= 0.9 * pace or loop.bpm == 20


def test_a_halt_tells_no_tempo() -> None:
    graph = song()
    wrong = {
        number: wrong_chord(right_bar(graph, graph.written[number - 1], number), "G")
        for number in (5, 9, 13)
    }
    halted = {number: replace(bar, bpm=25.0) for number, bar in wrong.items()}
    assert [one.bpm for one in plan(graph, judgement(graph, spoiled=halted))] == [
        one.bpm for one in plan(graph, judgement(graph, spoiled=wrong))
    ]


def test_a_bar_that_seems_far_too_fast_tells_no_tempo_either() -> None:
    graph = song()
    wrong = {7: wrong_chord(right_bar(graph, 6, 7), "G")}
    odd = {n: replace(wrong.get(n, right_bar(graph, n - 1, n)), bpm=190.0) for n in (6, 7)}
    assert plan(graph, judgement(graph, spoiled=odd))[0].bpm <= 0.9 * 96


def test_a_slow_section_is_practised_below_the_tempo_that_it_was_played_at() -> None:
    text = "title: Tin Bird\ntempo: 120\n[Verse]\n| C | F | Am | G | x3\n"
    text += "[Slow] tempo 60\n| Dm | G | Em | A |\n| Dm | F | G | C |\n"
    graph = read_chart(text)
    take = play(graph, faults=[WrongChord(14, "Bb"), WrongChord(18, "Ab")])
    found = grade_take(prepare(text), to_midi(take)).practise
    assert found
    assert all(loop.bars[0] > 12 and 36 <= loop.bpm <= 54 for loop in found)
