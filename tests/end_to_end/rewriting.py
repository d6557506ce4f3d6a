"""The same playing as other files: moved, in another octave or tempo, on other tracks.

A take is brought into a plain form, whose times are whole ticks, and written again in a way
that a person listening would call the same.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Final

from evaluator.take.model import Take
from tests.take.build import chunk, control, end, header, meta, number, off, on, tempo

DIVISION: Final = 960
"""Ticks a quarter note; at 120 a minute a tick is about half a millisecond."""
BEAT: Final = 500_000

Moment = tuple[int, int, bytes]
"""Tick, order within the tick, event without its delta time."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """A key from the tick of its stroke to that of its release."""

    start: int
    stop: int
    pitch: int
    velocity: int
    channel: int = 0
    track: int = 0


@dataclass(frozen=True, slots=True)
class Playing:
    """Everything that is written into a file."""

    strokes: tuple[Stroke, ...]
    pedal: tuple[tuple[int, int], ...]
    """(tick, value)."""
    beat: int = BEAT
    """Microseconds a quarter note."""
    division: int = DIVISION
    form: int = 1
    silence: int = 0
    """Ticks of rest before the end mark."""
    asides: tuple[Moment, ...] = ()
    """Events that are no playing, on the first track."""
    quiet_ends: bool = False
    """Keys are let go by strokes without loudness."""

    @property
    def midi(self) -> bytes:
        """The file."""
        tracks = 1 + max(stroke.track for stroke in self.strokes)
        bodies = [_body(self._moments(track)) + end(self.silence) for track in range(tracks)]
        return header(tracks, form=self.form, division=self.division) + b"".join(
            chunk(b"MTrk", body) for body in bodies
        )

    def _moments(self, track: int) -> list[Moment]:
        moments = [(0, -1, tempo(0, self.beat)[1:]), *self.asides] if track == 0 else []
        for stroke in self.strokes:
            if stroke.track != track:
                continue
            key = (stroke.pitch, stroke.velocity, stroke.channel)
            let_go = on(0, key[0], 0, key[2]) if self.quiet_ends else off(0, key[0], 64, key[2])
            moments.append((stroke.start, 2, on(0, *key)[1:]))
            moments.append((stroke.stop, 0, let_go[1:]))
        channels = {stroke.channel for stroke in self.strokes if stroke.track == track}
        for channel in sorted(channels):
            moments += [(at, 1, control(0, 64, value, channel)[1:]) for at, value in self.pedal]
        return sorted(moments, key=lambda moment: moment[:2])


def _body(moments: Iterable[Moment]) -> bytes:
    out, last = b"", 0
    for tick, _, event in moments:
        out += number(tick - last) + event
        last = tick
    return out


def plain(take: Take) -> Playing:
    """A take on one track and one channel."""

    def tick(seconds: float) -> int:
        return round(seconds * DIVISION * 1e6 / BEAT)

    columns = (take.onsets, take.offsets, take.pitches, take.velocities)
    strokes = tuple(
        Stroke(tick(start), max(tick(start) + 1, tick(stop)), pitch, velocity)
        for start, stop, pitch, velocity in zip(*(c.tolist() for c in columns), strict=True)
    )
    pedal = [(tick(down), 127) for down, _ in take.pedal] + [(tick(up), 0) for _, up in take.pedal]
    return Playing(strokes, tuple(sorted(pedal)))


def _each(playing: Playing, change: Callable[[Stroke], Stroke]) -> Playing:
    return replace(playing, strokes=tuple(map(change, playing.strokes)))


def later(playing: Playing, seconds: float) -> Playing:
    """Everything that much later."""
    ticks = round(seconds * playing.division * 1e6 / playing.beat)
    moved = _each(playing, lambda s: replace(s, start=s.start + ticks, stop=s.stop + ticks))
    return replace(moved, pedal=tuple((at + ticks, value) for at, value in playing.pedal))


def octave(playing: Playing, octaves: int) -> Playing:
    """Every key so many octaves up."""
    return _each(playing, lambda s: replace(s, pitch=s.pitch + 12 * octaves))


def slower(playing: Playing, times: float) -> Playing:
    """The same ticks at another tempo."""
    return replace(playing, beat=round(playing.beat * times))


def _asides(playing: Playing) -> Playing:
    """Words, a program, another meter and clock signals."""
    asides = (
        (0, -3, meta(0, 0x58, b"\x05\x03\x18\x08")[1:]),
        (0, -3, meta(0, 0x03, b"take 7")[1:]),
        (0, -2, b"\xc0\x05"),
        *((480 * count, 3, meta(0, 0x01, b"la")[1:]) for count in range(8)),
        *((480 * count, 3, b"\xe0\x00\x40") for count in range(8)),
    )
    return replace(playing, asides=asides)


REWRITTEN: Final[Mapping[str, Callable[[Playing], Playing]]] = {
    "format 0": lambda p: replace(p, form=0),
    "ticks half as long": lambda p: replace(
        _each(p, lambda s: replace(s, start=2 * s.start, stop=2 * s.stop)),
        pedal=tuple((2 * at, value) for at, value in p.pedal),
        division=2 * p.division,
    ),
    "every fifth key on another channel": lambda p: _each(
        p, lambda s: replace(s, channel=s.pitch % 5)
    ),
    "every third key on another track": lambda p: _each(p, lambda s: replace(s, track=s.pitch % 3)),
    "keys let go by quiet strokes": lambda p: replace(p, quiet_ends=True),
    "words, a program and a meter": _asides,
    "silence after the end": lambda p: replace(p, silence=20 * DIVISION),
}
"""The very same sound: nothing that is said of it may differ."""

MOVED: Final[Mapping[str, Callable[[Playing], Playing]]] = {
    "a low and a high track": lambda p: _each(p, lambda s: replace(s, track=1 + (s.pitch < 60))),
    "a low and a high channel": lambda p: _each(p, lambda s: replace(s, channel=int(s.pitch < 60))),
    "silence before it": lambda p: later(p, 17.3),
    "a moment later": lambda p: later(p, 0.01),
    "an octave up": lambda p: octave(p, 1),
    "an octave down": lambda p: octave(p, -1),
    "a little slower": lambda p: slower(p, 1.06),
    "a little faster": lambda p: slower(p, 0.95),
    "a quarter slower": lambda p: slower(p, 1.25),
    "a quarter faster": lambda p: slower(p, 0.8),
}
"""The same music elsewhere: its chords and its form are what they were. Parted at middle C, as
pianos part the hands, it may be told otherwise which hand struck a note."""
