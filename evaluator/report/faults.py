"""What is the matter with one played bar, and how much does it weigh?

A `Trouble` is one fault of one bar: a row of the tables in `sentences`, the words to
fill it with, and what it takes from the marks: 1 is the whole worth of one bar, shared
out among chord, bass, rhythm and form as the marks are. Equal troubles of different bars
are one thing to put right, so they compare equal but for their place.

What the rubric lets pass is no trouble; it is said like a brushed key, and the bar still
counts as right.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from evaluator.chart.graph import Bar, BarGraph, Hand
from evaluator.judge.names import note_name
from evaluator.judge.rubric import STEADY, Countable, Rubric
from evaluator.judge.verdict import BarVerdict, PartVerdict, SpanVerdict, StrikeFault
from evaluator.report.manner_words import NAMES, PLAYS
from evaluator.report.model import BarFault, BarFaultKind
from evaluator.report.places import beat_words, listed
from evaluator.report.sentences import NOT_COUNTED, PHRASES, SOMETHING_HEARD
from evaluator.theory.pitch import parse_note

NOT_WRONG: Final = ("slip", "lost")
"""Kinds of faults by which no bar is wrong."""
LOOSE: Final = 0.8
"""Below this rhythm score a bar is loose, and told so with everything in it."""
PLAINLY: Final = (100.0, 1 / 6, 150.0)
"""In other bars a strike is told to be early or late from so many milliseconds, or that
share of a beat if it is more (what parts swung from straight eighths), up to the last;
strikes less off the beat are playing, not mistakes. Common practice, no source."""

CASE_KINDS: Final[dict[str, BarFaultKind]] = {
    "chord wrong": "chord",
    "chord not played": "chord",
    "chord incomplete": "incomplete",
    "chord put right": "slip",
    "bass put right": "slip",
    "bass root": "bass",
    "bass wrong": "bass",
    "bass not played": "bass",
    "bass incomplete": "incomplete",
    "missed": "rhythm",
    "added": "rhythm",
    "early": "rhythm",
    "late": "rhythm",
    "other rhythm": "otherwise",
}

RULES: Final[dict[str, Countable]] = {
    "chord incomplete": "incomplete_chord",
    "bass incomplete": "incomplete_chord",
    "bass root": "root_for_bass",
    "missed": "missed_strike",
    "added": "added_strike",
    "early": "early_strike",
    "late": "late_strike",
    "other rhythm": "other_rhythm",
}
"""By which rule of a rubric each case counts; the others always do."""

DEGREES: Final = {1: "root", 3: "third", 5: "fifth", 7: "seventh"}

_SLASH_BASS = re.compile(r"/[A-G][#b♯♭]*$")


@dataclass(frozen=True, slots=True)
class Trouble:
    """One fault of one bar."""

    case: str
    """Row of the sentence tables."""
    words: tuple[tuple[str, str], ...]
    """What fills the row, but for place and milliseconds."""
    bar: Bar
    cost: float
    ms: float = 0.0

    @property
    def kind(self) -> BarFaultKind:
        """What the report calls the fault."""
        return CASE_KINDS[self.case]


def troubles(verdict: BarVerdict, graph: BarGraph, rubric: Rubric = STEADY) -> tuple[Trouble, ...]:
    """Everything held against one played bar; nothing where it could not be followed."""
    return tuple(one for one in _everything(verdict, graph, rubric) if _counts(one, rubric))


def bar_faults(
    verdict: BarVerdict, graph: BarGraph, rubric: Rubric = STEADY
) -> tuple[BarFault, ...]:
    """The same in phrases to stand under the bar, with the slips of the fingers and what
    the rubric lets pass."""
    if not verdict.judged:
        return (BarFault("lost", PHRASES["lost"]),)
    found = _everything(verdict, graph, rubric)
    # What is no mistake need not be told to be let pass.
    passed = _phrases(
        [one for one in found if not _counts(one, rubric) and one.kind != "otherwise"]
    )
    return (
        *_phrases([one for one in found if _counts(one, rubric) or one.kind == "otherwise"]),
        *_slips(verdict),
        *(BarFault("slip", NOT_COUNTED.format(phrase=fault.say)) for fault in passed),
    )


def _everything(verdict: BarVerdict, graph: BarGraph, rubric: Rubric) -> tuple[Trouble, ...]:
    if not verdict.judged:
        return ()
    bar = graph.bars[verdict.bar]
    return (
        *_chord_troubles(verdict, bar, rubric),
        *_bass_troubles(verdict, bar, rubric),
        *_rhythm_troubles(verdict, graph, rubric),
        *_manner_troubles(verdict, bar, rubric),
    )


def _counts(trouble: Trouble, rubric: Rubric) -> bool:
    rule = RULES.get(trouble.case)
    return rule is None or rubric.has(rule)


def _phrases(found: Sequence[Trouble]) -> tuple[BarFault, ...]:
    return (
        *(
            BarFault(trouble.kind, PHRASES[trouble.case].format(**dict(trouble.words)))
            for trouble in found
            if trouble.kind != "rhythm"
        ),
        *_rhythm_phrases([trouble for trouble in found if trouble.kind == "rhythm"]),
    )


def _off(part: PartVerdict) -> Iterator[SpanVerdict]:
    return (span for span in part.spans if span.word not in ("right", "not judged"))


def _share(part: PartVerdict, span: SpanVerdict, weight: float) -> float:
    """What a span costs: its part of the bar's score."""
    return weight * (1.0 - span.score) / max(len(part.spans), 1)


def is_silent(verdict: BarVerdict, hand: Hand) -> bool:
    """Whether a hand that was to play in a bar did not."""
    return {one.how for one in verdict.rhythm.strikes if one.hand == hand} == {"missed"}


def _chord_troubles(verdict: BarVerdict, bar: Bar, rubric: Rubric) -> Iterator[Trouble]:
    chord = verdict.chord
    before = {span.beat: chord.spans[at].expected for at, span in enumerate(chord.spans[1:])}
    for span in _off(chord):
        case = f"chord {span.word}"
        # A fifth in the left hand is no chord that lacks its third, but one that is not played.
        if span.word == "incomplete" and (not span.played or is_silent(verdict, "right")):
            case = "chord not played"
        worth = _share(chord, span, rubric.shares["chord"])
        kept = plain_name(span.played) == plain_name(before.get(span.beat, ""))
        words = (*_exchange(span, "chord"), *_tones(span, bar))
        words += (("kept", "yes"),) if kept and span.played else ()
        yield Trouble(case, words, bar, worth)


def _bass_troubles(verdict: BarVerdict, bar: Bar, rubric: Rubric) -> Iterator[Trouble]:
    chords = {span.beat: plain_name(span.expected) for span in verdict.chord.spans}
    for span in _off(verdict.bass):
        case = f"bass {span.word}"
        if span.root_for_bass:
            case = "bass root"
        elif span.word == "incomplete":
            case = "bass incomplete"
        words = (*_exchange(span, "bass"), ("chord", chords.get(span.beat, "")))
        yield Trouble(case, words, bar, _share(verdict.bass, span, rubric.shares["bass"]))


def plain_name(chord: str) -> str:
    """A chord's name without its bass."""
    return _SLASH_BASS.sub("", chord)


def _tones(span: SpanVerdict, bar: Bar) -> tuple[tuple[str, str], ...]:
    """The one tone that is missing, which of the chord it is, and what was struck for it."""
    foreign = span.foreign[0] if len(span.foreign) == 1 else ""
    written = bar.span_at(span.beat) if bar.spans else None
    chord = written.chord if written is not None else None
    wanted = span.missing
    if written is not None and chord is not None and foreign and len(wanted) > 1:
        # Of a broken chord others are missing as well: it is the one beside the foreign tone.
        near = {(parse_note(foreign).pc + step) % 12 for step in (1, -1)} & chord.tones
        wanted = tuple(note_name(pc, written, bar) for pc in near)
    if len(wanted) != 1:
        return ()
    missing = parse_note(wanted[0]).pc
    degrees = () if chord is None else (d for d in DEGREES if chord.degree(d) == missing)
    degree = DEGREES[next(iter(degrees), 1)]
    return ("missing", wanted[0]), ("degree", degree), ("foreign", foreign)


def _exchange(span: SpanVerdict, part: str) -> tuple[tuple[str, str], ...]:
    return (("expected", span.expected), ("played", span.played or SOMETHING_HEARD[part]))


def _rhythm_troubles(verdict: BarVerdict, graph: BarGraph, rubric: Rubric) -> Iterator[Trouble]:
    rhythm, bar = verdict.rhythm, graph.bars[verdict.bar]
    if rhythm.score is None:
        return
    told = rhythm.faults
    if rhythm.score >= LOOSE:
        told = tuple(_plain(rhythm.faults, verdict.bpm, rubric.width))
    counted = sum(rubric.has(RULES[fault.kind]) for fault in told)
    lost = max(0.0, 1.0 - rhythm.score - manner_share(verdict, bar, rubric))
    for fault in told:
        words = (("hand", fault.hand), ("beat", beat_words(fault.beat, graph, bar)))
        cost = rubric.shares["rhythm"] * lost / max(counted, 1)
        yield Trouble(fault.kind, words, bar, cost, abs(fault.ms))


def _manner_troubles(verdict: BarVerdict, bar: Bar, rubric: Rubric) -> Iterator[Trouble]:
    others = verdict.rhythm.otherwise
    share = manner_share(verdict, bar, rubric)
    for one in others:
        words = (("hand", one.hand), ("plays", PLAYS[one.manner]), ("manner", NAMES[one.manner]))
        yield Trouble(
            "other rhythm", words, bar, rubric.shares["rhythm"] * share / max(len(others), 1)
        )


def manner_share(verdict: BarVerdict, bar: Bar, rubric: Rubric) -> float:
    """What the bar's rhythm loses by another manner than the pattern's."""
    hands = {one.hand for one in verdict.rhythm.otherwise}
    strikes = sum(strike.hand in hands for strike in bar.strikes)
    return rubric.price_of_other_rhythm * strikes / max(len(bar.strikes), 1)


def _plain(faults: Iterable[StrikeFault], bpm: float, width: float) -> Iterator[StrikeFault]:
    """Strikes that are not where they belong, whatever else is in the bar."""
    least, share, most = PLAINLY
    off = width * min(max(least, share * 60_000 / max(bpm, 1.0)), most)
    return (
        fault
        for fault in faults
        if fault.kind == "missed" or (fault.kind != "added" and abs(fault.ms) >= off)
    )


def _rhythm_phrases(found: Iterable[Trouble]) -> Iterator[BarFault]:
    """One phrase for what one hand did in one way: `beats 2 and 4 of the left hand missed`."""
    groups: dict[tuple[str, str], list[Trouble]] = {}
    for trouble in found:
        groups.setdefault((trouble.case, dict(trouble.words)["hand"]), []).append(trouble)
    for (case, hand), group in groups.items():
        beats = _beats([dict(trouble.words)["beat"] for trouble in group])
        ms = sum(trouble.ms for trouble in group) / len(group)
        yield BarFault("rhythm", PHRASES[case].format(hand=hand, beats=beats, ms=ms))


def _beats(words: list[str]) -> str:
    """`beats 2 and 4` for `beat 2`, `beat 4`; other words as they are."""
    on = [word.removeprefix("beat ") for word in words if word.startswith("beat ")]
    if len(on) < 2:
        return listed(words)
    return listed([f"beats {on[0]}", *on[1:], *(w for w in words if not w.startswith("beat "))])


def _slips(verdict: BarVerdict) -> Iterator[BarFault]:
    spans = (*verdict.chord.spans, *verdict.bass.spans)
    for case, names in (
        ("slip", [key for span in spans for key in span.slips]),
        ("mute", [key for span in spans for key in span.mute]),
    ):
        if names:
            yield BarFault("slip", PHRASES[case].format(keys=listed(list(dict.fromkeys(names)))))
