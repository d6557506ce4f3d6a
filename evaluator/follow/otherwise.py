"""A way that leaves a doubt: is there a better one that is followed otherwise?

From one certain tempo, by the chords in any rhythm, without the patterns of the chart, with a
tempo that bends, or by a player who loses beats or waits at the ends of lines as a habit.
"""

from collections.abc import Sequence
from math import inf

import numpy as np

from evaluator.chart.graph import BarGraph
from evaluator.follow.costs import TEMPI, Costs
from evaluator.follow.follower import CLOSING
from evaluator.follow.likeness import (
    FEWEST_BARS,
    goes_as_well,
    has_few_bars,
    is_astray,
    is_certain,
    suits_as_well,
)
from evaluator.follow.one_way import FULL_GAIN
from evaluator.follow.path import Path, PlayedBar
from evaluator.follow.playing import Playing
from evaluator.follow.positions import Floats

CERTAIN_TEMPI = range(0, len(TEMPI), 2)
"""Half, 0.7, once, 1.4 times and double the written length of a beat."""
CHORDS_AGAIN = 0.5
"""Weight of the misfit of the chords among ways begun at different tempi."""
NO_FIT = 0.05
"""A way that fits no better explains next to nothing of the take."""
LESS_MISFIT = 0.1
"""By so much, nats a strike, a way that asks for the chords in any rhythm must misfit them less
than one that asks for the metre or the pattern of the chart: these may fit at another tempo, or
elsewhere in the song."""
SOME_FREE, MOST_FREE, NEARLY_ALL_FREE = 0.3, 0.5, 0.8
"""Share of the strikes in a rhythm of the player's own from which the patterns are put aside: in a
take whose way jumps or is in doubt, if clearly better without them, or else if as well; and in any
other."""
FEW_OUTSIDE = 0.05
"""A way without the patterns may leave out that share of the strikes more."""
BENDING = 0.06
"""Relative deviation that the tempo of who breathes with the phrase may gain with each beat: it is
faster and slower by a tenth or two within eight bars. Chosen on tuning seeds of such players."""
BENDS = 0.01
"""By so much such a way must fit better."""
IN_TIME = 0.06
"""Where three quarters of the bars are nearer to the median tempo than this, a logarithm, none is
sought: of tuning takes that breathe none were, and nine in ten of all others."""
LINE_BY_LINE = Costs(short_line=1.5, pause_line=1.5)
"""Prices of who goes on a beat too soon, or too late, from line after line."""
HABIT = 10.0
"""So many nats more must be explained by such a habit. It and those prices were chosen on tuning
seeds of such players; others gave much the same."""
UNEVEN_BARS, UNEVEN_SHARE = 3, 0.05
"""So many bars at least, and as a share, that are cut short, waited for or jumped to make one look
for it."""
BEAT_LOST, WAITED = 0.4, 0.2
"""Beats, and seconds, from which a bar is called so."""
HOLDING_BACK = 0.15
"""Relative deviation that the tempo of who holds it back may gain more with each beat of the last
bars. Chosen on tuning seeds of such players."""
UNEVEN = 0.1
"""Such a way is sought where one of the last bars is so far from the tempo before, a logarithm."""


def straighter(path: Path, playing: Playing) -> Path:
    """A way that goes astray or misfits its chords, or a better one begun at one certain tempo.

    A rhythm that fits two thirds of the tempo as well, or what is played before the song, may
    mislead the first bars.
    """
    undoubted = has_few_bars(playing.graph) or is_certain(path)
    if path.fit >= NO_FIT and undoubted and not is_astray(path):
        return path
    ways = [TEMPI[[at]] for at in CERTAIN_TEMPI]
    if playing.is_long:
        ways = [_likeliest((TEMPI, *ways), path.transposed, playing.beginning())]
    others = (playing.way(path.transposed, tempi=tempi) for tempi in ways if tempi is not TEMPI)
    best = max((path, *others), key=_likely)
    return best if playing.written_out else _by_chords(best, playing)


def _likeliest(tempi: Sequence[Floats], transposed: int, playing: Playing) -> Floats:
    """Those with which it begins best."""
    return max(tempi, key=lambda ones: _likely(playing.way(transposed, tempi=ones)))


def _likely(way: Path) -> float:
    """How well a way fits, its chords and jumps counting once more: rhythms fit many tempi."""
    return way.fit - CHORDS_AGAIN * way.misfit if way.bars else -inf


def _by_chords(path: Path, playing: Playing) -> Path:
    """The path, or one in any rhythm that misfits the chords clearly less."""
    if playing.is_long:
        beginning = playing.beginning()
        begun = beginning.way(path.transposed)
        if _by_chords(begun, beginning) is begun:
            return path
    other = playing.way(path.transposed, "any")
    nothing = path.fit < NO_FIT and len(other.bars) >= FEWEST_BARS
    clearer = nothing or other.misfit + LESS_MISFIT < path.misfit
    return other if other.fit >= NO_FIT and clearer else path


def by_metre(path: Path, playing: Playing) -> Path:
    """The path, or where most was not played in the chart's patterns, the one without them.

    Beside a pattern lines and sections are lost more easily, as each strike bears witness; and
    what adds notes freely bears little. But whoever plays a good part in the pattern, and goes
    straight on, is followed best by it: hands that search come late where it strikes.
    """
    straight = is_certain(path) and not path.strays
    in_pattern = path.freely < (NEARLY_ALL_FREE if straight else SOME_FREE)
    if (in_pattern and not is_astray(path)) or playing.written_out:
        return path
    plain = playing.way(path.transposed, "metre")
    outside = len(plain.before) + len(plain.after) - len(path.before) - len(path.after)
    few = outside <= FEW_OUTSIDE * len(playing.strikes)
    if is_astray(path) or path.freely >= MOST_FREE:
        better = suits_as_well(plain, path)
    else:
        better = plain.strays < path.strays and not suits_as_well(path, plain)
    return plain if plain.bars and few and better else path


def bending(path: Path, playing: Playing) -> Path:
    """The path, or where it explains the take better, one whose tempo bends with the phrase.

    One that may always bend so far is led astray by hands that search and by bars that are lost.
    """
    if playing.written_out or _is_in_time(path):
        return path
    if playing.is_long:
        beginning = playing.beginning()
        begun = beginning.way(path.transposed, path.rhythm)
        if bending(begun, beginning) is begun:
            return path
    other = playing.way(path.transposed, path.rhythm, costs=Costs(bend=BENDING))
    return other if other.fit > path.fit + BENDS and suits_as_well(other, path) else path


def line_by_line(path: Path, playing: Playing) -> Path:
    """The path, or where bars are uneven time and again, one of a player who goes on too soon or
    too late from the ends of lines, if that explains clearly more and goes as straight."""
    uneven = _uneven_bars(path, playing.graph)
    if playing.written_out or uneven < max(UNEVEN_BARS, UNEVEN_SHARE * len(path.bars)):
        return path
    other = playing.way(path.transposed, path.rhythm, costs=LINE_BY_LINE)
    more = (other.fit - path.fit) * FULL_GAIN * len(playing.strikes)
    return other if more > HABIT and is_certain(other) and goes_as_well(other, path) else path


def held_back(path: Path, playing: Playing) -> Path:
    """The path, or where its last bars are not in time, one whose tempo may be held back there, if
    it is the same up to there and goes on as well."""
    if playing.written_out or (np.abs(_at_the_close(path)) < UNEVEN).all():
        return path
    costs = Costs(held_back=HOLDING_BACK)
    other = playing.way(path.transposed, path.rhythm, costs=costs)
    begun = [bar.bar for bar in path.bars[: -2 * CLOSING]]
    same = begun == [bar.bar for bar in other.bars[: len(begun)]]
    slower = bool(other.bars) and _at_the_close(other).mean() > 0.0
    return other if same and goes_as_well(other, path) and slower else path


def _uneven_bars(path: Path, graph: BarGraph) -> int:
    """How many bars lost a beat, came after waiting or were reached astray."""
    lengths = ((bar.beats_played, float(graph.bars[bar.bar].beats)) for bar in path.bars)
    short = sum(0.0 < played < beats - BEAT_LOST for played, beats in lengths)
    return short + sum(bar.pause > WAITED for bar in path.bars) + path.strays


def _at_the_close(path: Path) -> Floats:
    """(4,) how much slower the last bars are than those before them, a logarithm; fewer if it has
    fewer."""
    return _slower(path.bars[-4 * CLOSING :])[-CLOSING:]


def _slower(bars: Sequence[PlayedBar]) -> Floats:
    """(N,) how much slower each bar is than at their median tempo, a logarithm."""
    paces = [(bar.end - bar.start) / bar.beats_played for bar in bars if bar.beats_played]
    return np.log(np.maximum(paces, 1e-3) / np.median(paces or [1.0]))


def _is_in_time(path: Path) -> bool:
    """Whether the bars of a path go at much the same tempo; of none at all, they do."""
    away = np.abs(_slower(path.bars))
    return not len(away) or bool(np.quantile(away, 0.75) < IN_TIME)
