"""How does a musician play a printed piece?

Bends the time over phrases and within bars, waits at fermatas, slows down where the score says
so and at the end; plays ornaments in the usual ways (the tables of C. P. E. Bach, Versuch, 1753,
from memory; short grace notes before or on the beat, common practice, no source), rolls chords,
strikes a melody a little ahead of its chords. What is struck wrongly on purpose is known.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from tests.bench.dice import Dice
from tests.bench.engraved import Bar, Item, Piece
from tests.playing import Note
from tests.playing.mistakes import Truth
from tests.playing.performance import Performance

Make = Callable[..., Note]
"""Makes a note of onset, end and key, softer by so much."""
Every = set[tuple[Fraction, int]]
"""Places and keys that are struck."""
MAJOR = (0, 2, 4, 5, 7, 9, 11)


@dataclass(frozen=True, slots=True)
class Style:
    """How somebody plays."""

    bpm: float = 84.0
    """Quarters a minute."""
    phrase: float = 0.06
    """How far the tempo goes up and down over four bars."""
    bar: float = 0.03
    """How far single beats are longer or shorter than others."""
    within: float = 0.0
    """How far the melody goes astray from the accompaniment, in quarters."""
    jitter: float = 0.010
    """Seconds, of single strikes."""
    lead: float = 0.015
    """Seconds by which the melody comes first."""
    close: float = 1.45
    """How much slower the end is."""
    over_dotted: float = 0.0
    """Share by which sixteenths behind a dot are shortened, and inner eighths swung."""
    repeats: bool = True
    wrong: float = 0.0
    """Share of strikes that are wrong."""
    grazed: float = 0.0
    """Share of strikes beside which a neighbouring key is brushed."""
    unmarked_roll: float = 0.0
    """Seconds over which chords of three and more notes are spread without a sign."""
    breath: float = 0.0
    """Seconds that are waited where all voices rest at the end of a bar."""
    cadenza: bool = False
    """Plays some notes of one's own at a fermata."""


@dataclass(slots=True)
class Played:
    """What is true of a take."""

    starts: list[float | None] = field(default_factory=list)
    """For each played bar when its first beat was struck."""
    wrong: list[tuple[float, str]] = field(default_factory=list)
    brushed: list[float] = field(default_factory=list)


@dataclass(slots=True)
class _Struck:
    """An item as it is to be played, ties joined."""

    place: Fraction
    length: Fraction
    item: Item
    staff: int
    top: bool
    fifths: int


def perform(piece: Piece, style: Style, *seed: int) -> tuple[Performance, Played]:
    """Play the piece through."""
    dice = Dice(*seed)
    order = piece.order if style.repeats or not piece.short_order else piece.short_order
    bars = [piece.bars[place] for place in order]
    clock = _Clock(bars, style, dice)
    struck = _joined(bars)
    notes: list[Note] = []
    played = Played()
    every = {(one.place, key) for one in struck for key in one.item.keys}
    for one in struck:
        notes += _one(one, clock, style, dice, played, every)
    place = Fraction()
    places = {one.place for one in struck}
    for bar in bars:
        played.starts.append(clock.at(place) if place in places else None)
        place += bar.length
    return Performance(tuple(_playable(notes)), (), Truth((), (), (), 0, True)), played


class _Clock:
    """When each place of the played piece comes."""

    def __init__(self, bars: Sequence[Bar], style: Style, dice: Dice) -> None:
        beat = Fraction(1, 2)
        self._places: list[Fraction] = [Fraction()]
        self._times = [1.0]
        holds = self._holds(bars)
        base = 60.0 / style.bpm
        place, slow = Fraction(), 1.0
        first = next((bar.tempo for bar in bars if bar.tempo), None)
        tempo = 1.0
        for number, bar in enumerate(bars):
            if bar.tempo and first:
                tempo = first / bar.tempo
            if "rit" in bar.words:
                slow = 1.06
            if "a tempo" in bar.words:
                slow = 1.0
            left = len(bars) - number
            end = place + bar.length
            rest = (
                end
                - max(
                    sum((one.length for one in _sounding(voice)), Fraction())
                    for voices in bar.voices.values()
                    for voice in voices
                )
                - place
            )
            breath = style.breath / float(2 * rest) if rest >= Fraction(1, 2) else 0.0
            arch = style.phrase * (abs((number % 4) - 1.5) - 1.0)
            while place < end:
                step = min(beat, end - place)
                bend = 1.0 + arch + dice.between(-style.bar, style.bar)
                if slow > 1.0:
                    bend *= slow
                    slow = min(1.8, slow * 1.05)
                if left <= 1:
                    done = float((place - (end - bar.length)) / bar.length)
                    bend *= 1.0 + (style.close - 1.0) * done
                for begins, ends in holds:
                    if begins <= place < ends:
                        bend *= 2.2
                waited = breath * float(2 * step) if place >= end - rest else 0.0
                self._places.append(place + step)
                self._times.append(self._times[-1] + float(step) * base * tempo * bend + waited)
                place += step

    def _holds(self, bars: Sequence[Bar]) -> list[tuple[Fraction, Fraction]]:
        """From where all who have a fermata in a bar are held, to the end of the bar."""
        found, place = [], Fraction()
        for bar in bars:
            held: list[Fraction] = []
            for voices in bar.voices.values():
                for voice in voices:
                    at = place
                    for item in voice:
                        if item.sign == "fermata":
                            held.append(at)
                        at += item.length
            place += bar.length
            if held:
                found.append((max(held), place))
        return found

    def at(self, place: Fraction) -> float:
        """Seconds."""
        after = min(bisect_right(self._places, place), len(self._places) - 1)
        a, b = self._places[after - 1], self._places[after]
        share = float((place - a) / (b - a))
        return self._times[after - 1] + share * (self._times[after] - self._times[after - 1])


def _sounding(voice: Sequence[Item]) -> Sequence[Item]:
    """A voice without the rests at its end."""
    last = max((place for place, one in enumerate(voice) if one.keys), default=-1)
    return voice[: last + 1]


def _joined(bars: Sequence[Bar]) -> list[_Struck]:
    """What is struck, with ties joined over bar lines."""
    found: list[_Struck] = []
    place = Fraction()
    open_ties: dict[tuple[int, int, tuple[int, ...]], _Struck] = {}
    for bar in bars:
        for staff, voices in bar.voices.items():
            for number, voice in enumerate(voices):
                at = place
                for item in voice:
                    tie = (staff, number, item.keys)
                    if item.keys and not item.cue and item.shown:
                        held = open_ties.pop(tie, None)
                        if held is not None and held.place + held.length == at:
                            held.length += item.length
                            one = held
                        else:
                            one = _Struck(
                                at, item.length, item, staff, staff == 1 and not number, bar.fifths
                            )
                            found.append(one)
                        if item.tied:
                            open_ties[tie] = one
                    at += item.length
        place += bar.length
    return sorted(found, key=lambda one: (one.place, one.staff))


def _one(
    one: _Struck,
    clock: _Clock,
    style: Style,
    dice: Dice,
    played: Played,
    every: Every,
) -> Iterator[Note]:
    item = one.item
    hand = "right" if one.staff == 1 else "left"
    begins, ends = clock.at(one.place), clock.at(one.place + one.length)
    if style.within and one.top and one.place.denominator != 1:
        begins += dice.between(-1, 1) * style.within * 60.0 / style.bpm
    if style.over_dotted and one.place.denominator == 4 and one.length == Fraction(1, 4):
        begins += style.over_dotted * (ends - begins)
    if style.over_dotted and one.place.denominator == 2 and one.length == Fraction(1, 2):
        begins += 0.4 * style.over_dotted * (ends - begins)
    begins += dice.rng.normal(0.0, style.jitter)
    begins -= style.lead if one.top else 0.0
    short = 0.45 if item.sign == "staccato" else dice.between(0.85, 1.02)
    loud = (72 if one.top else 55) + dice.count(-6, 6)

    def note(at: float, until: float, key: int, less: int = 0) -> Note:
        return Note(at, max(until, at + 0.03), key, max(20, loud - less), hand)

    plain = item.sign not in _PLAYED and not (item.graces or item.after or item.partner)
    if style.wrong and plain and len(item.keys) and dice.chance(style.wrong):
        until = begins + short * (ends - begins)
        yield from _wrong(one, until, (dice, played, every), begins, note)
        return
    if item.partner and item.sign == "glissando":
        yield from _slide(item, begins, ends, note)
        return
    if item.partner:
        turns = (item.keys, item.partner)
        yield from _again(turns, begins, ends, note)
        return
    rolls = item.sign in ("roll", "roll down") or (style.unmarked_roll and len(item.keys) >= 3)
    keys = sorted(item.keys, reverse=item.sign == "roll down")
    signed = item.sign in ("roll", "roll down")
    spread = min(dice.between(0.12, 0.35), 0.6 * (ends - begins)) if signed else style.unmarked_roll
    if signed and spread < 0.16 and one.place and dice.chance(0.5):
        begins -= spread
    shift = 0.0
    if item.graces:
        shift = yield from _graces(one, begins, ends, dice, note)
    for place, key in enumerate(keys):
        at = begins + shift
        at += spread * place / max(1, len(keys) - 1) if rolls else dice.rng.normal(0.0, 0.006)
        until = begins + short * (ends - begins)
        if item.sign in _PLAYED and key == max(keys):
            yield from _ornament(one, key, at, begins + 0.95 * (ends - begins), dice, note)
        elif item.sign == "tremolo":
            yield from _again(((key,),), at, ends, note)
        else:
            yield note(at, max(until, at + 0.06), key)
    for place, key in enumerate(item.after):
        at = ends - 0.075 * (len(item.after) - place)
        yield note(at, at + 0.07, key, 8)
    if style.grazed and plain and dice.chance(style.grazed):
        key = dice.pick(keys) + dice.pick((-2, -1, 1, 2))
        if key not in item.keys:
            played.brushed.append(begins)
            at = begins + dice.between(-0.01, 0.035)
            yield Note(at, at + dice.between(0.04, 0.09), key, max(15, round(0.55 * loud)), hand)
    if style.cadenza and item.sign == "fermata" and one.top and not item.graces:
        at = begins + 0.4 * (ends - begins)
        while at < ends - 0.3:
            key = max(keys) + dice.pick((-5, -3, -1, 2, 4))
            yield note(at, at + 0.12, key, 6)
            at += 0.14


_PLAYED = frozenset(
    ("trill", "mordent", "upper mordent", "turn", "inverted turn", "late turn", "schleifer")
)


def _wrong(
    one: _Struck, until: float, take: tuple[Dice, Played, Every], begins: float, make: Make
) -> Iterator[Note]:
    """The strike with another key for one of its own, without one, or with one more."""
    dice, played, every = take
    keys = one.item.keys
    kind = dice.pick(("other", "other", "left out", "added"))
    amiss = dice.pick(keys)
    taken = {key for place, key in every if abs(place - one.place) <= 1}
    others = [amiss + step for step in (-4, -3, -2, -1, 1, 2, 3, 4) if amiss + step not in taken]
    others = [k for k in others if k % 12 not in {t % 12 for t in taken}] or others
    if kind != "left out" and not others:
        kind = "left out"
    shared = sum((one.place, key) in every for key in keys)
    if kind == "left out" and shared:
        played.wrong.append((begins, f"{amiss} left out"))
    for key in keys:
        if kind == "added" or key != amiss:
            yield make(begins, until, key)
    if kind != "left out":
        other = dice.pick(others)
        played.wrong.append((begins, f"{other} {kind if kind == 'added' else f'for {amiss}'}"))
        yield make(begins, until, other)


def _graces(one: _Struck, begins: float, ends: float, dice: Dice, make: Make) -> Iterator[Note]:
    """The grace notes; how much later that makes their note."""
    graces = one.item.graces
    if not one.item.slashed and len(graces) == 1:
        share = 2 / 3 if one.length in (Fraction(3), Fraction(3, 2), Fraction(3, 4)) else 0.5
        half = min(share * (ends - begins), 0.8)
        yield make(begins, begins + half, graces[0])
        return half
    each = dice.between(0.045, 0.085)
    first = begins - each * len(graces) if dice.chance(0.6) and one.place else begins
    for place, key in enumerate(graces):
        at = first + each * place
        yield make(at, at + each, key, 6)
    return 0.0 if first < begins else each * len(graces)


def _ornament(
    one: _Struck, key: int, begins: float, ends: float, dice: Dice, make: Make
) -> Iterator[Note]:
    above, below = _step(key, one.fifths, 1), _step(key, one.fifths, -1)
    if dice.chance(0.3):
        below = key - 1
    sign = one.item.sign
    each = min(dice.between(0.065, 0.1), (ends - begins) / 6)
    if sign == "trill":
        most = max(2, int((ends - begins) / each) - 1)
        count = min(most, dice.pick((3, 5, 8, 99)) * 2)
        keys = [above, key] * count if dice.chance(0.5) else [key, above] * count
        keys = keys[: 2 * (count // 2) + 1] if keys[0] == key else keys[: 2 * (count // 2)]
        if dice.chance(0.3):
            keys = [below, *keys]
        if dice.chance(0.4) and len(keys) + 2 <= most:
            keys += [below, key]
    elif sign == "mordent":
        keys = [key, below, key] if dice.chance(0.7) else [key, below, key, below, key]
    elif sign == "upper mordent":
        keys = dice.pick(([key, above, key], [above, key, above, key]))
    elif sign in ("turn", "late turn"):
        keys = [above, key, below, key]
    elif sign == "inverted turn":
        keys = [below, key, above, key]
    else:
        below = _step(key, one.fifths, -1)
        keys = [_step(below, one.fifths, -1), below, key]
    if sign == "late turn" or (sign == "turn" and dice.chance(0.4)):
        middle = begins + 0.5 * (ends - begins)
        yield make(begins, middle, key)
        begins = middle
    early = sign in ("mordent", "upper mordent", "schleifer") and dice.chance(0.3)
    at = begins - each * (len(keys) - 1) if early and one.place else begins
    for place, one_key in enumerate(keys):
        until = ends if place == len(keys) - 1 else at + each
        yield make(at, until, one_key, 4 if place else 0)
        at += each


def _again(
    turns: Sequence[Sequence[int]], begins: float, ends: float, make: Make
) -> Iterator[Note]:
    """Strikes by turns up to the end."""
    at, count = begins, 0
    while at < ends - 0.05:
        for key in turns[count % len(turns)]:
            yield make(at, at + 0.07, key)
        at, count = at + 0.085, count + 1


def _slide(item: Item, begins: float, ends: float, make: Make) -> Iterator[Note]:
    """The white keys from a note to its partner, over the end of the note."""
    (start,), (goal,) = item.keys, item.partner
    way = 1 if goal > start else -1
    keys = [key for key in range(start + way, goal, way) if key % 12 in MAJOR]
    at = max(begins + 0.3 * (ends - begins), ends - 0.05 * len(keys))
    yield make(begins, at, start)
    for key in keys:
        until = at + (ends - at) / (len(keys) + 1)
        yield make(at, until, key, 4)
        at = until


def _step(key: int, fifths: int, up: int) -> int:
    """The next key of the scale."""
    scale = {(7 * fifths + one) % 12 for one in MAJOR}
    key += up
    while key % 12 not in scale:
        key += up
    return key


def _playable(notes: list[Note]) -> list[Note]:
    """Each key once at a time: let go before it is struck again; a unison is struck once."""
    found: list[Note] = []
    last: dict[int, int] = {}
    for note in sorted(notes, key=lambda one: one.onset):
        before = last.get(note.pitch)
        if before is not None:
            old = found[before]
            if note.onset - old.onset < 0.045:
                continue
            if old.offset > note.onset - 0.01:
                found[before] = Note(
                    old.onset,
                    max(old.onset + 0.02, note.onset - 0.01),
                    old.pitch,
                    old.velocity,
                    old.hand,
                )
        last[note.pitch] = len(found)
        found.append(note)
    return found
