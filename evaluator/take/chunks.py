"""Where in the bytes do the header and the tracks of a MIDI file stand?

Standard MIDI Files 1.0: a file is a row of chunks, each four letters, a length and that
many bytes; `MThd` comes first, `MTrk` are the tracks, others are to be skipped. A `RIFF`
file of the kind `RMID` holds one such file. Lengths are not to be relied on: recorders
leave them at 0 or at their greatest when they are switched off, and lost bytes make them
wrong. So a length is believed only if it leads to another chunk, to an end mark or to the
end of the file; otherwise a track reaches to its end mark or to the next `MTrk`.
"""

from dataclasses import dataclass

from evaluator.errors import TakeError
from evaluator.take.events import Track, read_track
from evaluator.take.repairs import RepairLog

HEADER, TRACK = b"MThd", b"MTrk"
END_MARK = b"\xff\x2f\x00"
MOST_TRACKS = 1_000
"""No piano or sequencer writes nearly as many; a damaged file may seem to."""

# From so many line ends on, none without a carriage return cannot be chance.
PLENTY_OF_LINE_ENDS = 8


@dataclass(frozen=True, slots=True)
class Header:
    """What stands in `MThd`."""

    format: int
    tracks: int
    division: int
    end: int
    """Byte after the header."""


def unwrapped(raw: bytes) -> bytes:
    """`raw` cut off after the MIDI file that a RIFF file wraps; any other as it is."""
    if raw[:4] != b"RIFF" or raw[8:12] != b"RMID":
        return raw
    pos = 12
    while pos + 8 <= len(raw):
        size = int.from_bytes(raw[pos + 4 : pos + 8], "little")
        if raw[pos : pos + 4] == b"data":
            return raw[: pos + 8 + size]
        pos += 8 + size + size % 2
    return raw


def find_header(raw: bytes) -> int | None:
    """Byte at which the MIDI header begins, or None. Its name may have one letter wrong."""
    found = raw.find(HEADER)
    if found >= 0:
        return found
    if _nearly(raw[:4], HEADER) and raw[4:8] == b"\0\0\0\6":
        return 0
    return None


def read_header(raw: bytes, pos: int, log: RepairLog) -> Header:
    """The header that begins at `pos`. Raises `TakeError` if it is cut short."""
    if len(raw) < pos + 14:
        raise TakeError(
            f"The file breaks off inside its header, after {len(raw)} bytes."
            " Copy it from the piano again."
        )
    length = int.from_bytes(raw[pos + 4 : pos + 8], "big")
    kind, tracks, division = (
        int.from_bytes(raw[at : at + 2], "big") for at in range(pos + 8, pos + 14, 2)
    )
    end = pos + 8 + length
    if raw[pos : pos + 4] != HEADER or length < 6 or not _is_chunk(raw, end):
        end = pos + 14
        if raw[pos : pos + 8] != HEADER + b"\0\0\0\6":
            log.add("header", pos)
    return Header(kind, tracks, division, end)


def read_tracks(raw: bytes, pos: int, log: RepairLog) -> list[Track]:
    """Every track from byte `pos` on, in the order of the file."""
    tracks: list[Track] = []
    while (start := _next_track(raw, pos, log)) is not None:
        if len(tracks) == MOST_TRACKS:
            raise TakeError(
                f"The file holds more than {MOST_TRACKS} tracks, which no take does."
                " Export the take again."
            )
        track = read_track(raw, start, _extent(raw, start)[0], len(tracks), log)
        tracks.append(track)
        pos = _after(raw, start, track, log)
    return tracks


def _after(raw: bytes, start: int, track: Track, log: RepairLog) -> int:
    """Byte at which to look on after a track; what was odd about it is noted."""
    end, believed = _extent(raw, start)
    if track.fate == "ended":
        if not believed or raw.find(TRACK, track.stop, end) >= 0:
            log.add("length", start - 4)
            return track.stop
        if raw[track.stop : end].strip(b"\0"):
            log.add("after-end", track.stop, end - track.stop)
        return end
    if end == len(raw) and not believed and track.fate != "unreadable":
        log.add("cut", end)
    elif believed or track.fate != "open":
        log.add({"open": "no-end-mark"}.get(track.fate, track.fate), track.stop)
    else:
        log.add("length", start - 4)
    return end


def _next_track(raw: bytes, pos: int, log: RepairLog) -> int | None:
    """Byte after the name and length of the next track, or None if there is none."""
    while pos < len(raw):
        if raw[pos : pos + 4] == TRACK:
            return pos + 8 if pos + 8 <= len(raw) else None
        if _is_chunk(raw, pos):
            end = pos + 8 + int.from_bytes(raw[pos + 4 : pos + 8], "big")
            if _nearly(raw[pos : pos + 4], TRACK) and raw.endswith(END_MARK, pos + 8, end):
                log.add("track-name", pos)
                return pos + 8
            pos = end
            continue
        found = raw.find(TRACK, pos)
        skipped = raw[pos : found if found >= 0 else len(raw)]
        if skipped.strip(b"\0"):
            log.add("junk-between", pos, len(skipped))
        pos = found if found >= 0 else len(raw)
    return None


def _extent(raw: bytes, start: int) -> tuple[int, bool]:
    """Where the track whose body begins at `start` may end, and if its length is believed."""
    end = start + int.from_bytes(raw[start - 4 : start], "big")
    if end == len(raw) or (
        end < len(raw) and (raw.endswith(END_MARK, start, end) or _is_chunk(raw, end))
    ):
        return end, True
    following = raw.find(TRACK, start)
    return (following if following >= 0 else len(raw)), False


def _is_chunk(raw: bytes, pos: int) -> bool:
    """A chunk that fits into the file, or a track of any length, begins at `pos`."""
    name = raw[pos : pos + 4]
    if name == TRACK:
        return True
    size = int.from_bytes(raw[pos + 4 : pos + 8], "big")
    return len(name) == 4 and name.isalnum() and pos + 8 + size <= len(raw)


def _nearly(name: bytes, wanted: bytes) -> bool:
    return sum(a == b for a, b in zip(name, wanted, strict=False)) >= 3


def plain_bytes(raw: bytes, log: RepairLog) -> bytes:
    """`raw` without the carriage returns that sending it as text has put before line ends."""
    if b"\r\n" not in raw or raw.count(b"\n") != raw.count(b"\r\n"):
        return raw
    fixed = raw.replace(b"\r\n", b"\n")
    added = len(raw) - len(fixed)
    if _adds_up(raw) or not (_adds_up(fixed) or added >= PLENTY_OF_LINE_ENDS):
        return raw
    log.add("text-mode", 0, added)
    return fixed


def _adds_up(raw: bytes) -> bool:
    """Every length leads from chunk to chunk and the last to the end of the file."""
    pos = find_header(raw)
    while pos is not None and pos + 8 <= len(raw):
        pos += 8 + int.from_bytes(raw[pos + 4 : pos + 8], "big")
    return pos == len(raw)
