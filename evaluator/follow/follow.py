"""Which bars of the song were played in this take, in which order, and when?

The whole-take form of following: every strike through the follower, one backtrack, and
once more in another key if the take hardly fits the chart (the piano's transpose button),
or from another tempo if the way goes astray again and again.
"""

from collections.abc import Sequence
from math import inf

import numpy as np

from evaluator.chart.graph import BarGraph
from evaluator.follow.compiled import follower as new_follower
from evaluator.follow.confidence import confidences
from evaluator.follow.costs import TEMPI, Costs
from evaluator.follow.follower import Follower
from evaluator.follow.form_prices import places
from evaluator.follow.grid import Grid, lay_out, opening
from evaluator.follow.hearing import lies_above
from evaluator.follow.likeness import FEWEST_BARS, has_few_bars, is_certain, misfit
from evaluator.follow.openings import begin_with_first
from evaluator.follow.outside import after_silence, song_alone
from evaluator.follow.path import Path, PlayedBar
from evaluator.follow.positions import AS_WRITTEN, FREELY, Floats
from evaluator.follow.timing import stays
from evaluator.follow.trace import Link, best_chain, visits
from evaluator.take.gaps import Gap
from evaluator.take.strike import Strike

GOOD_FIT = 0.25
"""A take that fits so well in the likeliest key, or in the chart's own, is not tried in more,
unless its way goes astray."""
CLEARER = 0.25
"""Another key than the chart's must fit better by so much: wrong chords change the key that is
likeliest, and a take that fits in its own key, and does not go astray in it, is not transposed."""
ASTRAY, ASTRAY_SHARE, POOR_FIT = 4, 0.08, 0.4
"""Jumps and restarts, at least, and as a share of the bars or at a poor fit, from which more
keys and single tempi are tried."""
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
MOST_FREE, NEARLY_ALL_FREE = 0.5, 0.8
"""Share of the strikes in a rhythm of the player's own from which the patterns are put aside: in a
take whose way jumps or is in doubt, and in any other."""
AS_WELL, FEW_OUTSIDE = 0.02, 0.05
"""A way without the patterns may misfit the chords by so much more, nats a strike, and leave out
that share of the strikes more."""
BENDING = 0.06
"""Relative variance that the tempo of who breathes with the phrase may gain with each beat: it is
faster and slower by a tenth or two within eight bars. Chosen on tuning seeds of such players."""
BENDS = 0.01
"""By so much such a way must fit better."""
IN_TIME = 0.06
"""Where three quarters of the bars are nearer to the median tempo than this, a logarithm, none is
sought: of tuning takes that breathe none were, and nine in ten of all others."""
FROM_THE_BEGINNING = Costs(start_section=inf, start_line=inf, start_bar=inf)
"""Prices of a take that begins with no other bar than the song does."""
OWN_KEY = 0.03
"""Head start of the chart's own key in the likeness of pitch classes (a cosine)."""
SAMPLE = 600
"""Strikes of a longer take (this is two and a half minutes of eighths at 120) on which keys and
tempi are compared; the whole of it is then followed in the best of them alone, beside its own."""
FULL_GAIN = 2.5
"""Nats per strike of an ordinary take of the right song."""


def follow(graph: BarGraph, strikes: Sequence[Strike], gaps: Sequence[Gap] = ()) -> Path:
    """The path of a take through a song; no bars if not even a part of it fits.

    `gaps`: when nothing could be heard, so that the player may have gone on.
    """
    grid = lay_out(graph)
    return _without_prelude(_heard_whole(grid, strikes, gaps), grid, strikes, gaps)


def _heard_whole(grid: Grid, strikes: Sequence[Strike], gaps: Sequence[Gap]) -> Path:
    """The path of a take that begins with the song, or with some part of it."""
    own = follow_in(grid, strikes, 0, gaps)
    lost = _astray(own)
    own = straighter(own, grid, strikes, gaps) if lost else own
    path = _in_its_key(own, grid, strikes, gaps)
    path = path if path is own and lost else straighter(path, grid, strikes, gaps)
    return song_alone(_settled(path, grid, strikes, gaps), strikes)


def _without_prelude(
    path: Path, grid: Grid, strikes: Sequence[Strike], gaps: Sequence[Gap]
) -> Path:
    """The path, or where something else was played before the song, one that begins after it.

    What misfits its chords up to a silence is none of it, if the song begins behind that, fits
    there, and goes on with fewer jumps. A path straight on from the beginning leaves no doubt.
    """
    inside = _begins_inside(path, grid)
    doubted = (inside or _jumps(path)) and not grid.written_out
    begins = after_silence(path, strikes) if doubted else 0
    if not begins:
        return path
    laid = lay_out(grid.graph, path.rhythm)
    if is_certain(follow_in(laid, strikes[:begins], path.transposed, gaps)):
        return path
    song = _heard_whole(grid, strikes[begins:], gaps)
    whole = song.bars and not _begins_inside(song, grid) and is_certain(song)
    straight = _jumps(song) < _jumps(path) + inside and song.misfit < path.misfit
    return song.counted_on(begins) if whole and straight else path


def _begins_inside(path: Path, grid: Grid) -> bool:
    """Whether a path begins with another bar than the song does."""
    return bool(path.bars) and path.bars[0].bar not in opening(grid.graph)


def _settled(path: Path, grid: Grid, strikes: Sequence[Strike], gaps: Sequence[Gap]) -> Path:
    """The path from the beginning, without the patterns, or with a tempo that bends, where that is
    the better one."""
    path = _from_the_beginning(path, grid, strikes, gaps)
    return _bending(_by_metre(path, grid, strikes, gaps), grid, strikes, gaps)


def _from_the_beginning(
    path: Path, grid: Grid, strikes: Sequence[Strike], gaps: Sequence[Gap]
) -> Path:
    """The path, or where it begins inside the song and comes back there, or to what lies before,
    one that begins with the song, if that misfits less: whoever plays a part plays on."""
    if not _begins_inside(path, grid):
        return path
    place = places(grid.graph)[[bar.bar for bar in path.bars]]
    if place[0] < min(place[1:], default=inf):
        return path
    laid = lay_out(grid.graph, path.rhythm)
    other = follow_in(laid, strikes, path.transposed, gaps, costs=FROM_THE_BEGINNING)
    return other if other.bars and other.misfit < path.misfit else path


def _bending(path: Path, grid: Grid, strikes: Sequence[Strike], gaps: Sequence[Gap]) -> Path:
    """The path, or where it explains the take better, one whose tempo bends with the phrase.

    One that may always bend so far is led astray by hands that search and by bars that are lost.
    """
    if grid.written_out or _is_in_time(path):
        return path
    laid, costs = lay_out(grid.graph, path.rhythm), Costs(bend=BENDING)
    if len(strikes) > SAMPLE:
        sample = strikes[:SAMPLE]
        begun = follow_in(laid, sample, path.transposed, gaps)
        if _bending(begun, grid, sample, gaps) is begun:
            return path
    other = follow_in(laid, strikes, path.transposed, gaps, costs=costs)
    return other if other.fit > path.fit + BENDS else path


def _is_in_time(path: Path) -> bool:
    """Whether the bars of a path go at much the same tempo; of none at all, they do."""
    paces = [(bar.end - bar.start) / bar.beats_played for bar in path.bars if bar.beats_played]
    if not paces:
        return True
    away = np.abs(np.log(np.maximum(paces, 1e-3)) - np.log(np.median(paces)))
    return bool(np.quantile(away, 0.75) < IN_TIME)


def _in_its_key(own: Path, grid: Grid, strikes: Sequence[Strike], gaps: Sequence[Gap]) -> Path:
    """The path in the chart's own key, or a better one in another."""
    first, *others = _likely_keys(grid, strikes)
    best = own
    if (first == 0 and _fits(best)) or not strikes:
        return best
    lost = _astray(own)
    keys = [key for key in (first, *others) if key != 0]
    if len(strikes) > SAMPLE:
        sample = strikes[:SAMPLE]
        begun = _in_its_key(follow_in(grid, sample, 0, gaps), grid, sample, gaps)
        keys = [begun.transposed] if begun.transposed else []
    for transposed in keys:
        other = follow_in(grid, strikes, transposed, gaps)
        surer = not own.bars or (is_certain(other) and not is_certain(own))
        surer = surer and len(other.bars) >= FEWEST_BARS
        doubted = best is own and not surer and (not lost or _astray(other))
        if other.fit > best.fit + (CLEARER if doubted else 0.0):
            best = other
        if transposed == first and _fits(best):
            break
    return best


def _fits(path: Path) -> bool:
    """Whether the key of the path is hardly in doubt."""
    return path.fit >= GOOD_FIT and is_certain(path) and not _astray(path)


def _astray(path: Path) -> bool:
    """Whether the way jumps again and again."""
    often = path.fit < POOR_FIT or _jumps(path) >= ASTRAY_SHARE * len(path.bars)
    return _jumps(path) >= ASTRAY and often


def _jumps(path: Path) -> int:
    """Jumps and restarts on the way."""
    return sum(bar.entry in ("jump", "restart") for bar in path.bars)


def straighter(path: Path, grid: Grid, strikes: Sequence[Strike], gaps: Sequence[Gap]) -> Path:
    """A way that goes astray or misfits its chords, or a better one begun at one certain tempo.

    A rhythm that fits two thirds of the tempo as well, or what is played before the song, may
    mislead the first bars.
    """
    undoubted = has_few_bars(grid.graph) or is_certain(path)
    if path.fit >= NO_FIT and undoubted and not _astray(path):
        return path

    def begun_at(tempi: Floats, strikes: Sequence[Strike]) -> Path:
        return follow_in(grid, strikes, path.transposed, gaps, tempi)

    ways = [TEMPI[[at]] for at in CERTAIN_TEMPI]
    if len(strikes) > SAMPLE:
        ways = [max((TEMPI, *ways), key=lambda tempi: _likely(begun_at(tempi, strikes[:SAMPLE])))]
    others = (begun_at(tempi, strikes) for tempi in ways if tempi is not TEMPI)
    best = max((path, *others), key=_likely)
    return best if grid.written_out else _by_chords(best, grid, strikes, gaps)


def _by_chords(path: Path, grid: Grid, strikes: Sequence[Strike], gaps: Sequence[Gap]) -> Path:
    """The path, or one in any rhythm that misfits the chords clearly less."""
    if len(strikes) > SAMPLE:
        sample = strikes[:SAMPLE]
        begun = follow_in(grid, sample, path.transposed, gaps)
        if _by_chords(begun, grid, sample, gaps) is begun:
            return path
    freely = lay_out(grid.graph, "any")
    other = follow_in(freely, strikes, path.transposed, gaps)
    nothing = path.fit < NO_FIT and len(other.bars) >= FEWEST_BARS
    clearer = nothing or other.misfit + LESS_MISFIT < path.misfit
    return other if other.fit >= NO_FIT and clearer else path


def _by_metre(path: Path, grid: Grid, strikes: Sequence[Strike], gaps: Sequence[Gap]) -> Path:
    """The path, or where most was not played in the chart's patterns, the one without them.

    Beside a pattern lines and sections are lost more easily, as each strike bears witness; and
    what adds notes freely bears little. But whoever plays a good part in the pattern, and goes
    straight on, is followed best by it: hands that search come late where it strikes.
    """
    straight = is_certain(path) and not _jumps(path)
    in_pattern = path.freely < (NEARLY_ALL_FREE if straight else MOST_FREE)
    if (in_pattern and not _astray(path)) or grid.written_out:
        return path
    plain = follow_in(lay_out(grid.graph, "metre"), strikes, path.transposed, gaps)
    outside = len(plain.before) + len(plain.after) - len(path.before) - len(path.after)
    as_well = plain.misfit <= path.misfit + AS_WELL and outside <= FEW_OUTSIDE * len(strikes)
    return plain if plain.bars and as_well else path


def _freely(chain: Sequence[Link], grid: Grid) -> float:
    """`Path.freely` of a way."""
    if AS_WRITTEN not in grid.manners:
        return 0.0
    laid = grid.bar[[link.position for link in chain]]
    return float(np.mean(grid.manner[laid] == FREELY))


def _likely(way: Path) -> float:
    """How well a way fits, its chords and jumps counting once more: rhythms fit many tempi."""
    return way.fit - CHORDS_AGAIN * way.misfit if way.bars else -inf


def follow_in(
    grid: Grid,
    strikes: Sequence[Strike],
    transposed: int,
    gaps: Sequence[Gap] = (),
    tempi: Floats = TEMPI,
    *,
    costs: Costs | None = None,
) -> Path:
    """The path of a take that sounds so many semitones above the chart.

    `tempi`: ratios of played to written length with which it may begin.
    """
    above = lies_above(strikes, grid, transposed)
    follower = new_follower(grid, costs=costs, transposed=above, tempi=tempi)
    for strike in strikes:
        follower.push(strike, gaps)
    return trace(follower, transposed)


def trace(follower: Follower, transposed: int = 0, *, over: bool = True) -> Path:
    """The best path through everything that was pushed so far; `over`: nothing more will come."""
    grid, count = follower.grid, len(follower.times)
    chain, cost = best_chain(follower, over=over)
    if not chain:
        return Path((), transposed, False, 0.0, tuple(range(count)), ())
    stations = visits(chain, follower)
    begin_with_first(stations, follower)
    times = stays(stations, follower.times, grid)
    sure = confidences(stations, chain, follower)
    bars = tuple(
        PlayedBar(
            bar=int(grid.of[visit.bar]),
            entry=visit.entry,
            start=stay.start,
            end=stay.end,
            beats_played=stay.beats_played,
            strikes=visit.placed(grid),
            ornaments=tuple(visit.ornaments),
            pause=stay.pause,
            pause_beat=stay.pause_beat,
            confidence=confidence,
        )
        for visit, stay, confidence in zip(stations, times, sure, strict=True)
    )
    return Path(
        bars=bars,
        transposed=transposed,
        complete=bars[-1].bar in grid.graph.finals,
        fit=max(-cost / (FULL_GAIN * count), 0.0),
        before=tuple(range(chain[0].strike)),
        after=tuple(range(chain[-1].strike + 1, count)),
        freely=_freely(chain, grid),
        rhythm=grid.rhythm,
        misfit=misfit(chain, sum(bar.entry == "jump" for bar in bars), follower),
    )


def _likely_keys(grid: Grid, strikes: Sequence[Strike]) -> list[int]:
    """Transpositions, -5..6, to be tried in this order.

    The chart's own key comes first unless the notes of the take, counted by pitch class,
    agree clearly better with the chart in another.
    """
    wanted = [0.0] * 12
    for bar in grid.graph.bars:
        for span in bar.spans:
            beats = float(span.beats)
            for pc in span.allowed:
                wanted[pc] += beats
    likeness = key_likeness(np.array(wanted), strikes)
    likeness[0] += OWN_KEY
    return sorted(likeness, key=lambda shift: -likeness[shift])[:3]


def key_likeness(wanted: Floats, strikes: Sequence[Strike]) -> dict[int, float]:
    """How well a take's notes agree with the wanted ones in each transposition, -5..6.

    `wanted` is (12,), a weight for each pitch class; the likeness is the cosine between it
    and the notes of the take counted by pitch class, 0 to 1.
    """
    pitches = [pitch % 12 for strike in strikes for pitch in strike.pitches]
    heard = np.bincount(pitches, minlength=12)
    scale = float(np.linalg.norm(wanted) * np.linalg.norm(heard)) or 1.0
    return {shift: float(np.roll(wanted, shift) @ heard) / scale for shift in range(-5, 7)}
