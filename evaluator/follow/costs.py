"""How surprising is each thing a player may do?

All costs are in nats: minus the logarithm of how much likelier (gains, below zero) or
less likely (prices) a thing is under the song than under aimless playing. A strike that
fits nothing costs 0 before and after the song, so noodling is neither rewarded nor
punished, and a path lasts as long as it explains more than noise does.

The prices of form moves are the logarithms of rough rates: a student loses or doubles a
bar about once in several thousand bar lines, breaks off about once in a thousand strikes.
The benchmark in tests/bench measures what they do.
"""

from dataclasses import dataclass

import numpy as np

from evaluator.follow.positions import (
    BEAT,
    BETWEEN,
    CHANGE,
    DOWNBEAT,
    EXPECTS_BOTH,
    EXPECTS_LEFT,
    EXPECTS_NOTHING,
    EXPECTS_RIGHT,
    HALF_BEAT,
    KINDS,
    THIRD_BEAT,
    Floats,
)

SCATTER, DRIFT = 0.030, 0.05
"""How far a hand strays from the beat, seconds, and a tempo from itself, relative."""


@dataclass(frozen=True, slots=True)
class Costs:
    """The follower's prices and gains, nats unless said otherwise."""

    beam: float = 16.0
    """Hypotheses dearer than the best by more than this are given up."""
    cells: int = 800
    """At most so many hypotheses are kept alive. With half as many true ways that are dearer for a
    while, as slow bars or another rhythm make them, were lost on tuning takes."""
    cells_at_first: int = 1200
    """The same in the first strikes of a take and after a halt as long as a breath: it may begin
    with any bar at any tempo."""

    # Time: a strike against where it is due.
    scatter: float = SCATTER
    """Seconds: a hand's own scatter about the beat, standard deviation."""
    drift: float = DRIFT
    """Relative uncertainty of the time since the last strike."""
    on_time: float = 1.2
    """Gain for a strike exactly where it is due."""
    astray: float = 5.0
    """At most this for a strike far too early or late."""
    pause: float = 4.5
    """A halt before the next strike, of any length."""
    pause_line: float = 3.0
    """The same before a line, if it may be a beat too many: there one breathes, or looks up."""
    pull: float = 0.55
    """Share of a strike's lateness that moves the path's own beat."""
    bend: float = 0.02
    """Relative deviation that the tempo may gain with each beat,"""
    held_back: float = 0.0
    """and what it may gain more in the last bars of the song."""
    tempo_jump: float = 10.0
    """Going on at half or double tempo from a bar line."""
    tempo_section: float = 6.0
    """Going on at another tempo with a section, or towards the close of the song."""
    slower: float = 4.5
    """Playing a hard passage at a slower tempo, from any strike on; this and what comes next was
    chosen on tuning seeds of takes with hard bars, and of songs that are taken up again."""
    slower_on: float = 1.0
    """Each further strike at another tempo within it."""
    slow_second: float = 0.3
    """Each second of it, since it is a bar or two long."""
    tempo_back: float = 0.5
    """Going on at the tempo before, from a bar line."""
    tempo_again: float = 3.0
    """Taking up again, or going on, at another tempo after a halt as long as a breath."""

    # Place: which strike stands here.
    again: float = 1.0
    """A further strike at the same position: a split chord, a repeated note."""
    beside: float = 0.6
    """A piece of the last strike: a hand behind the other, a chord that is rolled."""
    hasty: float = 1.5
    """A strike of its own so soon after another."""
    missed: float = 1.8
    """Each expected strike that was passed over."""
    ornament: float = 2.5
    """A strike that belongs to no position."""
    metre: float = 0.4
    """Weight of the metre in a chart without patterns."""
    metre_beside_pattern: float = 0.8
    """The same for a rhythm of one's own in a chart with patterns: at whatever tempo."""
    freely: float = 0.2
    """Gain for any strike of a rhythm of one's own, as for one that the pattern expects."""

    # Pitch.
    trust: float = 0.4
    """Notes of one strike are no independent witnesses."""
    trust_pattern: float = 1.0
    """The same in a chart with patterns, which says exactly what is to be struck."""
    echo: float = 0.35
    """Weight of what a further strike under one sign of the chart lacks: mostly the same again."""
    echo_pattern: float = 0.8
    """The same in a chart with patterns."""
    wrong: float = 7.0
    """At most this for what the strikes under one sign of the chart lack: a wrong chord is one
    mistake, however often it is struck."""
    bass: float = 0.6
    """Weight of the lowest note as a bass, in addition."""

    # Manner, in a chart with patterns.
    off_pattern: float = 5.0
    """Taking to a rhythm of one's own."""
    into_pattern: float = 3.0
    """Taking to the pattern."""

    # Form.
    jump: float = 8.0
    """At a bar line to a bar that may not legally follow, one bar away: a nat beyond what the rates
    say, since a finding that is not true is worse than one that is missed."""
    jump_pattern: float = 7.5
    """The same in a chart with patterns."""
    tail: float = 4.5
    """The same within a tail, whose bars are hard to count."""
    last_again: float = 2.3
    """Striking the last bar of the song once more, in a chart with patterns."""
    restart: float = 7.0
    """Breaking off, and after a halt taking up again at the same bar."""
    skip_ahead: float = 6.0
    """Taking up again further on than where it broke off, in addition."""
    short: float = 5.0
    """The next bar line comes beats before its time."""
    short_line: float = 4.0
    """The same at the end of a line, whose last chord is held and mostly not for long enough."""
    short_written: float = 8.5
    """The same anywhere, where notes are written out: they say how long each lasts."""
    unhalted: float = 9.0
    """Breaking off and taking up the same bar again at once."""
    farther: float = 1.2
    """For each factor e of distance in bars."""
    far: float = 10.0
    """Landing more than two bars away."""
    far_by_lines: float = 4.0
    """The same from the end of a line to the start of one: whole lines are lost more easily."""
    far_by_lines_pattern: float = -2.0
    """The same in a chart with patterns, where every strike bears witness."""
    far_resuming_at_line_pattern: float = 0.0
    """The same for taking up again at a line after breaking off, there."""
    far_by_sections_pattern: float = -2.0
    """At most this for the distance from the end of a section to the start of one, there."""
    farther_section: float = 2.0
    """For each factor e of distance in sections, in addition: mostly one is lost or comes again."""
    start_section: float = 5.0
    """Beginning at a later section."""
    start_line: float = 7.0
    """Beginning at a line inside a section."""
    start_bar: float = 8.0
    """Beginning at any other bar: a few bars in, one for each factor e."""
    end_early: float = 7.0
    """Ending at a bar with which the song may not end."""
    noodling: float = 3.0
    """Strikes before the song, and the same for strikes after it: most takes hold none."""
    in_breath: float = 1.0
    """For each of them that goes on into the song, or out of it, without a silence."""
    in_breath_most: float = 8.0
    """At most this for all of those."""


TEMPI = np.exp2(np.linspace(-1.0, 1.0, 9))
"""Ratios of played to written length of a beat that are tried at a start: half to double."""
TEMPO_SPREAD = 0.3
"""Standard deviation of ln(ratio) among takes: half or double tempo is 2.3 of them away."""

LOW, HIGH, BOTH = range(3)


def placing(costs: Costs, *, patterns: bool) -> Floats:
    """(3, KINDS) gain of a low, a high or a wide strike at each kind of position."""
    table = np.zeros((3, KINDS))
    table[:, EXPECTS_NOTHING] = -1.6
    table[:, EXPECTS_LEFT] = (1.0, -0.6, 0.3)
    table[:, EXPECTS_RIGHT] = (-0.7, 0.8, 0.2)
    table[:, EXPECTS_BOTH] = (0.2, 0.2, 1.0)
    table[:, DOWNBEAT] = (0.9, 0.3, 0.9)
    table[:, CHANGE] = (0.9, 0.3, 0.9)
    table[:, BEAT] = (0.3, 0.3, 0.3)
    table[:, HALF_BEAT] = (-0.2, 0.0, -0.2)
    table[:, THIRD_BEAT] = (-0.5, -0.4, -0.5)
    table[:, BETWEEN] = (-0.9, -0.6, -0.9)
    table[:, DOWNBEAT:] *= costs.metre_beside_pattern if patterns else costs.metre
    table[:, DOWNBEAT:] += costs.freely * patterns
    return table
