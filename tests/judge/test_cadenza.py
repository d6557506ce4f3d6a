"""A cadenza at a fermata is the player's own (C. P. E. Bach, Versuch, 1753, on fermatas; from
memory), and a halt that was led up to by slowing down is no halt (common practice, no source)."""

from collections.abc import Callable
from dataclasses import replace

from evaluator.chart import BarGraph, read_chart
from evaluator.follow import follow
from evaluator.judge import Judgement, judge
from evaluator.take.strike import strikes
from tests.judge.truth_path import take_of, truth_path
from tests.playing import Note, Pause, Performance, Restart, play

HEAD = "title: Gilded Wren\nkey: C major\ntempo: 80\n\n[A]\n"
BEAT = 0.75
MELODY = (
    *("C5 D5 E5 G5", "A5 G5 F5 D5", "E5 D5 C5 B4", "C5 E5 G5 C6", "B5 A5 G5 F5"),
    *("G5{} - - F#5,G5", "A5 F5 D5 C5", "B4 D5 G5 F5", "E5 G5 C6 B5", "A5 F5 D5 B4", "C5 E5 C5 -"),
)
BASS = (
    *("C3 E3 G3 E3", "F3 A3 D3 F3", "C3 G3 E3 G3", "A2 C3 E3 A3", "D3 F3 A3 F3"),
    *("G2{} - - -", "F2 A2 D3 F3", "G2 B2 D3 G3", "C3 E3 A3 E3", "F3 D3 G3 G2", "C3 G2 C2 -"),
)
SIXTH = 5
"""The bar with the fermata."""
CADENZA = (72, 71, 74, 72, 76, 74, 77, 76, 79, 77, 81, 79, 83, 81, 80, 78, 79, 76, 73, 75)


def song(sign: str = "~hold") -> BarGraph:
    right, left = (" | ".join(bars).format(sign) for bars in (MELODY, BASS))
    signs = "        | " + "C | " * len(MELODY) + "\n"
    return read_chart(f"{HEAD}{signs}  right | {right} |\n  left  | {left} |\n")


def judged(graph: BarGraph, performance: Performance) -> Judgement:
    take = take_of(performance)
    struck = strikes(take)
    return judge(graph, take, struck, follow(graph, struck))


def with_cadenza(performance: Performance, keys: tuple[int, ...]) -> Performance:
    """These keys between the fermata and what follows it."""
    begins = performance.truth.bars[SIXTH].start + 2 * BEAT
    lasts = len(keys) * 0.15 + 2.0
    late = [
        note if note.onset < begins else replace(
            note, onset=note.onset + lasts, offset=note.offset + lasts
        )
        for note in performance.notes
    ]  # fmt: skip
    own = [
        Note(begins + 0.5 + 0.15 * at, begins + 0.62 + 0.15 * at, key, 60, "right")
        for at, key in enumerate(keys)
    ]
    notes = tuple(sorted([*late, *own], key=lambda note: (note.onset, note.pitch)))
    return replace(performance, notes=notes)


def test_a_cadenza_at_a_fermata_is_held_against_nobody() -> None:
    graph = song()
    found = judged(graph, with_cadenza(play(graph), CADENZA))
    assert [one.kind for one in found.form] == []
    assert found.marks.overall is not None
    assert found.marks.overall > 90.0  # the first of it may be heard in the bar itself


def test_a_cadenza_that_seems_to_begin_the_next_bar_is_none_of_it() -> None:
    graph = song()
    own = (81, 81, 81, 74, 76, 83, 81, 81, 76, 83, 78, 74)
    found = judged(graph, with_cadenza(play(graph), own))
    assert [one.kind for one in found.form] == []
    assert found.marks.overall is not None
    assert found.marks.overall > 90.0


def test_who_begins_the_bar_behind_a_fermata_wrongly_and_once_more_has_begun_again() -> None:
    graph = song()
    again = [*range(SIXTH + 2), *range(SIXTH + 1, len(MELODY))]
    twice = play(graph, again, faults=[Restart(SIXTH + 2, 1.5, 0.6)])
    begins = twice.truth.bars[SIXTH + 1].start - 0.01
    wrong = tuple(
        replace(note, pitch=note.pitch + 1) if begins <= note.onset < begins + 1.5 * BEAT else note
        for note in twice.notes
    )
    stumbled = replace(twice, notes=wrong)
    struck = strikes(take_of(stumbled))
    found = judge(graph, take_of(stumbled), struck, truth_path(graph, stumbled, struck))
    assert [one.kind for one in found.form] == ["restart"]


def test_who_takes_up_a_passage_again_at_a_fermata_has_begun_again() -> None:
    graph = song()
    once = play(graph)
    back = once.truth.bars[SIXTH - 1].start
    until = once.truth.bars[SIXTH].start + BEAT
    lasts = until - back + 1.5
    again = [
        replace(note, onset=note.onset + lasts, offset=note.offset + lasts)
        for note in once.notes
        if note.onset >= back - 0.01
    ]
    before = [note for note in once.notes if note.onset < until]
    found = judged(graph, replace(once, notes=(*before, *again)))
    assert [one.kind for one in found.form] in (["restart"], ["extra"])
    assert all(bar.judged for bar in found.bars)


def bent(performance: Performance, when: Callable[[float], float]) -> Performance:
    notes = tuple(
        replace(note, onset=when(note.onset), offset=when(note.offset))
        for note in performance.notes
    )
    return replace(performance, notes=notes)


def test_a_halt_that_was_led_up_to_is_a_ritard() -> None:
    graph = song("")
    start = play(graph).truth.bars[4].start
    longer = [0.3, 0.6, 0.9, 1.2]

    def slower(at: float) -> float:
        beats = (at - start) / BEAT
        return at + sum(
            more * BEAT * min(max(beats - place, 0.0), 1.0) for place, more in enumerate(longer)
        )

    assert [one.kind for one in judged(graph, bent(play(graph), slower)).form] == []
    halted = judged(graph, play(graph, faults=[Pause(5, 0.0, 1.0)]))
    assert [one.kind for one in halted.form] == ["break"]


def begun_in_two(graph: BarGraph, performance: Performance, at: float) -> Judgement:
    """The fourth bar heard as broken off after so many beats, and begun again at once."""
    take = take_of(performance)
    struck = strikes(take)
    path = truth_path(graph, performance, struck)
    whole = path.bars[3]
    line = whole.start + at * BEAT
    first, second = (
        tuple(one for one in whole.strikes if (one.beat < at) == before) for before in (True, False)
    )
    halves = (
        replace(whole, end=line, beats_played=at, strikes=first),
        replace(whole, entry="restart", start=line, strikes=second),
    )
    return judge(graph, take, struck, replace(path, bars=(*path.bars[:3], *halves, *path.bars[4:])))


def test_where_the_first_notes_of_the_bar_are_not_struck_again_nobody_began_again() -> None:
    graph = song("")
    once = play(graph)
    assert [one.kind for one in begun_in_two(graph, once, 1.0).form] == []


def test_where_they_are_struck_again_the_bar_was_begun_again_without_a_halt() -> None:
    graph = song("")
    twice = play(graph, [0, 1, 2, 3, *range(3, len(MELODY))], faults=[Restart(4, 1.0, 0.0)])
    take = take_of(twice)
    struck = strikes(take)
    found = judge(graph, take, struck, truth_path(graph, twice, struck))
    assert [one.kind for one in found.form] == ["restart"]


def test_one_may_breathe_where_both_hands_rest():
    """As long as a breath is, and not while anything is to be held (common practice, no source)."""
    for second, waited, kinds in (
        ("C5 E5 . G5", 1.4, []),
        ("C5 E5 - G5", 1.4, ["break"]),
        ("C5 E5 . G5", 2.6, ["break"]),
    ):
        bass = "C3 G3 . E3" if "." in second else "C3 G3 - E3"
        rows = [["C5 D5 E5 D5"] * 4, ["C3 G3 E3 G3"] * 4]
        rows[0][1], rows[1][1] = second, bass
        graph = read_chart(
            HEAD
            + "        | C | C | C | C |\n"
            + f"  right | {' | '.join(rows[0])} |\n  left  | {' | '.join(rows[1])} |\n"
        )
        found = judged(graph, play(graph, faults=[Pause(2, 3.0, waited)]))
        assert [one.kind for one in found.form] == kinds


def test_one_may_breathe_in_a_bar_of_rest():
    rows = ["C5 D5 E5 D5", ".", "C5 D5 E5 D5", "C5 D5 E5 D5"]
    graph = read_chart(
        HEAD
        + "        | C | N.C. | C | C |\n"
        + f"  right | {' | '.join(rows)} |\n  left  | {' | '.join(rows).replace('5', '3')} |\n"
    )
    found = judged(graph, play(graph, faults=[Pause(3, 0.0, 1.4)]))
    assert [one.kind for one in found.form] == []
