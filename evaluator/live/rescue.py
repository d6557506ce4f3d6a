"""What can still be reported of a take on which the program fails?

A fault of the program must not cost anybody the report. It mostly lies in one place of
the take; what was played before that place is graded as ever. Where it lies is narrowed
down by halves.
"""

import io
from typing import Final

from evaluator.errors import EvaluatorError
from evaluator.errors.fault import told
from evaluator.excerpt.song import Song
from evaluator.grading import grade_take
from evaluator.live.record import TICKS
from evaluator.report.model import Report
from evaluator.take.midi_file import read_take

HALVINGS: Final = 5
"""So often at most is a part of the take graded, to find how far it can be."""

FAILED: Final = "The program failed on this take ({what}); please report it. The take is kept."
AS_FAR: Final = FAILED + " This is the report on its first {seconds:.0f} seconds."


def graded_as_far_as_possible(
    song: Song, midi_bytes: bytes, *, take_file: str = ""
) -> tuple[Report | None, str]:
    """The report, or the one on the take's beginning or none, and then a sentence about it.

    Raises `TakeError` for a take that holds nothing to judge.
    """
    try:
        return grade_take(song, midi_bytes, take_file=take_file), ""
    except EvaluatorError:
        raise
    except Exception as fault:  # noqa: BLE001 - whatever it is, the player gets a report
        what = told(fault)
    seconds = read_take(midi_bytes).seconds
    report, sound, broken = None, 0.0, 1.0
    for _ in range(HALVINGS):
        share = (sound + broken) / 2
        try:
            report = grade_take(song, beginning(midi_bytes, share * seconds), take_file=take_file)
            sound = share
        except Exception:  # noqa: BLE001 - the same fault, or another one
            broken = share
    if report is None:
        return None, FAILED.format(what=what)
    return report, AS_FAR.format(what=what, seconds=sound * seconds)


def beginning(midi_bytes: bytes, seconds: float) -> bytes:
    """The notes of a saved take struck in its first seconds, each as long as it was held."""
    import mido

    file = mido.MidiFile(file=io.BytesIO(midi_bytes))
    kept = mido.MidiTrack()
    now = before = 0
    down: set[tuple[int, int]] = set()
    for message in file.tracks[0]:
        now += message.time
        struck = message.type == "note_on" and message.velocity > 0
        key = (message.channel, message.note) if message.type.startswith("note_") else None
        if now >= seconds * TICKS and key not in down:
            continue
        if key is not None:
            (down.add if struck else down.discard)(key)
        kept.append(message.copy(time=now - before))
        before = now
    file.tracks[:] = [kept]
    stream = io.BytesIO()
    file.save(file=stream)
    return stream.getvalue()
