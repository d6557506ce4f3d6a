"""Which halts in written music are music?

Those at a fermata or in a ritard; a breath between the parts of a piece, or where it is written
that both hands rest; what is awaited at its end; and what was led up to by slowing down, so that
no step stands out by as much as a halt. What follows a fermata may come so late that the bar behind
it seems begun twice. Common practice, no source.

Units: seconds; beats of the bar from 0.
"""

from bisect import bisect_right
from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from typing import Final

from evaluator.chart.graph import HANDS, Bar, BarGraph, ExpectedStrike
from evaluator.follow.path import AT_LINE, Path
from evaluator.judge.touch.playing import SLOWED, Playing, Step, moments, steps
from evaluator.judge.verdict import FormFinding

BREAK_SECONDS: Final = 0.7
"""A halt shorter than this is a hesitation; common practice, no source."""
BREAK_BEATS: Final = 1.0
"""The same in beats, for slow songs."""

CLOSING = 2
"""Bars at the end of a piece in which a halt is the closing ritard."""
BREATH = 2.0
"""Seconds that a player may wait between two parts, or at the end of a slowing down."""
AT_PLACE = 0.01
"""Beats; places of a bar are no more exact than this."""
REST = 0.5
"""Beats for which both hands must rest, so that one may breathe there."""
BEGUN = 1.0
"""Beats of a bar that may be heard in what rings under a fermata before it."""


def is_music(graph: BarGraph, path: Path, index: int) -> bool:
    """Whether the halt before or in a played bar is no hesitation."""
    return _waits(graph, path, index) or _breathes(graph, path, index)


def held_over(graph: BarGraph, path: Path, index: int) -> bool:
    """Whether a restart is none: a fermata was held, and the bar behind it begun once."""
    if index < 2:
        return False
    played, before = path.bars[index], path.bars[index - 1]
    again = before.bar == played.bar and before.beats_played <= BEGUN
    return again and _ends_waiting(graph.bars[path.bars[index - 2].bar])


def not_led_up_to(
    path: Path, form: Sequence[FormFinding], playing: Playing, patience: float
) -> tuple[FormFinding, ...]:
    """The findings of the form without the halts that are the end of a slowing down."""
    breaths = [finding for finding in form if _may_be_led_up_to(path, finding, playing.graph)]
    if not breaths:
        return tuple(form)
    going = steps(playing, moments(playing))
    led = [finding for finding in breaths if _ends_slowing(finding, going, patience)]
    return tuple(finding for finding in form if finding not in led)


def begun_again(
    path: Path, form: Sequence[FormFinding], playing: Playing
) -> tuple[FormFinding, ...]:
    """The findings of the form without restarts at which the bar's first notes were not struck
    again: notes of the player's own, in the midst of a bar, are no new beginning."""
    bars = playing.graph.bars
    struck = {
        one.played
        for hand in HANDS
        for one, strike in playing.answers[hand]
        if one.strike.beat == bars[path.bars[one.played].bar].strikes[0].beat
        and not set(one.strike.pitches).isdisjoint(strike.pitches)
    }
    return tuple(finding for finding in form if _is_begun(path, finding, playing.graph, struck))


def _is_begun(path: Path, finding: FormFinding, graph: BarGraph, struck: AbstractSet[int]) -> bool:
    if finding.kind != "restart" or finding.halt:
        return True
    at = _played_at(path, finding.at + AT_LINE)
    again = path.bars[at].entry == "restart" and _is_written(path, at, graph)
    return not again or at in struck


def _may_be_led_up_to(path: Path, finding: FormFinding, graph: BarGraph) -> bool:
    """Whether it is a halt in written music, no longer than a breath."""
    if finding.kind != "break" or finding.halt > BREATH:
        return False
    return _is_written(path, _played_at(path, finding.at), graph)


def _played_at(path: Path, seconds: float) -> int:
    """Index of the played bar at a time; of the first, before it."""
    return max(0, bisect_right([played.start for played in path.bars], seconds) - 1)


def _is_written(path: Path, at: int, graph: BarGraph) -> bool:
    """Whether a played bar has its notes written out in both hands."""
    return graph.bars[path.bars[at].bar].written_out


def _ends_slowing(finding: FormFinding, going: Sequence[Step], patience: float) -> bool:
    """Whether, held against the step before it, the one that leads over the halt did not lose
    the time of a halt."""
    middle = finding.at + finding.halt / 2
    over = next((at for at, one in enumerate(going) if one.after.time >= middle), len(going))
    if not 0 < over < len(going) or not going[over].goes_on_from(going[over - 1]):
        return False
    step, before = going[over], going[over - 1]
    lost = step.taken - min(max(step.pace, before.own), SLOWED * step.pace) * step.written
    return lost <= patience * max(BREAK_SECONDS, BREAK_BEATS * step.after.beat_seconds)


def _ends_waiting(bar: Bar) -> bool:
    """Whether the last strike of a bar is under a fermata, or in a ritard."""
    last = max((strike.beat for strike in bar.strikes), default=None)
    return any(strike.waits and strike.beat == last for strike in bar.strikes)


def _waits(graph: BarGraph, path: Path, index: int) -> bool:
    """Whether one of the places around the halt waits: the last before it, the first behind."""
    played = path.bars[index]
    before, behind = _parted(graph.bars[played.bar], played.pause_beat)
    soon = played.pause_beat < BEGUN
    if soon and index and _ends_waiting(graph.bars[path.bars[index - 1].bar]):
        return True
    last = max((one.beat for one in before), default=None)
    first = min((one.beat for one in behind), default=None)
    return any(one.waits and one.beat in (last, first) for one in before + behind)


def _breathes(graph: BarGraph, path: Path, index: int) -> bool:
    played = path.bars[index]
    bar = graph.bars[played.bar]
    if not bar.written_out:
        return False
    opens = bar.place == bar.line == bar.copy == 0 and played.pause_beat < AT_PLACE
    ends = path.bars[-1].bar in graph.finals and index >= len(path.bars) - CLOSING
    rests = _rest_before(graph, path, index) >= REST
    return ends or ((opens or rests) and played.pause <= BREATH)


def _parted(bar: Bar, beat: float) -> tuple[list[ExpectedStrike], list[ExpectedStrike]]:
    """The strikes of a bar before a beat of it, and those on it or behind."""
    before = [strike for strike in bar.strikes if strike.beat < beat - AT_PLACE]
    behind = [strike for strike in bar.strikes if strike.beat >= beat - AT_PLACE]
    return before, behind


def _rest_before(graph: BarGraph, path: Path, index: int) -> float:
    """Beats for which both hands rest where the halt is; within a bar, and at its line."""
    played = path.bars[index]
    before, behind = _parted(graph.bars[played.bar], played.pause_beat)
    after = min((strike.beat for strike in behind), default=0)
    if before or not index:
        sounds = max((strike.beat + strike.beats for strike in before), default=after)
        return float(after - sounds)
    last = graph.bars[path.bars[index - 1].bar]
    sounds = max((strike.beat + strike.beats for strike in last.strikes), default=0)
    return float(last.beats - sounds + after)
