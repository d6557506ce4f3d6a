"""In what manner does each hand play: the pattern, or something of its own?

A beginner plays one strike per chord where the pattern has more; a good player breaks the
chords or fills them with eighths. A hand that plays another rhythm for a run of bars gets one
remark, and none of its strikes counts as missed or added.

In each bar every manner has a price for each hand: the strikes that it expects and were not
played, plus the strikes that it does not expect. The player's manners are the cheapest sequence
of them through the take, where each change of manner has a price as well (Viterbi 1967). The
pattern is preferred: any other manner costs a fifth of the pattern's strikes more, so that a
pattern with one strike in five missing is still the pattern. A single note of the right hand
beside its chords is taken for a tune above them and costs next to nothing. Common practice, no
source.

Positions are beats of the bar from 0; prices are in strikes.
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from statistics import median
from typing import Final, Literal, get_args

from evaluator.chart.graph import HANDS, BarGraph, Hand
from evaluator.judge.hands import HandStrike, Late
from evaluator.judge.layout import LaidBar
from evaluator.judge.manner_places import Places, rhythm_of
from evaluator.judge.verdict import Manner

MANNERS: Final[tuple[Manner, ...]] = get_args(Manner)

NEAR_BEATS, NEAR_SECONDS = 0.2, 0.1
"""A strike so near to its place is there."""
PREFERRED = 0.2
"""Part of the pattern's strikes by which another manner begins dearer."""
FREELY = 0.6
"""Price of playing freely: part of all the pattern wants and all that was struck."""
FILL = 0.15
"""Price of a single note of the right hand that has no place; a whole strike costs 1."""
OTHER_TEXTURE = 0.5
"""Price of a single note for a chord, or a chord for a single note."""
CHANGE, CHANGE_OF_SECTION = 3.0, 1.0
"""Price of another manner within a section, and with a new one."""
TUNE_NOTES, TUNE_ABOVE = 0.5, 0.7
"""A tune has so many single notes a bar, and so large a share of them above the chords."""


@dataclass(frozen=True, slots=True)
class Struck:
    """One strike of one hand in a bar."""

    beat: float
    tones: int
    """Pitch classes struck together."""
    inner: int
    """The highest key but one, or the only one."""


@dataclass(frozen=True, slots=True)
class Manners:
    """In what manner each hand plays in every played bar, and what speaks against it."""

    of: Mapping[Hand, tuple[Manner, ...]]
    tune: tuple[bool, ...]
    """Bars in which the right hand plays a tune above its chords."""
    price: float
    silent: int
    """Strikes that the pattern wants of a hand in bars in which it is not heard."""


def find_manners(
    graph: BarGraph,
    laid: Sequence[LaidBar],
    played: Sequence[HandStrike],
    late: Late,
) -> Manners:
    """The manner of each hand, bar by bar: the cheapest way through the take, in which every
    strike that its manner does not explain has a price, and every change of manner.

    `late`: seconds by which each hand is always late.
    """
    struck = _by_bar(laid, played, late)
    places = Places(graph.swing)
    found: dict[Hand, tuple[Manner, ...]] = {}
    price = 0.0
    for hand in HANDS:
        rows = [
            _prices(places, bar, hand, here) for bar, here in zip(laid, struck[hand], strict=True)
        ]
        ways, total = _cheapest(laid, rows)
        found[hand] = _named(laid, hand, ways, graph)
        price += total
    tune = _tunes(laid, struck["right"], found["right"])
    silent = sum(
        len(places.pattern(bar.bar, hand))
        for hand in HANDS
        for bar, here in zip(laid, struck[hand], strict=True)
        if bar.followed and not here
    )
    return Manners(found, tune, price, silent)


def _named(
    laid: Sequence[LaidBar], hand: Hand, ways: Sequence[Manner], graph: BarGraph
) -> tuple[Manner, ...]:
    """The manners, but the pattern's own name where a section's pattern is just that."""
    found = list(ways)
    sections = groupby(range(len(laid)), key=lambda at: laid[at].bar.section_index)
    for places in (list(run) for _, run in sections):
        if all(rhythm_of(laid[at].bar, hand, graph.swing) == ways[at] for at in places):
            found[places[0] : places[-1] + 1] = ["pattern"] * len(places)
    return tuple(found)


def _by_bar(
    laid: Sequence[LaidBar], played: Sequence[HandStrike], late: Late
) -> dict[Hand, list[list[Struck]]]:
    found: dict[Hand, list[list[Struck]]] = {hand: [[] for _ in laid] for hand in HANDS}
    edges = [bar.played.start - NEAR_BEATS * bar.beat_seconds for bar in laid]
    for strike in sorted(played, key=lambda strike: strike.time - late[strike.hand]):
        time = strike.time - late[strike.hand]
        at = max(0, bisect_right(edges, time) - 1)
        tones = len({pitch % 12 for pitch in strike.pitches})
        found[strike.hand][at].append(Struck(laid[at].beat_of(time), tones, strike.pitches[-2:][0]))
    return found


def _prices(
    places: Places, laid: LaidBar, hand: Hand, struck: Sequence[Struck]
) -> dict[Manner, float]:
    """What each manner costs in one bar."""
    bar = laid.bar
    if not struck or not laid.followed or hand in bar.exact:
        # Nothing shows a manner here, so it goes on as before.
        return dict.fromkeys(MANNERS, 0.0)
    own = [beat for beat in places.pattern(bar, hand) if laid.reaches(beat)]
    wanted = len(own)
    if not wanted:
        return {**dict.fromkeys(MANNERS, PREFERRED), "pattern": 0.0}
    near = min(max(NEAR_BEATS, NEAR_SECONDS / laid.beat_seconds), 0.24 * bar.meter.unit / 4)
    dearer = PREFERRED * wanted
    chords = hand == "right" and any(
        strike.part == "chord" for strike in bar.strikes if strike.hand == hand
    )
    prices: dict[Manner, float] = {
        "free": FREELY * (wanted + len(struck)),
        "pattern": _price(own, struck, near, _texture(hand, chords)),
    }
    singles = sum(one.tones == 1 for one in struck)
    if hand == "right" and 2 * singles >= len(struck):
        prices["single"] = dearer + FILL * singles + len(struck) - singles
    for manner, beats in places.of(bar).items():
        if manner == "broken" and hand == "left":
            continue
        due = [beat for beat in beats if laid.reaches(beat)]
        texture = _texture(hand, manner != "broken")
        prices[manner] = dearer + _price(due, struck, near, texture)
    return prices


_Texture = Literal["chords", "tones", ""]


def _texture(hand: Hand, chords: bool) -> _Texture:
    """What a manner wants of a hand; the left may double or fill its bass as it likes."""
    if hand == "left":
        return ""
    return "chords" if chords else "tones"


def _price(due: Sequence[float], struck: Sequence[Struck], near: float, texture: _Texture) -> float:
    """Strikes missed and added, where each place takes the nearest strike."""
    left = list(struck)
    price = 0.0
    for beat in map(float, due):  # a fraction would be turned into one for every strike
        close = [one for one in left if abs(one.beat - beat) <= near]
        if not close:
            price += 1.0
            continue
        answer = min(close, key=lambda one: (abs(one.beat - beat), -one.tones))
        left.remove(answer)
        if texture and (answer.tones > 1) != (texture == "chords"):
            price += OTHER_TEXTURE
    fills = sum(one.tones == 1 for one in left) if texture == "chords" else 0
    return price + FILL * fills + len(left) - fills


def _cheapest(
    laid: Sequence[LaidBar], rows: Sequence[Mapping[Manner, float]]
) -> tuple[tuple[Manner, ...], float]:
    """The cheapest way through the manners, and its price."""
    if not rows:
        return (), 0.0
    far = float("inf")
    costs = {manner: rows[0].get(manner, far) for manner in MANNERS}
    backs: list[dict[Manner, Manner]] = []
    for (before, here), row in zip(pairwise(laid), rows[1:], strict=True):
        same = before.bar.section_index == here.bar.section_index
        change = CHANGE if same else CHANGE_OF_SECTION
        best = min(MANNERS, key=costs.__getitem__)
        back: dict[Manner, Manner] = {}
        following: dict[Manner, float] = {}
        for manner in MANNERS:
            changes = costs[best] + change < costs[manner]
            back[manner] = best if changes else manner
            came = costs[best] + change if changes else costs[manner]
            # A bar that cannot be played in a manner lets it pass at the pattern's price.
            following[manner] = came + row.get(manner, row["pattern"] + CHANGE)
        backs.append(back)
        costs = following
    last = min(MANNERS, key=costs.__getitem__)
    way = [last]
    for back in reversed(backs):
        way.append(back[way[-1]])
    return tuple(reversed(way)), costs[last]


def _tunes(
    laid: Sequence[LaidBar], struck: Sequence[Sequence[Struck]], manners: Sequence[Manner]
) -> tuple[bool, ...]:
    """Bars of the sections in which single notes go on above the chords."""
    found = [False] * len(laid)
    first = 0
    for at in range(1, len(laid) + 1):
        ends = at == len(laid) or laid[at].bar.section_index != laid[first].bar.section_index
        if not ends:
            continue
        run = range(first, at)
        here = [one for index in run for one in struck[index]]
        chords = [one.inner for one in here if one.tones > 1]
        singles = [one.inner for one in here if one.tones == 1]
        if chords and len(singles) >= TUNE_NOTES * len(run):
            above = sum(key > median(chords) for key in singles)
            tune = above >= TUNE_ABOVE * len(singles)
            for index in run:
                found[index] = tune and manners[index] != "single"
        first = at
    return tuple(found)
