"""What counts as which chord. The rules are common practice of accompaniment, no source."""

from evaluator.theory.judgement import ToneJudgement, judge_tones
from evaluator.theory.pitch import parse_note
from evaluator.theory.symbol import parse_chord


def notes(text: str) -> frozenset[int]:
    return frozenset(parse_note(note).pc for note in text.split())


def judge(
    chart: str, played: str, *, colours: str = "", bass: str | None = None, ruled: str | None = None
) -> ToneJudgement:
    return judge_tones(
        parse_chord(chart),
        notes(played),
        colours=[parse_chord(colour) for colour in colours.split()],
        bass=None if bass is None else parse_note(bass).pc,
        expected_bass=None if ruled is None else parse_note(ruled).pc,
    )


def test_a_triad_in_any_order_is_right() -> None:
    assert judge("D", "F# A D") == ToneJudgement("right", frozenset(), frozenset())


def test_a_triad_without_its_third_is_incomplete() -> None:
    assert judge("D", "D A") == ToneJudgement("incomplete", notes("F#"), frozenset())


def test_the_relative_minor_is_wrong_and_says_why() -> None:
    assert judge("D", "B D F#") == ToneJudgement("wrong", notes("A"), notes("B"))


def test_a_note_added_to_the_right_chord_is_foreign_but_nothing_is_missing() -> None:
    assert judge("D", "D F# A B") == ToneJudgement("wrong", frozenset(), notes("B"))


def test_a_dominant_seventh_may_lack_its_fifth_but_not_its_seventh() -> None:
    assert judge("A7", "A C# G").word == "right"
    assert judge("A7", "A C# E").word == "incomplete"


def test_the_right_hand_may_leave_the_root_to_the_bass() -> None:
    assert judge("D", "F# A").word == "incomplete"
    assert judge("D", "F# A", bass="D").word == "right"


def test_a_wrong_bass_is_not_charged_to_the_chord() -> None:
    assert judge("D", "D F# A", bass="E").word == "right"
    assert judge("D", "E D F# A", bass="E").foreign == notes("E")


def test_a_colour_may_stand_beside_the_third_or_in_its_place() -> None:
    assert judge("D", "D E F# A", colours="Dsus2").word == "right"
    assert judge("D", "D E A", colours="Dsus2").word == "right"
    assert judge("D", "D E A").word == "wrong"


def test_a_colour_that_was_not_offered_is_wrong() -> None:
    assert judge("D", "D G A", colours="Dsus2").foreign == notes("G")


def test_half_a_colour_and_half_a_chord_are_incomplete() -> None:
    assert judge("D", "D E", colours="Dsus2") == ToneJudgement(
        "incomplete", notes("A"), frozenset()
    )


def test_a_plainer_chord_as_colour_excuses_the_extension() -> None:
    assert judge("A9", "A C# G").word == "incomplete"
    assert judge("A9", "A C# G", colours="A7").word == "right"


def test_a_slash_bass_is_allowed_in_the_right_hand_and_not_asked_of_it() -> None:
    assert judge("C/D", "C D E G").word == "right"
    assert judge("C/D", "C E G").word == "right"
    assert judge("C", "C D E G").word == "wrong"


def test_the_bass_of_a_rule_is_allowed_in_the_right_hand() -> None:
    assert judge("A", "A B C# E").word == "wrong"
    assert judge("A", "A B C# E", ruled="B").word == "right"


def test_chords_with_the_same_tones_are_the_same_to_the_ear() -> None:
    assert judge("C6", "A C E G").word == "right"
    assert judge("Csus2", "G C D").word == "right"


def test_nothing_played_lacks_everything() -> None:
    assert judge("D", "") == ToneJudgement("incomplete", notes("D F# A"), frozenset())
