"""What was played, according to the bytes of a MIDI file?

Reads Standard MIDI Files of format 0 and 1 (and a format 2 file with one pattern), also
inside RIFF, whatever state they are in: everything that can be understood is kept, every
repair is listed in the take, and a file from which nothing can be had is refused in one
plain sentence. After "Standard MIDI Files 1.0" and the "MIDI 1.0 Detailed Specification"
(MIDI Manufacturers Association). All tracks and channels are one take, because pianos
split hands and layers as they please; the drum channel (10) is left out. `read_players_take`
leaves out as well what `evaluator.take.channels` tells to be an accompaniment.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np
import numpy.typing as npt

from evaluator.errors import TakeError
from evaluator.take.channels import Chosen, Sounded, choose_channels
from evaluator.take.chunks import (
    Header,
    find_header,
    plain_bytes,
    read_header,
    read_tracks,
    unwrapped,
)
from evaluator.take.events import Track
from evaluator.take.foreign import foreign_kind, text_kind
from evaluator.take.model import CHANNELS, Repair, Seconds, Take, make_take
from evaluator.take.pairing import HeldNotes, hold_notes, pedal_spans
from evaluator.take.repairs import RepairLog
from evaluator.take.tempo_map import seconds_at

REPLACEMENT = "\N{REPLACEMENT CHARACTER}".encode()
"""What a mail program or editor writes in place of every byte that is not text."""

CHANNELS_OF_MIDI = 16

HELD_TO_THE_END = 10.0
"""Seconds; a key that was struck longer before the end lacks its letting go."""

_HINT = "Export the take from the piano or the recorder as a Standard MIDI File (.mid)."


@dataclass(frozen=True, slots=True)
class Limits:
    """Beyond these a file is no take of a song, or too damaged to be read as one."""

    megabytes: float = 20.0
    notes: int = 100_000
    hours: float = 4.0


def read_take(raw: bytes, *, limits: Limits | None = None) -> Take:
    """The notes and the pedal of a MIDI file, with the list of what had to be repaired.

    Raises `TakeError`, and nothing else, for bytes that hold no take.
    """
    return _read(raw, limits or Limits(), lambda _sounded, _programs: None)


def read_players_take(raw: bytes, *, channel: int | None = None) -> Take:
    """The same without an accompaniment on other channels, or of one `channel` alone, from 0."""
    return _read(raw, Limits(), partial(choose_channels, wanted=channel))


Choice = Callable[[Mapping[int, Sounded], Mapping[int, int]], Chosen | None]
"""From the notes and the programs of the channels to those that are kept; None for all."""


def _read(raw: bytes, limits: Limits, choice: Choice) -> Take:
    _check_is_midi(raw, limits)
    log = RepairLog()
    raw = plain_bytes(unwrapped(raw), log)
    start = find_header(raw)
    if start is None:
        raise TakeError(f"The RIFF file holds no MIDI file. {_HINT}")
    if start and raw[:4] != b"RIFF":
        log.add("junk-before", 0, start)
    header = read_header(raw, start, log)
    tracks = read_tracks(raw, header.end, log)
    _check_header(header, tracks, log)
    return _take_of(tracks, (header.division, choice), limits, log)


def _take_of(
    tracks: list[Track], reading: tuple[int, Choice], limits: Limits, log: RepairLog
) -> Take:
    """`reading`: the file's division of time, and which channels are to be taken."""
    division, choice = reading
    struck = sum(velocity > 0 for track in tracks for _, _, velocity in track.notes)
    if struck > limits.notes:
        raise TakeError(
            f"The file holds {struck} notes, more than the {limits.notes} that are read."
            " Cut the take out of it and hand in that alone."
        )
    if struck == 0:
        raise TakeError(_why_no_notes(tracks, log))
    last = max(track.ticks for track in tracks)
    held = HeldNotes()
    for track in tracks:
        hold_notes(track, last, held)
    tempos = sorted((mark for track in tracks for mark in track.tempos), key=lambda mark: mark.tick)
    onsets, offsets = (seconds_at(ticks, division, tempos) for ticks in (held.starts, held.ends))
    if offsets.max() > limits.hours * 3600:
        raise TakeError(
            f"The take lasts {offsets.max() / 3600:.1f} hours, more than the {limits.hours:g} that"
            " are read: its times are damaged, or it is not one take. Export it again."
        )
    # A recorder may be stopped while the last keys are down: that is no damage.
    down = seconds_at(held.down, division, tempos) >= offsets.max() - HELD_TO_THE_END
    unended = held.unended - (0 if log.repairs() else int(down.sum()))
    if unended:
        log.add("no-note-end", 0, unended)
    keys = np.array(held.keys, dtype=np.int64)
    of_channel = keys >> 7 & 0x0F
    chosen = choice(_sounded(onsets, keys), _programs(tracks))
    kept = np.isin(of_channel, range(CHANNELS_OF_MIDI) if chosen is None else [*chosen.channels])
    # A pedal that is sent on a channel without notes is the player's all the same.
    strangers = frozenset(of_channel[~kept].tolist())
    pedals = pedal_spans(tracks, last, without=strangers)
    spans = seconds_at(np.ravel(pedals), division, tempos)
    said = (Repair(CHANNELS, chosen.say),) if chosen is not None and chosen.say else ()
    return make_take(
        onsets[kept],
        offsets[kept],
        keys[kept] & 0x7F,
        np.array(held.velocities)[kept],
        channels=of_channel[kept],
        tracks=keys[kept] >> 11,
        pedal=spans.reshape(-1, 2),
        repairs=(*log.repairs(), *said),
    )


def _sounded(onsets: Seconds, keys: npt.NDArray[np.int64]) -> dict[int, Sounded]:
    """The notes of each channel in order."""
    order = np.argsort(onsets, kind="stable")
    times, keys = onsets[order], keys[order]
    of_channel = keys >> 7 & 0x0F
    return {
        channel: Sounded(
            times[of_channel == channel].tolist(), (keys[of_channel == channel] & 0x7F).tolist()
        )
        for channel in np.unique(of_channel).tolist()
    }


def _programs(tracks: list[Track]) -> dict[int, int]:
    """The first program that each channel is given."""
    programs: dict[int, int] = {}
    for _, channel, program in sorted(change for track in tracks for change in track.programs):
        programs.setdefault(channel, program)
    return programs


def _check_is_midi(raw: bytes, limits: Limits) -> None:
    """Refuse what is not a MIDI file, and say what it is."""
    if not raw:
        raise TakeError(f"The file is empty (0 bytes). {_HINT}")
    if len(raw) > limits.megabytes * 1_000_000:
        raise TakeError(
            f"The file has {len(raw) / 1_000_000:.0f} million bytes; a take of a song has less"
            f" than {limits.megabytes:g}. {_HINT}"
        )
    kind = foreign_kind(raw)
    if kind is None and find_header(raw) is None:
        if not raw.strip(b"\0"):
            raise TakeError(
                "The file holds nothing but zeros: it was never written out."
                " Copy it from the piano again."
            )
        kind = text_kind(raw)
        if kind is None:
            raise TakeError(f"This is not a MIDI file: it has no MIDI header. {_HINT}")
    if kind is not None:
        raise TakeError(f"This is {kind}, not a MIDI file. {_HINT}")
    if raw.count(REPLACEMENT) > 2:
        raise TakeError(
            "The file was sent or saved as text, which has overwritten part of its bytes."
            " Send the original again as an attachment or inside a ZIP archive."
        )


def _check_header(header: Header, tracks: list[Track], log: RepairLog) -> None:
    """Compare what the header announces with what was found."""
    if header.format == 2 and len(tracks) > 1:
        raise TakeError(
            f"The file is a collection of {len(tracks)} separate patterns (MIDI format 2), not one"
            " take. Export the take as format 0 or 1."
        )
    if header.format > 2:
        log.add("format", 8)
    if len(tracks) < header.tracks:
        log.add("tracks-missing", 10, header.tracks - len(tracks))
    if len(tracks) > header.tracks:
        log.add("tracks-more", 10, len(tracks) - header.tracks)


def _why_no_notes(tracks: list[Track], log: RepairLog) -> str:
    drums = sum(track.drums for track in tracks)
    if drums:
        return (
            f"All {drums} notes of the file are on MIDI channel 10, which is for drums."
            " Set the piano to another channel and record again."
        )
    damage = " ".join(repair.say for repair in log.repairs())
    if damage:
        return f"The file holds no notes that can be read. {damage} Copy it from the piano again."
    return "The file holds no notes. Check that the recorder was armed, and record again."
