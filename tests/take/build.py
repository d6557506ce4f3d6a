"""MIDI files byte by byte, so that the tests can also build wrong ones."""

from collections.abc import Iterable

NOTE_OFF, NOTE_ON, CONTROL = 0x80, 0x90, 0xB0
END = b"\xff\x2f\x00"


def number(value: int) -> bytes:
    """A variable-length quantity."""
    octets = [value & 0x7F]
    while value := value >> 7:
        octets.append(value & 0x7F | 0x80)
    return bytes(reversed(octets))


def on(delta: int, pitch: int, velocity: int = 64, channel: int = 0) -> bytes:
    return number(delta) + bytes((NOTE_ON | channel, pitch, velocity))


def off(delta: int, pitch: int, velocity: int = 64, channel: int = 0) -> bytes:
    return number(delta) + bytes((NOTE_OFF | channel, pitch, velocity))


def control(delta: int, controller: int, value: int, channel: int = 0) -> bytes:
    return number(delta) + bytes((CONTROL | channel, controller, value))


def program(delta: int, number_of: int, channel: int = 0) -> bytes:
    return number(delta) + bytes((0xC0 | channel, number_of))


def meta(delta: int, kind: int, content: bytes = b"") -> bytes:
    return number(delta) + bytes((0xFF, kind)) + number(len(content)) + content


def tempo(delta: int, microseconds: int) -> bytes:
    return meta(delta, 0x51, microseconds.to_bytes(3, "big"))


def end(delta: int = 0) -> bytes:
    return meta(delta, 0x2F)


def chunk(name: bytes, content: bytes, size: int | None = None) -> bytes:
    length = len(content) if size is None else size
    return name + length.to_bytes(4, "big") + content


def header(
    tracks: int, *, form: int = 1, division: int = 96, name: bytes = b"MThd", extra: bytes = b""
) -> bytes:
    words = b"".join(word.to_bytes(2, "big") for word in (form, tracks, division))
    return chunk(name, words + extra)


def midi(*tracks: bytes | Iterable[bytes], form: int = 1, division: int = 96) -> bytes:
    """A whole file; each track is its events without the end mark."""
    bodies = [track if isinstance(track, bytes) else b"".join(track) for track in tracks]
    return header(len(bodies), form=form, division=division) + b"".join(
        chunk(b"MTrk", body + end()) for body in bodies
    )
