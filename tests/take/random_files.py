"""Seeded random MIDI files, full of what real ones contain, for comparison with other readers."""

import random
from dataclasses import dataclass

from tests.take.build import chunk, control, end, header, meta, number, tempo


@dataclass(frozen=True)
class Habits:
    """What the random file may contain."""

    overlaps: bool
    """A key is struck again before it is let go, and notes may have no length."""
    marks_in_any_track: bool
    """Tempo and meter are not kept to the first track, where they belong."""


def random_file(seed: int, habits: Habits) -> bytes:
    """A sound, legal file of format 0 or 1."""
    dice = random.Random(seed)
    count = dice.choice([1, 1, 2, 3, 5])
    form = 0 if count == 1 and dice.random() < 0.5 else 1
    division = dice.choice([24, 96, 120, 384, 480, 960, 1000, 15360])
    tracks = [
        chunk(b"MTrk", _body(dice, habits, division, first=index == 0)) for index in range(count)
    ]
    return header(count, form=form, division=division) + b"".join(tracks)


def _body(dice: random.Random, habits: Habits, division: int, *, first: bool) -> bytes:
    channels = [dice.randrange(9), *(dice.randrange(16) for _ in range(dice.randint(0, 2)))]
    moments: list[tuple[int, int, bytes]] = []
    busy: dict[tuple[int, int], int] = {}
    for order in range(dice.randint(3, 40)):
        tick = dice.randrange(1, division * 40)
        channel, pitch = dice.choice(channels), dice.randrange(128)
        length = dice.randrange(0 if habits.overlaps else 1, division * 4)
        if habits.overlaps and dice.random() < 0.3:
            pitch = 60
        elif (channel, pitch) in busy:
            continue
        busy[channel, pitch] = tick
        moments.append((tick, 2 * order, bytes((0x90 | channel, pitch, dice.randint(1, 127)))))
        release = dice.choice(
            [bytes((0x80 | channel, pitch, 64)), bytes((0x90 | channel, pitch, 0))]
        )
        moments.append((tick + length, 2 * order + 1, release))
    for _ in range(dice.randint(0, 20)):
        moments.append((dice.randrange(division * 40), -1, _aside(dice, channels)))
    if first or habits.marks_in_any_track:
        moments.append((0, -2, meta(0, 0x58, b"\x03\x02\x18\x08")[1:]))
        for _ in range(dice.randint(0, 6)):
            change = tempo(0, dice.randint(200_000, 1_500_000))[1:]
            moments.append((dice.randrange(division * 40), -2, change))
    moments.sort(key=lambda moment: moment[:2])
    return _written(dice, moments) + end(dice.choice([0, division]))


def _aside(dice: random.Random, channels: list[int]) -> bytes:
    """An event, without its delta time, that adds no note."""
    channel = dice.choice(channels)
    return dice.choice(
        [
            bytes((0xC0 | channel, dice.randrange(128))),
            bytes((0xD0 | channel, dice.randrange(128))),
            bytes((0xA0 | channel, dice.randrange(128), dice.randrange(128))),
            bytes((0xE0 | channel, dice.randrange(128), dice.randrange(128))),
            control(0, 7, dice.randrange(128), channel)[1:],
            control(0, 64, dice.choice([0, 127]), channel)[1:],
            meta(0, 0x01, b"words")[1:],
            meta(0, 0x7F, bytes(200))[1:],
            b"\xf0\x05\x7e\x7f\x09\x01\xf7",
        ]
    )


def _written(dice: random.Random, moments: list[tuple[int, int, bytes]]) -> bytes:
    """The events with delta times, now and then under running status."""
    out, last, running = b"", 0, -1
    for tick, _, event in moments:
        status = event[0]
        saved = status == running and dice.random() < 0.7
        out += number(tick - last) + (event[1:] if saved else event)
        running = status if status < 0xF0 else -1
        last = tick
    return out
