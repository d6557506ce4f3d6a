"""What was right in this run-through, and what was not?

Puts the judges together: hands, then times, then chord, bass and rhythm of every played
bar, the form, the tempo, the touch and the marks.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from evaluator.chart.graph import BarGraph, Hand
from evaluator.follow.path import Path
from evaluator.judge.agreement import is_song
from evaluator.judge.bass import judge_bass
from evaluator.judge.cadenza import cadenzas, outside, unjudged
from evaluator.judge.chord import LEFT_BEHIND, judge_chord
from evaluator.judge.counting import beats_counted
from evaluator.judge.form import judge_form
from evaluator.judge.hands import HandStrike
from evaluator.judge.heard import HeardBar, hear
from evaluator.judge.inner_keys import LeftOut, left_out
from evaluator.judge.layout import HALT, Due
from evaluator.judge.marks import marked
from evaluator.judge.over_the_bar import let_pass
from evaluator.judge.rhythm import Awaited, Ear, get_used_to, judge_rhythm
from evaluator.judge.rubric import STEADY, Rubric
from evaluator.judge.short_bars import short_bars
from evaluator.judge.struck import struck_bars
from evaluator.judge.tempo import BarPace, drift, judge_tempo, section_tempi
from evaluator.judge.timing import Timing, time_strikes
from evaluator.judge.touch import Playing, answered, judge_touch
from evaluator.judge.verdict import BarVerdict, Judgement
from evaluator.judge.written import judge_written
from evaluator.judge.written_halts import begun_again, not_led_up_to
from evaluator.take.model import Take
from evaluator.take.strike import Strike

LEAST_BEATS = 0.25
"""A bar broken off sooner was hardly begun."""
FOLLOWED = 0.25
"""Share of the bars that must have been followed."""


def judge(
    graph: BarGraph,
    take: Take,
    strikes: tuple[Strike, ...],
    path: Path,
    *,
    rubric: Rubric = STEADY,
    only: Hand | None = None,
) -> Judgement:
    """Everything about one take: `path` says which bars were played and when.

    `strikes` are the take's own, to which the path's indices refer. `only` is the hand that
    plays alone; the graph then has no strikes of the other.
    """
    found = struck_bars(graph, take, strikes, path, only=only)
    due, played = found.due, found.played
    timing = time_strikes(graph, found)
    heard = hear(found, timing)
    ear = get_used_to(timing, played, rubric)
    strict = _bars(graph, take, heard, due, (timing, played, ear))
    free = cadenzas(graph, path, strict)
    strict = unjudged(strict, free)
    last_end = max((max(hand.ends) for hand in played), default=0.0)
    verdicts = tuple(let_pass(bar, graph.bars[bar.bar], rubric) for bar in strict)
    drifts = drift(graph, verdicts)
    tempo = replace(
        judge_tempo(graph, _whole(heard, verdicts)),
        sections=() if drifts else section_tempi(graph, verdicts),
        swing=timing.swing,
        drift=drifts,
        short=short_bars(graph, path, verdicts),
        slow=tuple(path.bars[index].bar for index in found.hard),
        counted=beats_counted(graph, verdicts, sorted(strike.time for strike in played)),
    )
    followed = tuple(bar.judged for bar in strict)
    answers = answered(due, played, timing, followed)
    playing = Playing(graph, take, heard, due, answers, followed, path.transposed, timing.hands)
    form = judge_form(graph, path, last_end=last_end, patience=rubric.halt_beats)
    form = begun_again(path, outside(form, path, free), playing)
    judgement = Judgement(
        bars=verdicts,
        form=not_led_up_to(path, form, playing, rubric.halt_beats),
        tempo=tempo,
        matches=_matches(graph, strikes, path, strict),
        rubric=rubric,
        touch=judge_touch(playing, tempo, rubric),
    )
    return marked(graph, path, judgement)


def _matches(
    graph: BarGraph, strikes: Sequence[Strike], path: Path, strict: Sequence[BarVerdict]
) -> bool:
    """Whether this is a take of the song at all, well played or badly.

    That does not depend on what a rubric lets pass, so its bars are `strict`.
    """
    sure = [bar for bar in strict if bar.judged]
    followed = bool(sure) and len(sure) >= FOLLOWED * len(strict)
    return followed and is_song(graph, strikes, path, sure)


@dataclass(frozen=True, slots=True)
class _Whole:
    """What the whole take says of each bar."""

    ear: Ear
    """Its own tolerances."""
    left_plays: bool
    """Whether its left hand plays at all."""
    left_out: LeftOut
    """What is left out of its chords again and again."""


def _bars(
    graph: BarGraph,
    take: Take,
    heard: Sequence[HeardBar],
    due: Sequence[Due],
    timed: tuple[Timing, Sequence[HandStrike], Ear],
) -> tuple[BarVerdict, ...]:
    timing, played, ear = timed
    whole = _Whole(ear, any(hand.hand == "left" for hand in played), left_out(heard))
    ringing = _ringing(graph, take, heard, played)
    wanted: list[list[Awaited]] = [[] for _ in heard]
    for one, answer, late in zip(due, timing.answers, timing.late, strict=True):
        wanted[one.played].append(Awaited(one, answer is not None, late))
    if wanted:
        wanted[-1] = _closing(wanted[-1])
    return tuple(
        _bar(graph, bar, (ringing[index], wanted[index]), whole) for index, bar in enumerate(heard)
    )


def _closing(wanted: Sequence[Awaited]) -> list[Awaited]:
    """The last bar may come as late as one likes: only what is late within it is late."""
    late = max(min((one.late for one in wanted if one.answered), default=0.0), 0.0)
    return [replace(one, late=one.late - late) for one in wanted]


def _bar(
    graph: BarGraph,
    bar: HeardBar,
    found: tuple[list[frozenset[int]], list[Awaited]],
    whole: _Whole,
) -> BarVerdict:
    """`found`: what still sounds at the start of each span, and the expected strikes."""
    ringing, wanted = found
    patterns = graph.has_patterns
    chord = (
        judge_written(bar, "right", whole.left_out)
        if "right" in bar.bar.exact
        else judge_chord(bar, has_patterns=patterns, ringing=ringing)
    )
    bass = (
        judge_written(bar, "left", whole.left_out)
        if "left" in bar.bar.exact
        else judge_bass(bar, ringing, has_patterns=patterns, left_plays=whole.left_plays)
    )
    mended = {
        place
        for part in (chord, bass)
        for place, span in enumerate(part.spans)
        if span.word == "put right"
    }
    return BarVerdict(
        played=bar.laid.index + 1,
        bar=bar.bar.index,
        start=bar.start,
        end=bar.end,
        bpm=60.0 * bar.beats_played / _moving(bar),
        confidence=bar.laid.played.confidence,
        judged=bar.laid.followed and bar.beats_played >= LEAST_BEATS,
        chord=chord,
        bass=bass,
        rhythm=judge_rhythm(bar, graph.bars[bar.bar.index].strikes, wanted, whole.ear, mended),
    )


def _moving(bar: HeardBar) -> float:
    """Seconds that the bar took without its halt."""
    seconds, halt = bar.end - bar.start, bar.laid.played.halt_within
    return seconds - halt if halt < seconds else seconds


def _ringing(
    graph: BarGraph, take: Take, heard: Sequence[HeardBar], played: Sequence[HandStrike]
) -> list[list[frozenset[int]]]:
    """Pitch classes struck before each span that still sound in it.

    By the fingers; where there is no pattern, and so no strike that must come, by the
    pedal as well.
    """
    ends = take.offsets if graph.has_patterns else take.silences
    until = ends.tolist()
    order = sorted(played, key=lambda hand: hand.time)
    active: list[tuple[float, int]] = []
    at = 0
    found = []
    for bar in heard:
        spans = []
        for beat in bar.laid.span_beats:
            begins = bar.time_of(beat)
            while at < len(order) and order[at].time < begins:
                strike = order[at]
                active += [
                    (until[note], pitch % 12)
                    for note, pitch in zip(strike.notes, strike.pitches, strict=True)
                ]
                at += 1
            active = [one for one in active if one[0] > begins + LEFT_BEHIND]
            spans.append(frozenset(pc for _, pc in active))
        found.append(spans)
    return found


def _whole(heard: Sequence[HeardBar], verdicts: Sequence[BarVerdict]) -> list[BarPace]:
    """The bars that tell the tempo."""
    return [
        BarPace(bar.beats_played, bar.bar.seconds, bar.end - bar.start)
        for bar, verdict in zip(heard, verdicts, strict=True)
        if verdict.judged
        and bar.beats_played > bar.laid.beats - 0.01
        and bar.laid.played.pause < HALT
    ]
