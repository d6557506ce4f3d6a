"""Was it the right chord? Rules of accompaniment as taught; common practice, no source."""

from dataclasses import replace

import pytest

from evaluator.judge.verdict import SpanVerdict
from tests.judge.songs import HEAD, SONG, VERSE, judged, song, take
from tests.playing import Fill, Lacking, Performance, Slip, WrongChord, play


def span(*faults, bar: int, place: int = 0, **manner) -> SpanVerdict:
    return take(*faults, **manner).bars[bar - 1].chord.spans[place]


def changed(bar: int, pitches: dict[int, int], *, only: int | None = None) -> Performance:
    """The take with other keys pressed in one bar; `only` the n-th right-hand strike."""
    performance = play(song())
    true = performance.truth.bars[bar - 1]
    inside = [n for n in performance.notes if true.start - 0.01 < n.onset < true.end - 0.01]
    times = sorted({n.onset for n in inside if n.hand == "right"})
    notes = tuple(
        replace(n, pitch=pitches.get(n.pitch % 12, n.pitch % 12) + n.pitch // 12 * 12)
        if n in inside and n.hand == "right" and (only is None or n.onset == times[only])
        else n
        for n in performance.notes
    )
    return replace(performance, notes=notes)


@pytest.mark.parametrize(
    "manner",
    [{"leaps": 1.0}, {"doubled": 1.0}, {"octaves": 1.0}, {"rolled": 1.0}, {"thinned": 1.0}],
    ids=["any inversion", "doubled", "bass in octaves", "rolled", "no fifth in Bm7"],
)
def test_these_are_not_mistakes(manner: dict[str, float]) -> None:
    verdict = take(**manner, seed=3)
    assert {bar.chord.word for bar in verdict.bars} == {"right"}
    assert {bar.bass.word for bar in verdict.bars} == {"right"}
    assert verdict.marks["chord"] == 100.0


def test_a_colour_may_be_used_and_is_named() -> None:
    assert span(bar=5, coloured=1.0).played == "Dsus2"
    assert span(bar=5, coloured=1.0).word == "right"
    assert span(bar=5).played == "D"


def test_another_chord_is_named() -> None:
    found = span(WrongChord(1, "Bm"), bar=1)
    assert (found.expected, found.played, found.word, found.score) == ("D", "Bm", "wrong", 0.25)
    found = span(WrongChord(1, "F"), bar=1)
    assert (found.played, found.word, found.score) == ("F", "wrong", 0.0)


def test_minor_for_major_is_wrong_but_near() -> None:
    found = span(WrongChord(4, "Gm"), bar=4)
    assert (found.expected, found.played, found.word) == ("G", "Gm", "wrong")
    assert 0 < found.score < 0.5


def test_a_triad_without_its_third_is_incomplete() -> None:
    found = span(Lacking(1, "F#"), bar=1)
    assert found.word == "incomplete"
    assert found.played == "D5"
    assert 0.5 < found.score < 1


def test_the_bass_counts_as_a_tone_of_the_chord() -> None:
    assert span(Lacking(1, "D"), bar=1).word == "right"


def test_a_ruled_bass_is_part_of_the_expected_name() -> None:
    assert span(bar=2).expected == "A/C#"


def test_only_the_half_of_the_bar_that_was_wrong_is_wrong() -> None:
    verdict = take(WrongChord(7, "Am", beat=2.0)).bars[6].chord
    assert [one.word for one in verdict.spans] == ["right", "wrong"]
    assert verdict.word == "wrong"
    assert verdict.score == pytest.approx((1.0 + verdict.spans[1].score) / 2)


def test_a_brushed_neighbour_is_a_slip_and_hardly_costs() -> None:
    found = span(Slip(1, 1.0), bar=1)
    assert found.word == "right"
    assert len(found.slips) == 1
    assert 0.9 < found.score < 1


def test_a_loud_and_long_neighbour_is_no_slip() -> None:
    found = judged(song(), changed(1, {9: 10})).bars[0].chord.spans[0]
    assert found.word == "wrong"


def test_a_fill_between_the_strikes_is_the_players_own() -> None:
    verdict = take(Fill(1, 1.75), Fill(1, 3.5))
    assert verdict.bars[0].chord.spans[0].word == "right"
    assert verdict.bars[0].rhythm.faults == ()
    assert 0.9 < verdict.bars[0].rhythm.score < 1


def test_a_chord_put_right_within_its_bar_is_no_wrong_chord() -> None:
    found = judged(song(), changed(1, {2: 4, 6: 8, 9: 11}, only=0)).bars[0].chord.spans[0]
    assert found.word == "put right"
    assert found.played == "E"
    assert found.score == 0.8


def test_a_chord_that_is_right_first_and_wrong_afterwards_is_wrong() -> None:
    found = judged(song(), changed(1, {2: 4, 6: 8, 9: 11}, only=2)).bars[0].chord.spans[0]
    assert found.word == "wrong"
    assert 0.4 < found.score < 0.8


def test_a_chord_struck_a_sixteenth_ahead_is_the_next_bars() -> None:
    held = SONG.replace("right | . . x . . x x .", "right | x . . . . . . .")
    graph = song(held)
    performance = play(graph)
    start = performance.truth.bars[1].start
    notes = tuple(
        replace(n, onset=n.onset - 0.15) if n.onset == start and n.hand == "right" else n
        for n in performance.notes
    )
    verdict = judged(graph, replace(performance, notes=notes))
    assert verdict.bars[0].chord.word == verdict.bars[1].chord.word == "right"
    assert [fault.kind for fault in verdict.bars[1].rhythm.faults] == ["early"]
    assert verdict.bars[0].rhythm.faults == ()


def test_what_rings_on_under_the_pedal_is_not_foreign() -> None:
    verdict = take(pedal="kept", length=1.0)
    assert {bar.chord.word for bar in verdict.bars} == {"right"}


def test_nothing_is_expected_at_no_chord() -> None:
    verdict = take(graph=song(HEAD + "[Verse]\n| D | N.C. | A | D |\n"))
    assert verdict.bars[1].chord.word == "not judged"
    assert verdict.bars[1].chord.score is None
    assert verdict.bars[1].chord.spans[0].expected == "N.C."


def test_a_silent_right_hand_plays_no_chord() -> None:
    performance = play(song())
    left = tuple(note for note in performance.notes if note.hand == "left")
    verdict = judged(song(), replace(performance, notes=left))
    assert {bar.chord.word for bar in verdict.bars} == {"not played"}
    assert {bar.bass.word for bar in verdict.bars} == {"right"}


@pytest.mark.parametrize(("degree", "word"), [(1, "incomplete"), (3, "right")])
def test_one_finger_on_the_root_is_no_chord_yet(degree: int, word: str) -> None:
    # Root and third are heard as the harmony; of the root alone nobody can say what it is.
    head = HEAD.replace("bass: A = C#\n", "")
    graph = song(head + "[Verse]\n| D | G | Bm | D |\n| G | Em | Bm | D |\n")
    performance, kept = play(graph), []
    for note in performance.notes:
        played = next(bar for bar in performance.truth.bars if note.onset < bar.end - 0.05)
        chord = graph.bars[played.index].spans[0].chord
        assert chord is not None
        if note.hand == "left" or note.pitch % 12 == chord.degree(degree):
            kept.append(note)
    verdict = judged(graph, replace(performance, notes=tuple(kept)))
    assert {bar.chord.word for bar in verdict.bars} == {word}
    assert {bar.bass.word for bar in verdict.bars} == {"right"}


def test_a_broken_chord_is_the_chord() -> None:
    broken = HEAD.replace("left  | x . . . x . . .", "left  | 1 5 8 5 1 5 8 5")
    broken = broken.replace("right | . . x . . x x .", "right | 1 3 5 3 1 3 5 3") + VERSE
    verdict = take(graph=song(broken))
    assert {bar.chord.word for bar in verdict.bars} == {"right"}
    assert take(WrongChord(1, "Em"), graph=song(broken)).bars[0].chord.word == "wrong"


BROKEN = HEAD.replace("right | . . x . . x x .", "right | 5 3 1 3 5 3 1 3") + (
    "[Verse]\n| F#m7 | A | Bm7 | D |\n"
)


def test_another_chord_that_differs_by_one_tone_of_the_broken_one_is_wrong() -> None:
    # D over F# has all of F#m7 but its C#, and each time D where that should be.
    found = take(WrongChord(1, "D"), graph=song(BROKEN)).bars[0].chord.spans[0]
    assert (found.expected, found.word) == ("F#m7", "wrong")


def test_one_note_beside_a_broken_chord_is_a_stumble() -> None:
    performance = play(song(BROKEN))
    first = next(n for n in performance.notes if n.hand == "right" and n.pitch % 12 == 1)
    notes = tuple(replace(n, pitch=n.pitch + 1) if n is first else n for n in performance.notes)
    found = judged(song(BROKEN), replace(performance, notes=notes)).bars[0].chord.spans[0]
    assert (found.word, found.slips) == ("right", ("D",))


def test_without_a_pattern_passing_notes_do_not_make_a_chord_wrong() -> None:
    plain = "title: Plain\nkey: C major\ntempo: 100\n[A]\n| C | F | G7 | C |\n"
    performance = play(song(plain))
    passing = tuple(
        replace(performance.notes[0], onset=onset, offset=onset + 0.2, pitch=74, hand="right")
        for onset in (1.3, 1.9, 2.5)
    )
    verdict = judged(song(plain), replace(performance, notes=performance.notes + passing))
    assert {bar.chord.word for bar in verdict.bars} == {"right"}
    assert verdict.marks["rhythm"] is None
    assert take(WrongChord(2, "Bb"), graph=song(plain)).bars[1].chord.word == "wrong"
