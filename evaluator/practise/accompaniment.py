"""What does the piano play along with the student, and how is a bar counted in?

One hand as the chart has it, the chords alone, or a click, as messages at their place in the
passage. Softer than the student plays, so that the student is heard.

Places are written seconds (at the chart's tempo) from the passage's beginning.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import Final, Literal

from evaluator.chart.graph import Bar
from evaluator.practise.guide import CLICKS, count_in_bars
from evaluator.practise.strokes import Stroke, chords, strokes
from evaluator.take.events import DRUMS

Part = Literal["left", "right", "chords", "click"]

LOUDNESS: Final = 48
LIFT: Final = 0.05
"""Written seconds by which a key is let go before its time is over, to be struck again."""
NOTE_ON, NOTE_OFF = 0x90, 0x80


@dataclass(frozen=True, slots=True)
class Sound:
    """A MIDI message, and when it is due: `at` written seconds from where the bars begin."""

    at: float
    raw: bytes

    @property
    def strikes(self) -> bool:
        """Whether it begins a sound."""
        return self.raw[0] & 0xF0 == NOTE_ON and self.raw[2] > 0


def sounds(bars: Sequence[Bar], parts: Iterable[Part], *, channel: int = 0) -> tuple[Sound, ...]:
    """What the piano plays in these bars, in order; keys on the student's own channel."""
    begins = [0.0, *accumulate(bar.seconds for bar in bars)]
    found: list[Sound] = []
    for part in parts:
        if part == "click":
            found += _clicks(bars, begins)
        else:
            every = chords(bars) if part == "chords" else strokes(bars)
            hand = "right" if part == "chords" else part
            found += [
                sound
                for stroke in every
                if stroke.hand == hand
                for sound in _keys(stroke, bars[stroke.place], begins[stroke.place], channel)
            ]
    # What is let go comes before what is struck at the same moment.
    return tuple(sorted(found, key=lambda sound: (sound.at, sound.strikes, sound.raw)))


def count_in(bar: Bar) -> tuple[tuple[float, bytes], ...]:
    """The strokes of a count-in before a bar: beats from its beginning, and the message."""
    beats = range(count_in_bars(bar) * bar.meter.beats)
    return tuple((float(beat), _click(beat % bar.meter.beats)) for beat in beats)


def _clicks(bars: Sequence[Bar], begins: Sequence[float]) -> Iterator[Sound]:
    for bar, begin in zip(bars, begins, strict=False):
        for beat in range(bar.meter.beats):
            yield Sound(begin + beat * bar.seconds_per_beat, _click(beat))


def _click(beat: int) -> bytes:
    key, loud = CLICKS[min(beat, 1)]
    return bytes((NOTE_ON | DRUMS, key, loud))


def _keys(stroke: Stroke, bar: Bar, begin: float, channel: int) -> Iterator[Sound]:
    start, end = (
        begin + float(beat) * bar.seconds_per_beat for beat in (stroke.beat, stroke.until)
    )
    lift = min(LIFT, (end - start) / 4)
    for key in stroke.keys:
        yield Sound(start, bytes((NOTE_ON | channel, key, LOUDNESS)))
        yield Sound(end - lift, bytes((NOTE_OFF | channel, key, 64)))
