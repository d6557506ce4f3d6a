"""Which channels are the player's? Programs by General MIDI Level 1, counted from 0; what a
split and a layer are: common practice of digital pianos, no source."""

import pytest

from evaluator.errors import TakeError
from evaluator.take.channels import Sounded, choose_channels

PIANO, STRINGS, BASS, GUITAR, ORGAN = 0, 48, 33, 25, 17
BARS = range(16)


def both_hands() -> Sounded:
    return notes((0.0, 43), (0.5, 60), (0.5, 64), (1.0, 43), (1.5, 67))


def right_hand() -> Sounded:
    return notes((0.0, 60), (0.5, 64), (1.0, 67), (1.5, 72))


def left_hand() -> Sounded:
    return notes((0.0, 36), (1.0, 43))


def style_bass() -> Sounded:
    return notes((0.01, 31), (0.76, 43), (1.26, 50))


def notes(*bar: tuple[float, int]) -> Sounded:
    every = [(2.0 * number + at, key) for number in BARS for at, key in bar]
    return Sounded([at for at, _ in every], [key for _, key in every])


def octave_up(voice: Sounded) -> Sounded:
    return Sounded(voice.onsets, [key + 12 for key in voice.pitches])


def test_an_accompaniment_is_left_out_and_said() -> None:
    found = choose_channels(
        {0: both_hands(), 9 + 1: style_bass(), 11: right_hand()},
        {0: PIANO, 10: BASS, 11: GUITAR},
    )
    assert found.channels == {0}
    assert found.say == (
        "An accompaniment was left on: channels 11 (bass) and 12 (guitar) are not judged, only "
        "channel 1 (piano)."
    )


def test_a_second_voice_that_doubles_the_keys_is_the_players() -> None:
    sounded = {0: both_hands(), 1: octave_up(both_hands())}
    assert choose_channels(sounded, {0: PIANO, 1: STRINGS}).channels == {0, 1}


def test_a_bass_below_the_split_is_the_players_left_hand() -> None:
    found = choose_channels({0: right_hand(), 1: left_hand()}, {0: PIANO, 1: BASS})
    assert (found.channels, found.say) == ({0, 1}, "")


def test_a_bass_beside_both_hands_is_an_accompaniment() -> None:
    found = choose_channels({0: both_hands(), 1: style_bass()}, {0: PIANO, 1: BASS})
    assert found.channels == {0}
    assert found.say.endswith("channel 2 (bass) is not judged, only channel 1 (piano).")


def test_an_accompaniments_own_piano_is_left_out_too() -> None:
    sounded = {0: both_hands(), 10: style_bass(), 12: notes((0.25, 64), (1.3, 62))}
    assert choose_channels(sounded, {0: PIANO, 10: BASS, 12: PIANO}).channels == {0}


def test_hands_on_two_channels_are_both_the_players() -> None:
    for programs in ({}, {0: PIANO, 1: PIANO}):
        found = choose_channels({0: right_hand(), 1: left_hand()}, programs)
        assert (found.channels, found.say) == ({0, 1}, "")


def test_an_organ_is_the_keyboard_where_there_is_no_piano() -> None:
    sounded = {0: both_hands(), 3: style_bass()}
    assert choose_channels(sounded, {0: ORGAN, 3: BASS}).channels == {0}


def test_where_nothing_tells_them_apart_everything_is_taken_and_said() -> None:
    found = choose_channels({0: both_hands(), 1: style_bass(), 2: right_hand()}, {})
    assert found.channels == {0, 1, 2}
    assert "--channel" in found.say


def test_an_accompaniment_of_one_voice_is_noticed_though_nothing_tells_its_sound() -> None:
    found = choose_channels({0: both_hands(), 1: style_bass()}, {})
    assert found.channels == {0, 1}
    assert found.say.startswith("The recording has notes on channels 1 and 2")


def test_a_layer_needs_no_voice_to_be_the_players() -> None:
    found = choose_channels({0: both_hands(), 1: octave_up(both_hands())}, {})
    assert (found.channels, found.say) == ({0, 1}, "")


def test_the_channel_that_is_asked_for_is_the_only_one() -> None:
    sounded = {0: both_hands(), 1: style_bass()}
    assert choose_channels(sounded, {0: PIANO, 1: BASS}, wanted=1).channels == {1}
    with pytest.raises(TakeError, match=r"channel 5; the notes are on channels 1 \(piano\) and 2"):
        choose_channels(sounded, {0: PIANO}, wanted=4)
