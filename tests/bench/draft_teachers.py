"""How do teachers play their own songs who do not play like a machine?

    play_as("fills", invent_song(17))     # the song, its chart and the take of such a teacher

Each kind does one thing all through, `all of it` some of everything. The chart has what the
teacher means: a pattern of its own where a section has one, the other chord where a verse
has one. Common practice, no source.
"""

from dataclasses import dataclass, field, replace

from evaluator.chart import read_chart
from evaluator.chart.graph import Bar, Meter
from tests.bench.dice import Dice
from tests.bench.draft_songs import TeachersSong
from tests.bench.habits import Accompanist, Habits
from tests.bench.liberties import walking
from tests.bench.patterns import grid, pattern
from tests.playing import Added, Fill, Manner, Missed, Note, Performance, to_midi
from tests.playing.mistakes import Fault

_HABITS: dict[str, Habits] = {
    "rolled": Habits(rolled=("left", "right"), roll_ms=30.0),
    "octaves": Habits(left="octave"),
    "behind": Habits(behind_ms={"right": 35.0}),
    "rubato": Habits(bend="breathing", bent_to=1.06),
    "ritard": Habits(bend="ritard", bent_to=0.75),
    "all of it": Habits(left="octave", bend="ritard", bent_to=0.8, behind_ms={"right": 15.0}),
}


@dataclass(frozen=True, slots=True)
class _Teacher:
    fills: float = 0.0
    """Share of bars with one."""
    strays: float = 0.0
    """Share of bars with a strike more or less than the pattern."""
    walks: float = 0.0
    patterns: bool = False
    """The chorus has a pattern of its own."""
    pickup: bool = False
    once: bool = False
    """A line of the last chorus has another chord."""
    manner: dict[str, float] = field(default_factory=dict)


_TEACHERS: dict[str, _Teacher] = {
    "tidy": _Teacher(),
    "fills": _Teacher(fills=0.25),
    "strays": _Teacher(strays=0.2),
    "a pattern a section": _Teacher(patterns=True),
    "walking bass": _Teacher(walks=0.25),
    "pickup": _Teacher(pickup=True),
    "a chord once": _Teacher(once=True),
    "rolled": _Teacher(),
    "octaves": _Teacher(),
    "behind": _Teacher(),
    "rubato": _Teacher(manner={"wander_pct": 2.0}),
    "ritard": _Teacher(),
    "all of it": _Teacher(fills=0.15, strays=0.1, patterns=True, manner={"wander_pct": 1.5}),
}
TEACHERS = tuple(_TEACHERS)


def play_as(kind: str, song: TeachersSong, seed: int) -> TeachersSong:
    """The song as that kind of teacher means and plays it."""
    teacher, dice = _TEACHERS[kind], Dice(seed, TEACHERS.index(kind), 19)
    chart = _with_refrain(song, dice) if teacher.patterns else song.chart
    chart = _with_a_chord_once(chart, dice) if teacher.once else chart
    graph = read_chart(chart)
    played = walking(graph, dice, teacher.walks) if teacher.walks else graph
    order = graph.written
    bars = [graph.bars[index] for index in order]
    faults = [
        fault
        for place, bar in enumerate(bars[:-1], 1)
        for fault in _free(bar, place, teacher, dice)
    ]
    manner = {
        **{"jitter_ms": 8.0, "spread_ms": 5.0, "wander_pct": 1.0, "uneven": 5.0},
        **{"leaps": 0.1, "thinned": 0.1, "coloured": 0.5, "tempo": dice.between(0.97, 1.03)},
        **teacher.manner,
    }
    player = Accompanist(played, order, tuple(faults), Manner(**manner), seed)
    performance = player.with_habits(_HABITS.get(kind, Habits())).take()
    if teacher.pickup:
        performance = _with_pickup(performance, bars[0])
    return TeachersSong(chart, song.sheet, graph, performance, to_midi(performance))


def _free(bar: Bar, place: int, teacher: _Teacher, dice: Dice) -> list[Fault]:
    """What the teacher does beside the pattern in one bar, at most one thing."""
    right = {float(s.beat) for s in bar.strikes if s.hand == "right"}
    rests = [k / 2 for k in range(1, 2 * bar.meter.beats) if k / 2 not in right]
    if rests and dice.chance(teacher.fills):
        return [Fill(place, rests[-1])]
    if not dice.chance(teacher.strays):
        return []
    if dice.chance(0.5):
        inner = sorted(right - {0.0})
        return [Missed(place, dice.pick(inner), "right")] if inner else []
    return [Added(place, dice.pick(rests), "right")] if rests else []


def _with_refrain(song: TeachersSong, dice: Dice) -> str:
    """The chart with a pattern of the chorus's own."""
    meter: Meter = song.graph.meter
    columns = grid(dice, (meter.beats, meter.unit), song.graph.bpm, swung=False)
    own = [row for row in pattern(dice, "refrain", columns) if "as written" not in row]
    head, _, body = song.chart.partition("\n[")
    body = "\n".join(
        f"{row} pattern refrain" if row.startswith(("[Chorus]", "Chorus]")) else row
        for row in ("[" + body).splitlines()
    )
    return head + "\n" + "\n".join(own) + "\n\n" + body + "\n"


def _with_a_chord_once(chart: str, dice: Dice) -> str:
    """The chart with one bar of verse 2 on another chord, which the sheet does not show."""
    head, name, rest = chart.partition("[Verse 2]\n")
    first, *others = rest.split("\n")
    bars = first.strip("| ").split(" | ")
    place = dice.count(1, len(bars) - 1)
    names = {bar for bar in head.replace("|", " ").split() if bar in bars}
    other = [one for one in sorted(names) if one not in bars[max(0, place - 1) : place + 2]]
    if not other:
        return chart
    bars[place] = dice.pick(other)
    return head + name + "\n".join([f"| {' | '.join(bars)} |", *others])


def _with_pickup(performance: Performance, bar: Bar) -> Performance:
    """Two notes of the tune lead into the first bar."""
    chord = bar.spans[0].chord
    assert chord is not None
    beat = bar.seconds_per_beat
    moved = performance.later(beat)
    start = moved.truth.bars[0].start
    keys = [60 + (chord.root.pc + step) % 12 for step in (7, 11)]
    notes = tuple(
        Note(start - beat * (1 - k / 2), start - beat * (0.55 - k / 2), key, 60, "right")
        for k, key in enumerate(keys)
    )
    return replace(moved, notes=(*notes, *moved.notes))
