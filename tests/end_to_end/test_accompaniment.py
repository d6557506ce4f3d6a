"""A take that was recorded with the automatic accompaniment on. Programs by General MIDI."""

import io

import mido

from evaluator.grading import grade_take, prepare
from tests.cli.commands import CHART, take


def with_style(raw: bytes, *, told: bool) -> bytes:
    """The take with a bass and a guitar of its own on other channels, and with drums."""
    file = mido.MidiFile(file=io.BytesIO(raw))
    if told:
        file.tracks[0].insert(0, mido.Message("program_change", program=0, channel=0))
    end = round(file.length * 2 * file.ticks_per_beat)
    file.type = 1
    for channel, program, keys in ((1, 33, (33, 40)), (2, 25, (57, 66)), (9, 0, (36, 38))):
        track = mido.MidiTrack()
        if told and channel != 9:
            track.append(mido.Message("program_change", program=program, channel=channel))
        for at in range(0, end - 480, 480):
            key = keys[at // 480 % 2]
            track.append(mido.Message("note_on", note=key, velocity=70, channel=channel))
            off = mido.Message("note_off", note=key, velocity=0, channel=channel, time=480)
            track.append(off)
        file.tracks.append(track)
    written = io.BytesIO()
    file.save(file=written)
    return written.getvalue()


def test_the_piano_is_judged_and_the_accompaniment_said() -> None:
    song = prepare(CHART)
    alone = grade_take(song, take())
    accompanied = grade_take(song, with_style(take(), told=True))
    assert accompanied.marks == alone.marks
    assert accompanied.headline == alone.headline
    assert accompanied.remarks == (
        "An accompaniment was left on: channels 2 (bass) and 3 (guitar) are not judged, only "
        "channel 1 (piano).",
    )


def test_where_it_is_not_plain_the_channel_can_be_told() -> None:
    raw = with_style(take(), told=False)
    every = grade_take(prepare(CHART), raw)
    assert "--channel" in every.remarks[0]
    assert (
        grade_take(prepare(CHART, channel=0), raw).marks == grade_take(prepare(CHART), take()).marks
    )
