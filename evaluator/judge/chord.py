"""Was it the right chord?

Judged by strikes: each strike that speaks for the chord in a span (`evaluator.judge.sounds`)
has foreign tones or has none. Without a foreign strike the span's tones together are held
against the chord and its colours (`evaluator.theory.judgement`): right, or incomplete. Where
the whole chord comes after another within the span it was put right.

Where the right hand does not play the pattern, the chords of either hand are judged wherever
they are struck, and broken ones tone by tone. In a chart without patterns, where anything
may be played over the harmony, tones are weighed by how long they last and are foreign only
where they outweigh the chord's.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from evaluator.chart.graph import Span
from evaluator.judge.hands import HandStrike
from evaluator.judge.heard import HeardBar
from evaluator.judge.names import chord_name, note_name, played_name
from evaluator.judge.over_the_bar import not_judged, over_the_bar
from evaluator.judge.slips import is_brushed, left_by
from evaluator.judge.sounds import Sounds, one_by_one, sorted_out
from evaluator.judge.verdict import PartVerdict, SpanVerdict
from evaluator.theory.judgement import judge_tones

PUT_RIGHT = 0.8
"""Score of a chord that is put right within its span, and of the right strikes in one that
has wrong ones as well."""
ONE_TOO_MANY = 0.5
"""Score of a complete chord with a foreign tone in it."""
ONE_BESIDE = 0.25
"""Score of a chord with one foreign tone in the place of its own: minor for major."""
STUMBLE = 0.25
"""Share of a broken chord's notes that may be beside it: a stumble, not another chord."""
DOMINATES = 0.5
"""Share of the sound that must be foreign where there is no pattern."""
LEFT_BEHIND = 0.12
"""Seconds that a key must be held into a span to sound in its chord."""


def judge_chord(
    heard: HeardBar, *, has_patterns: bool, ringing: Sequence[frozenset[int]]
) -> PartVerdict:
    """The verdict on the chords of a played bar, over each span and in all.

    `ringing`: for each span the pitch classes that still sound from before it.
    """
    verdicts = []
    for index, span in enumerate(heard.bar.spans):
        if span.chord is None or not heard.reaches(index):
            verdicts.append(not_judged(span, chord_name(span, heard.bar)))
        elif has_patterns and heard.plays("right") == "pattern":
            verdicts.append(_by_pattern(heard, index, ringing[index]))
        elif has_patterns:
            verdicts.append(_otherwise(heard, index, ringing[index]))
        else:
            verdicts.append(_freely(heard, index, ringing[index]))
    return over_the_bar(heard.bar.spans, verdicts)


def _by_pattern(heard: HeardBar, index: int, ringing: frozenset[int]) -> SpanVerdict:
    span = heard.bar.spans[index]
    wanted = frozenset[int]().union(*(strike.pitch_classes for strike in heard.wanted[index]))
    parts = {strike.part for strike in heard.wanted[index]}
    sounds = sorted_out(heard, index)
    if not sounds.chords:
        if parts <= {"bass"}:
            return not_judged(span, chord_name(span, heard.bar))
        if _is_broken(heard, index, sounds):
            return _complete(heard, span, sounds, (frozenset(), ringing, ()))
        return SpanVerdict(*_wanted(heard, span), "", "not played", 0.0)
    if any(sounds.foreign) and not _stumbles(sounds, wanted):
        return _wrong(heard, span, sounds)
    return _complete(heard, span, sounds, (wanted, ringing, _stumbled(heard, span, sounds)))


def _is_broken(heard: HeardBar, index: int, sounds: Sounds) -> bool:
    """Whether the whole chord was struck one tone at a time, nowhere as the pattern has it."""
    chord = heard.bar.spans[index].chord
    assert chord is not None
    single = one_by_one(heard, index, sounds)
    return chord.essential <= sounds.struck and _mostly_fits(single)


def _stumbled(heard: HeardBar, span: Span, sounds: Sounds) -> tuple[str, ...]:
    return tuple(
        note_name(pc, span, heard.bar) for foreign in sounds.foreign for pc in sorted(foreign)
    )


def _otherwise(heard: HeardBar, index: int, ringing: frozenset[int]) -> SpanVerdict:
    """The right hand does not play the pattern: chords tell, wherever they are struck and in
    whichever hand; where there are none, the tones of a broken chord one by one."""
    span = heard.bar.spans[index]
    assert span.chord is not None
    sounds = sorted_out(heard, index)
    core = _core(span)
    if sounds.chords:
        if any(sounds.foreign):
            return _wrong(heard, span, sounds)
        whole = max(len({p % 12 for p in e.strike.pitches}) for e in sounds.chords) > 2
        wanted = span.chord.essential if whole else core
        return _complete(heard, span, sounds, (wanted, ringing, ()))
    single = one_by_one(heard, index, sounds)
    if not single.chords:
        if core <= ringing:
            return _complete(heard, span, sounds, (core, ringing, ()))
        return SpanVerdict(*_wanted(heard, span), "", "not played", 0.0)
    if heard.plays("right") in ("single", "free"):
        fits = sum(not foreign for foreign in single.foreign) >= DOMINATES * len(single.foreign)
        if not fits:
            return not_judged(span, chord_name(span, heard.bar))  # a tune has notes of its own
        if single.struck <= {span.chord.root.pc, span.bass}:  # one finger is no chord yet
            return _complete(heard, span, single, (core, ringing, ()))
        return SpanVerdict(*_wanted(heard, span), chord_name(span, heard.bar), "right", 1.0)
    if not _mostly_fits(single):
        return _wrong(heard, span, single)
    few = sum(event.strike.hand == "right" for event in single.chords) < len(core) + 1
    wanted = core & single.struck if few else core
    stumbled = _stumbled(heard, span, single)
    return _complete(heard, span, single, (wanted or frozenset({-1}), ringing, stumbled))


def _core(span: Span) -> frozenset[int]:
    """Root and third are the harmony; a broken chord or a melody need not touch the rest."""
    assert span.chord is not None
    degrees = (span.chord.degree(1), span.chord.degree(3))
    return frozenset(pc for pc in degrees if pc is not None) & span.chord.essential


def _stumbles(sounds: Sounds, wanted: frozenset[int]) -> bool:
    """Whether a broken chord is right but for a note or two that went beside it.

    The same foreign note again, with one of the pattern's own never heard, is another chord.
    """
    single = all(len(event.strike.pitches) == 1 for event in sounds.chords)
    bad = [foreign for foreign in sounds.foreign if foreign]
    again = max(Counter(pc for foreign in bad for pc in foreign).values()) > 1
    return single and _mostly_fits(sounds) and not (again and wanted - sounds.struck)


def _mostly_fits(sounds: Sounds) -> bool:
    """Whether no more than `STUMBLE` of the strikes went beside the chord."""
    return sum(map(bool, sounds.foreign)) <= STUMBLE * len(sounds.chords)


def _complete(
    heard: HeardBar,
    span: Span,
    sounds: Sounds,
    more: tuple[frozenset[int], frozenset[int], tuple[str, ...]],
) -> SpanVerdict:
    """Right or incomplete: nothing in the span is foreign."""
    wanted, ringing, stumbled = more
    assert span.chord is not None
    allowed = span.allowed
    judged = judge_tones(
        span.chord,
        (sounds.struck | ringing) & allowed,
        colours=span.colours,
        expected_bass=span.bass,
    )
    missing = judged.missing & wanted if wanted else judged.missing
    slips = sounds.slips + stumbled
    left = left_by(slips)
    if not missing:
        return SpanVerdict(
            *_wanted(heard, span), _right_name(heard, span, sounds), "right", left, slips
        )
    share = 1.0 - len(missing) / len(span.chord.essential)
    played = played_name(sounds.struck & allowed, sounds.bass, span, heard.bar)
    names = _names(missing, span, heard)
    verdict = SpanVerdict(*_wanted(heard, span), played, "incomplete", left * share, slips)
    return replace(verdict, missing=names)


def _names(tones: frozenset[int], span: Span, heard: HeardBar) -> tuple[str, ...]:
    return tuple(note_name(pc, span, heard.bar) for pc in sorted(tones))


def _right_name(heard: HeardBar, span: Span, sounds: Sounds) -> str:
    """The chord's own name, or its colour's if that was played."""
    assert span.chord is not None
    if not span.chord.essential <= sounds.struck:
        for colour in span.colours:
            if colour.essential <= sounds.struck:
                return colour.text
    return chord_name(span, heard.bar)


def _wrong(heard: HeardBar, span: Span, sounds: Sounds) -> SpanVerdict:
    """Another chord, named by the wrong strike that was played most often."""
    assert span.chord is not None
    strikes: list[frozenset[int]] = []
    for event, foreign in zip(sounds.chords, sounds.foreign, strict=True):
        if foreign:
            brushed = _slipped(event.strike, span)
            strikes.append(frozenset(p % 12 for p in event.strike.pitches) - brushed)
    if all(len(tones) == 1 for tones in strikes):
        strikes = [frozenset().union(*strikes)]
    tones = Counter(strikes).most_common(1)[0][0]
    sounding = tones | ({sounds.bass} if sounds.bass is not None else set())
    missing = judge_tones(span.chord, sounding & span.allowed, colours=span.colours).missing
    outside = len(tones - span.allowed)
    tone_score = 0.0
    if outside <= 1 and len(missing) <= 1 and len(tones) > 1:
        tone_score = ONE_BESIDE if missing else ONE_TOO_MANY
    played = _told(tones, sounds, span, heard)
    if _is_put_right(sounds, span):
        return SpanVerdict(*_wanted(heard, span), played, "put right", PUT_RIGHT, sounds.slips)
    good = sum(1 for foreign in sounds.foreign if not foreign) / len(sounds.foreign)
    score = good * PUT_RIGHT + (1.0 - good) * tone_score
    verdict = SpanVerdict(*_wanted(heard, span), played, "wrong", score, sounds.slips)
    beside = _names(tones - span.allowed, span, heard)
    # A fifth that may be left out was wanted all the same where another tone was struck for it.
    lacking = missing or span.chord.tones - sounding
    return replace(verdict, missing=_names(lacking, span, heard), foreign=beside)


def _is_put_right(sounds: Sounds, span: Span) -> bool:
    """Whether the hand that struck another chord struck the whole of this one in the end."""
    assert span.chord is not None
    pairs = list(zip(sounds.chords, sounds.foreign, strict=True))
    (hand, *others) = {event.strike.hand for event, foreign in pairs if foreign}
    event, foreign = [pair for pair in pairs if pair[0].strike.hand == hand][-1]
    last = frozenset(pitch % 12 for pitch in event.strike.pitches)
    if others or foreign or len(last) < 2:
        return False
    last |= frozenset() if sounds.bass is None else {sounds.bass}
    return not judge_tones(span.chord, last & span.allowed, colours=span.colours).missing


def _told(tones: frozenset[int], sounds: Sounds, span: Span, heard: HeardBar) -> str:
    """Another chord by name: "Bm where the chart has D"."""
    # The expected bass under it is right, and judged as the bass.
    bass = None if sounds.bass == span.bass else sounds.bass
    return played_name(tones, bass, span, heard.bar)


def _slipped(strike: HandStrike, span: Span) -> frozenset[int]:
    return frozenset(
        pitch % 12 for place, pitch in enumerate(strike.pitches) if is_brushed(strike, place, span)
    )


def _freely(heard: HeardBar, index: int, ringing: frozenset[int]) -> SpanVerdict:
    """A chord without a pattern: what lasts longest tells, and held chords need no strike."""
    span = heard.bar.spans[index]
    assert span.chord is not None
    sounds = sorted_out(heard, index)
    weights = _weights(heard, index, sounds.bass)
    if not sounds.struck and not ringing & span.chord.tones:
        return SpanVerdict(*_wanted(heard, span), "", "not played", 0.0)
    total = sum(weights.values())
    outside = sum(weight for pc, weight in weights.items() if pc not in span.allowed)
    if total and outside > DOMINATES * total:
        tones = frozenset(pc for pc, weight in weights.items() if weight >= 0.1 * total)
        played = _told(tones, sounds, span, heard)
        return SpanVerdict(*_wanted(heard, span), played, "wrong", 1.0 - outside / total)
    if _is_other_kind(span, sounds):
        return _wrong(heard, span, sounds)
    return _complete(heard, span, sounds, (_core(span), ringing, ()))


def _is_other_kind(span: Span, sounds: Sounds) -> bool:
    """Whether every whole chord that was struck has the same foreign tone in the place of the
    third: D for Dm, however much of it is right."""
    assert span.chord is not None
    whole = [
        foreign
        for event, foreign in zip(sounds.chords, sounds.foreign, strict=True)
        if len({pitch % 12 for pitch in event.strike.pitches}) > 2
    ]
    third = span.chord.degree(3)
    common = frozenset.intersection(*whole) if whole else frozenset[int]()
    beside = third is not None and bool(common & {(third + 1) % 12, (third - 1) % 12})
    return len(whole) > 1 and beside and third not in sounds.struck


def _weights(heard: HeardBar, index: int, bass: int | None) -> Counter[int]:
    """How long each pitch class sounds in a span, milliseconds, without the bass itself."""
    span = heard.bar.spans[index]
    until = heard.time_of(float(span.beat + span.beats))
    weights: Counter[int] = Counter()
    for event in heard.events[index]:
        strike = event.strike
        for end, pitch in zip(strike.ends, strike.pitches, strict=True):
            if strike.hand == "left" and pitch % 12 == bass:
                continue
            weights[pitch % 12] += round(1000 * max(0.05, min(end, until) - strike.time))
    return weights


def _wanted(heard: HeardBar, span: Span) -> tuple[float, str]:
    """Beat and name of what the chart has there."""
    return float(span.beat), chord_name(span, heard.bar)
