"""Which things can be printed in a piano piece, and be played so that they are easily misjudged?

A plain piece of a melody over a figure, and one thing of the trade in it at a time: each name in
`FEATURES` is a row of `tests.bench.engraved_all`. All pieces are invented by chance.
"""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from fractions import Fraction

from tests.bench.dice import Dice
from tests.bench.engraved import Bar, Item, Piece
from tests.bench.engraved_player import MAJOR, Style

DEGREES = ((0, 3, 4, 0), (0, 5, 3, 4), (0, 1, 4, 0), (5, 3, 0, 4), (0, 4, 5, 2), (3, 4, 2, 5))
F = Fraction
HALF, LONGEST = F(1, 2), F(4)
CELLS = {
    1: (("1",), ("1/2", "1/2"), ("3/4", "1/4"), ("1/4", "1/4", "1/2"), ("1/4",) * 4),
    2: (("2",), ("1", "1"), ("3/2", "1/2")),
}


@dataclass(slots=True)
class Made:
    """A piece in the making, and how it is to be played."""

    dice: Dice
    bars: list[Bar]
    style: Style = field(default_factory=Style)
    order: list[int] | None = None
    short_order: list[int] = field(default_factory=list)

    def melody(self, bar: int) -> list[Item]:
        return self.bars[bar].voices[1][0]

    def some(self, least: F = HALF, most: F = LONGEST, share: float = 0.4) -> list[tuple[int, int]]:
        """Places of some notes of the melody that are so long."""
        return [
            (bar, place)
            for bar in range(len(self.bars))
            for place, item in enumerate(self.melody(bar))
            if item.keys and least <= item.length <= most and self.dice.chance(share)
        ]

    def change(self, at: tuple[int, int], **what: object) -> None:
        bar, place = at
        melody = self.melody(bar)
        melody[place] = replace(melody[place], **what)  # type: ignore[arg-type]


def compose(name: str, *seed: int) -> tuple[Piece, Style]:
    """A piece with that feature, and a musician for it."""
    dice = Dice(*seed, sum(map(ord, name)))
    meter = dice.pick(((4, 4), (3, 4), (2, 4), (6, 8)))
    made = Made(dice, plain(dice, meter, dice.count(16, 24)))
    made.style = Style(bpm=dice.between(66, 116))
    made.bars[0].tempo = float(round(made.style.bpm))
    FEATURES[name](made)
    order = made.order if made.order is not None else list(range(len(made.bars)))
    return Piece("Invented", made.bars, order, made.short_order), made.style


def plain(dice: Dice, meter: tuple[int, int], count: int, fifths: int | None = None) -> list[Bar]:
    """Bars of a melody over a figure; the last one is a closing chord."""
    fifths = dice.count(-4, 4) if fifths is None else fifths
    quarters = F(4 * meter[0], meter[1])
    figure = dice.pick(("broken", "chords", "bass and chords", "octaves", "slow"))
    degree, bars = dice.count(0, 6), []
    progression = dice.pick(DEGREES)
    for number in range(count):
        root = progression[number % 4]
        melody: list[Item] = []
        left = quarters
        while left > 0:
            beats = 2 if left >= 2 and dice.chance(0.3) else 1
            beats = beats if left >= beats else 0
            cell = dice.pick(CELLS[beats]) if beats else (str(left),)
            for text in cell:
                degree = max(-2, min(11, degree + dice.pick((-2, -1, -1, 1, 1, 2, 3, -3))))
                melody.append(Item(F(text), (key_of(degree, fifths, 72),)))
            left -= sum(map(F, cell))
        below = accompaniment(figure, root, fifths, quarters, meter)
        bars.append(Bar({1: [melody], 2: [below]}, meter, fifths))
    end = tuple(key_of(one, fifths, 60) for one in (0, 2, 4))
    bars[-1] = Bar(
        {1: [[Item(quarters, end)]], 2: [[Item(quarters, (key_of(0, fifths, 48),))]]}, meter, fifths
    )
    return bars


def key_of(degree: int, fifths: int, around: int) -> int:
    """A key of the scale, counted from the tonic above or at `around` less six."""
    tonic = (7 * fifths) % 12
    base = around - 6 + (tonic - (around - 6)) % 12
    return base + 12 * (degree // 7) + MAJOR[degree % 7]


def accompaniment(
    figure: str, root: int, fifths: int, quarters: F, meter: tuple[int, int]
) -> list[Item]:
    """A bar of the left hand."""
    low = [key_of(root + one, fifths, 50) for one in (0, 2, 4)]
    low = [key - 12 if low[0] > 55 else key for key in low]
    eighths = int(2 * quarters)
    if figure == "broken":
        turn = [low[0], low[2], low[1], low[2]] if meter[1] == 4 else low
        return [Item(F(1, 2), (turn[at % len(turn)],)) for at in range(eighths)]
    beat = F(1) if meter[1] == 4 else F(3, 2)
    beats = int(quarters / beat)
    if figure == "chords":
        return [Item(beat, tuple(low)) for _ in range(beats)]
    if figure == "bass and chords" and beats > 1:
        return [Item(beat, (low[0] - 12,))] + [Item(beat, tuple(low)) for _ in range(beats - 1)]
    if figure == "octaves":
        return [Item(beat, (low[0] - 12, low[0])) for _ in range(beats)]
    return [Item(quarters, (low[0] - 12, *low[1:]))]


def adorn(sign: str, least: F = HALF, share: float = 0.4) -> Callable[[Made], None]:
    def put(made: Made) -> None:
        for at in made.some(least, share=share):
            made.change(at, sign=sign)

    return put


def _styled(**what: object) -> Callable[[Made], None]:
    def put(made: Made) -> None:
        made.style = replace(made.style, **what)  # type: ignore[arg-type]

    return put


def _graces(count: int, *, slashed: bool = True, least: F = HALF) -> Callable[[Made], None]:
    def put(made: Made) -> None:
        fifths = made.bars[0].fifths
        for bar, place in made.some(least):
            (key,) = made.melody(bar)[place].keys[:1]
            start = made.dice.pick((-count, count))
            steps = range(start, 0, 1 if start < 0 else -1)
            graces = tuple(_stepped(key, fifths, step) for step in steps)
            made.change((bar, place), graces=graces, slashed=slashed)

    return put


def _stepped(key: int, fifths: int, steps: int) -> int:
    scale = {(7 * fifths + one) % 12 for one in MAJOR}
    way = 1 if steps > 0 else -1
    for _ in range(abs(steps)):
        key += way
        while key % 12 not in scale:
            key += way
    return key


def _leaping_grace(made: Made) -> None:
    for bar, place in made.some():
        (key,) = made.melody(bar)[place].keys[:1]
        made.change((bar, place), graces=(key - 12,))
    for bar in made.bars[:-1]:
        first = bar.voices[2][0][0]
        if made.dice.chance(0.4) and first.keys:
            bar.voices[2][0][0] = replace(first, graces=(min(first.keys) - 12,))


def _trill_closed(made: Made) -> None:
    fifths = made.bars[0].fifths
    for bar, place in made.some(F(1)):
        (key,) = made.melody(bar)[place].keys[:1]
        made.change((bar, place), sign="trill", after=(_stepped(key, fifths, -1), key))


def _trill_tied(made: Made) -> None:
    for number in range(2, len(made.bars) - 3, 4):
        whole = made.bars[number].length
        (key,) = made.melody(number)[0].keys[:1]
        made.bars[number].voices[1][0] = [Item(whole, (key,), tied=True, sign="trill")]
        made.bars[number + 1].voices[1][0] = [Item(whole, (key,))]


def _trill_below(made: Made) -> None:
    for number in range(1, len(made.bars) - 1, 3):
        melody = made.melody(number)
        made.bars[number].voices[1].append(
            [
                Item(
                    made.bars[number].length,
                    (min(k for i in melody for k in i.keys) - 5,),
                    sign="trill",
                )
            ]
        )


def _chords(made: Made, sign: str = "") -> None:
    fifths = made.bars[0].fifths
    for bar, place in made.some(share=0.7):
        (key,) = made.melody(bar)[place].keys[:1]
        keys = tuple(sorted({key, _stepped(key, fifths, -2), _stepped(key, fifths, -5)}))
        made.change((bar, place), keys=keys, sign=sign)


def _rolled_both(made: Made) -> None:
    _chords(made, "roll")
    for bar in made.bars:
        bar.voices[2][0] = [
            replace(one, sign="roll") if len(one.keys) > 2 else one for one in bar.voices[2][0]
        ]


def _tuplets(*sizes: int) -> Callable[[Made], None]:
    def put(made: Made) -> None:
        fifths = made.bars[0].fifths
        for bar in made.bars[:-1]:
            voice = bar.voices[1][0]
            for place, item in enumerate(list(voice)):
                if item.length == 1 and made.dice.chance(0.6):
                    size = made.dice.pick(sizes)
                    at = voice.index(item)
                    run = [
                        Item(F(1, size), (_stepped(item.keys[0], fifths, step),))
                        for step in (range(size) if place % 2 else range(0, -size, -1))
                    ]
                    voice[at : at + 1] = run

    return put


def _two_voices(made: Made) -> None:
    fifths = made.bars[0].fifths
    for bar in made.bars[:-1]:
        melody = bar.voices[1][0]
        quarters = bar.length
        low = min(key for one in melody for key in one.keys)
        half = quarters / 2
        second = [
            Item(half, (_stepped(low, fifths, -2),)),
            Item(half, (_stepped(low, fifths, -3),)),
        ]
        if made.dice.chance(0.3):
            second = [Item(half), Item(half, (_stepped(low, fifths, -2),))]
        bar.voices[1].append(second)
        bass = bar.voices[2][0][0].keys[0] - 12
        bar.voices[2].append([Item(quarters, (bass,))])


def _suspended(made: Made) -> None:
    """The last note of a bar held over into the next, in either hand."""
    for number in range(len(made.bars) - 2):
        if not made.dice.chance(0.6):
            continue
        for staff in (1, 2):
            last, first = made.bars[number].voices[staff][0], made.bars[number + 1].voices[staff][0]
            if last[-1].keys and made.dice.chance(0.7):
                last[-1] = replace(last[-1], tied=True)
                first[0] = replace(first[0], keys=last[-1].keys)


def _cross_hands(made: Made) -> None:
    """The left hand goes over into the melody's register on weak beats."""
    for number in range(1, len(made.bars) - 1, 2):
        bar = made.bars[number]
        top = max(key for one in bar.voices[1][0] for key in one.keys)
        left = bar.voices[2][0]
        for place in range(1, len(left), 2):
            left[place] = replace(left[place], keys=(_stepped(top, bar.fifths, 2),))


def _near_hands(made: Made) -> None:
    """Both hands in one octave, with keys that both have."""
    for bar in made.bars[:-1]:
        bar.voices[2][0] = [
            replace(one, keys=tuple(key + 19 - 19 % 12 for key in one.keys[:1]))
            for one in bar.voices[2][0]
        ]
        bar.voices[1][0] = [
            replace(one, keys=tuple(key - 12 for key in one.keys)) for one in bar.voices[1][0]
        ]
        if made.dice.chance(0.5):
            first = bar.voices[2][0][0]
            bar.voices[1][0][0] = replace(bar.voices[1][0][0], keys=first.keys)


def _other_staff(made: Made) -> None:
    """One run through both staves."""
    for number in range(1, len(made.bars) - 1, 2):
        bar = made.bars[number]
        eighths = int(2 * bar.length)
        run = [
            Item(F(1, 2), (key_of(step, bar.fifths, 55),), other_staff=step < 4)
            for step in range(eighths)
        ]
        bar.voices[1][0] = run
        bar.voices[2][0] = [Item(bar.length)]


def _pickup(made: Made) -> None:
    first = made.bars[0]
    length = F(1) if first.meter[1] == 4 else F(1, 2)
    up = Bar(
        {1: [[Item(length, (key_of(4, first.fifths, 72),))]], 2: [[Item(length)]]}, first.meter
    )
    up.fifths, up.tempo, first.tempo = first.fifths, first.tempo, None
    made.bars.insert(0, up)


def _repeats(*, taken: bool) -> Callable[[Made], None]:
    def put(made: Made) -> None:
        half = len(made.bars) // 2
        made.bars[half - 1].repeat_end = True
        made.bars[half].repeat_start = True
        made.bars[-1].repeat_end = True
        every = list(range(len(made.bars)))
        made.order = every[:half] * 2 + every[half:] * 2
        made.short_order = every
        made.style = replace(made.style, repeats=taken)

    return put


def _endings(*, taken: bool) -> Callable[[Made], None]:
    def put(made: Made) -> None:
        half = len(made.bars) // 2
        one, two = made.bars[half - 1], made.bars[half]
        one.ending, one.ending_begins, one.ending_ends, one.repeat_end = "1", True, True, True
        two.ending, two.ending_begins, two.ending_ends = "2", True, True
        every = list(range(len(made.bars)))
        made.order = every[:half] + every[: half - 1] + every[half:]
        made.short_order = every[: half - 1] + every[half:]
        made.style = replace(made.style, repeats=taken)

    return put


def _da_capo(made: Made) -> None:
    """Minuet and trio with their repeats, the minuet again without."""
    third = len(made.bars) // 3
    made.bars[third - 1].jump = "Fine"
    made.bars[third - 1].repeat_end = True
    made.bars[third].repeat_start = True
    made.bars[-1].repeat_end = True
    made.bars[-1].jump = "D.C. al Fine"
    every = list(range(len(made.bars)))
    made.order = every[:third] * 2 + every[third:] * 2 + every[:third]
    made.short_order = every + every[:third]
    made.style = replace(made.style, repeats=made.dice.chance(0.5))


def _da_capo_pickup(made: Made) -> None:
    _pickup(made)
    third = len(made.bars) // 3
    made.bars[third - 1].jump = "Fine"
    made.bars[-1].jump = "D.C. al Fine"
    every = list(range(len(made.bars)))
    made.order = every + every[:third]


def _changes(made: Made) -> None:
    """Other keys and meters, and another tempo, on the way."""
    dice, old = made.dice, made.bars
    bars = old[:6]
    for meter in dice.shuffled([(3, 4), (2, 4), (5, 8), (6, 8), (3, 8), (5, 4)])[:3]:
        more = plain(dice, meter, 5, dice.count(-3, 3))[:-1]
        bars += more
    if dice.chance(0.5):
        bars[10].tempo = float(round(made.style.bpm * 1.3))
    made.bars = [*bars, old[-1]]


def _fermatas(made: Made) -> None:
    for number in range(3, len(made.bars), 4):
        for staff in (1, 2):
            voice = made.bars[number].voices[staff][0]
            voice[-1] = replace(voice[-1], sign="fermata")


def _fermata_at_rest(made: Made) -> None:
    for number in range(3, len(made.bars) - 1, 5):
        for staff in (1, 2):
            voice = made.bars[number].voices[staff][0]
            voice[-1] = Item(voice[-1].length, (), sign="fermata")


def _cadenza(made: Made) -> None:
    number = len(made.bars) // 2
    bar = made.bars[number]
    beat = F(1) if bar.meter[1] == 4 else F(3, 2)
    left = bar.length - beat
    first = made.melody(number)[0].keys
    bar.voices[1][0] = [Item(beat, first), Item(left, (first[0] + 3,), sign="fermata")]
    bar.voices[2][0] = [Item(beat, (48,)), Item(left, (48, 55), sign="fermata")]
    made.style = replace(made.style, cadenza=True)


def _ritard(made: Made) -> None:
    at = len(made.bars) // 2
    made.bars[at].words = "poco rit."
    made.bars[at + 2].words = "a tempo"
    made.bars[-3].words = "ritardando"
    made.style = replace(made.style, close=1.8)


def _octave_up(made: Made) -> None:
    for number in range(4, len(made.bars) - 2):
        if number % 6 < 3:
            made.bars[number].octave_up = True
            made.bars[number].voices[1][0] = [
                replace(one, keys=tuple(key + 12 for key in one.keys))
                for one in made.bars[number].voices[1][0]
            ]


def _octave_clef(made: Made) -> None:
    for number in range(4, len(made.bars) - 2):
        made.bars[number].clef_octave = 1 if number % 6 < 3 else 0


def _cue(made: Made) -> None:
    """An ossia in small print beside the notes, and hidden notes that only a machine plays."""
    for number in range(2, len(made.bars) - 1, 3):
        bar = made.bars[number]
        quarters = bar.length
        key = key_of(4, bar.fifths, 84)
        small = [
            Item(F(1, 2), (key + made.dice.count(-3, 3),), cue=True)
            for _ in range(int(2 * quarters))
        ]
        bar.voices[1].append(small)


def _hidden(made: Made) -> None:
    for number in range(2, len(made.bars) - 1, 3):
        bar = made.bars[number]
        (key,) = bar.voices[1][0][0].keys[:1]
        hidden = [
            Item(F(1, 8), (key + (1, 0)[at % 2],), shown=False) for at in range(int(8 * bar.length))
        ]
        bar.voices[1].append(hidden)


def _tremolo(made: Made) -> None:
    for bar in made.bars[:-1]:
        if made.dice.chance(0.4):
            first = bar.voices[2][0][0]
            bar.voices[2][0] = [Item(bar.length, first.keys[:1], sign="tremolo")]


def _tremolo_of_two(made: Made) -> None:
    for bar in made.bars[:-1]:
        if made.dice.chance(0.4):
            low, half = bar.voices[2][0][0].keys[0], bar.length / 2
            high = (low + 12,) if made.dice.chance(0.5) else (low + 5, low + 9)
            bar.voices[2][0] = [
                Item(half, (low,), sign="tremolo start", partner=high),
                Item(half, high, sign="tremolo stop", partner=(low,)),
            ]


def _tremolo_between_hands(made: Made) -> None:
    for bar in made.bars[:-1]:
        if made.dice.chance(0.3):
            low, high = bar.voices[2][0][0].keys[:1], bar.voices[1][0][0].keys[:1]
            bar.voices[1][0] = [Item(bar.length, high, sign="tremolo start", partner=high)]
            bar.voices[2][0] = [Item(bar.length, low, sign="tremolo stop", partner=low)]


def _glissando(made: Made) -> None:
    for number in range(2, len(made.bars) - 1, 3):
        bar = made.bars[number]
        white = [key_of(step, 0, 72) for step in (0, made.dice.pick((5, 7, 9)))]
        first, last = white if made.dice.chance(0.5) else white[::-1]
        half = bar.length / 2
        bar.voices[1][0] = [
            Item(half, (first,), sign="glissando", partner=(last,)),
            Item(half, (last,), sign="glissando end"),
        ]


def _bars_again(made: Made) -> None:
    """Some bars as the sign that the one before comes again."""
    for number in range(2, len(made.bars) - 2, 4):
        for again in range(made.dice.count(1, 2)):
            bar = made.bars[number + again]
            bar.voices, bar.again = made.bars[number - 1].voices, True


def _repeated_notes(made: Made) -> None:
    for bar in made.bars[:-1]:
        voice = bar.voices[1][0]
        bar.voices[1][0] = [
            Item(F(1, 4), item.keys) for item in voice for _ in range(max(1, int(4 * item.length)))
        ]


def _runs(made: Made) -> None:
    for number in range(1, len(made.bars) - 1, 2):
        bar = made.bars[number]
        count = int(8 * bar.length)
        start = made.dice.count(-4, 2)
        steps = [start + (at if at < count // 2 else count - at) for at in range(count)]
        bar.voices[1][0] = [Item(F(1, 8), (key_of(step, bar.fifths, 72),)) for step in steps]


def _silences(made: Made) -> None:
    for number in range(3, len(made.bars) - 1, 4):
        bar = made.bars[number]
        beat = F(1) if bar.meter[1] == 4 else F(3, 2)
        for staff in (1, 2):
            first = bar.voices[staff][0][0]
            bar.voices[staff][0] = [replace(first, length=beat), Item(bar.length - beat)]
        if number % 8 == 3:
            bar.voices = {1: [[Item(bar.length)]], 2: [[Item(bar.length)]]}


def _breaths(made: Made) -> None:
    _silences(made)
    made.style = replace(made.style, breath=made.dice.between(0.6, 1.5))


def _three_against_two(made: Made) -> None:
    for bar in made.bars[:-1]:
        quarters = int(bar.length)
        low = bar.voices[2][0][0].keys[0]
        if bar.meter[1] == 4:
            steps = (0, 4, 7) if made.dice.chance(0.5) else (0, 7, 4)
            bar.voices[2][0] = [Item(F(1, 3), (low + steps[at % 3],)) for at in range(3 * quarters)]


def _staccato(made: Made) -> None:
    for bar in made.bars[:-1]:
        for staff in (1, 2):
            bar.voices[staff][0] = [
                replace(one, sign="staccato") if one.keys else one for one in bar.voices[staff][0]
            ]


def _unison_voices(made: Made) -> None:
    """A note that two voices of a hand share, one of them holding it."""
    for bar in made.bars[:-1]:
        first = bar.voices[1][0][0]
        bar.voices[1].append([Item(bar.length, first.keys)])


def _held_and_struck(made: Made) -> None:
    """A key held in one voice, struck again by another of the same hand."""
    for number in range(1, len(made.bars) - 1, 2):
        bar = made.bars[number]
        first = bar.voices[1][0][0]
        voice = bar.voices[1][0]
        voice[-1] = replace(voice[-1], keys=first.keys)
        bar.voices[1].append([Item(bar.length, first.keys)])


def _one_staff(made: Made) -> None:
    for bar in made.bars:
        del bar.voices[2]


FEATURES: dict[str, Callable[[Made], None]] = {
    "plain": lambda made: None,
    "rubato": _styled(phrase=0.14, bar=0.09),
    "melody astray": _styled(within=0.10),
    "no tempo, fast": lambda made: _untimed(made, 176.0),
    "no tempo, slow": lambda made: _untimed(made, 44.0),
    "fermatas": _fermatas,
    "fermata at a rest": _fermata_at_rest,
    "cadenza": _cadenza,
    "ritard": _ritard,
    "trill": adorn("trill", F(1, 2)),
    "trill, closed": _trill_closed,
    "trill, tied": _trill_tied,
    "trill below": _trill_below,
    "mordent": adorn("mordent"),
    "upper mordent": adorn("upper mordent", F(1, 4)),
    "turn": adorn("turn"),
    "late turn": adorn("late turn", F(1)),
    "schleifer": adorn("schleifer"),
    "grace note": _graces(1),
    "appoggiatura": _graces(1, slashed=False),
    "two graces": _graces(2),
    "four graces": _graces(4, least=F(1)),
    "leaping grace": _leaping_grace,
    "chords": _chords,
    "unmarked rolls": lambda made: (_chords(made), _styled(unmarked_roll=0.11)(made))[0],
    "rolls up": lambda made: _chords(made, "roll"),
    "rolls down": lambda made: _chords(made, "roll down"),
    "rolls in both": _rolled_both,
    "triplets": _tuplets(3),
    "odd tuplets": _tuplets(5, 6, 7),
    "three against two": _three_against_two,
    "over-dotted": _styled(over_dotted=0.35),
    "two voices": _two_voices,
    "unison of voices": _unison_voices,
    "held and struck": _held_and_struck,
    "suspensions": _suspended,
    "crossing hands": _cross_hands,
    "hands in one place": _near_hands,
    "through both staves": _other_staff,
    "pickup": _pickup,
    "repeats taken": _repeats(taken=True),
    "repeats not taken": _repeats(taken=False),
    "endings taken": _endings(taken=True),
    "endings not taken": _endings(taken=False),
    "da capo": _da_capo,
    "da capo with pickup": _da_capo_pickup,
    "changes": _changes,
    "8va": _octave_up,
    "octave clef": _octave_clef,
    "cue notes": _cue,
    "hidden notes": _hidden,
    "tremolo": _tremolo,
    "tremolo of two": _tremolo_of_two,
    "tremolo between": _tremolo_between_hands,
    "glissando": _glissando,
    "bars again": _bars_again,
    "repeated notes": _repeated_notes,
    "runs": _runs,
    "silences": _silences,
    "breaths at rests": _breaths,
    "staccato": _staccato,
    "one staff": _one_staff,
}


def _untimed(made: Made, bpm: float) -> None:
    made.bars[0].tempo = None
    made.style = replace(made.style, bpm=bpm)
