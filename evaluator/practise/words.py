"""In what words is a student told what to practise?

What fails is a phrase; what to listen for is something to do at the piano. The advice is
common practice among teachers (the bass alone, moving early, counting aloud), no source.
"""

from collections.abc import Sequence
from typing import Final

from evaluator.chart.graph import Bar, BarGraph, Span
from evaluator.judge.names import note_name
from evaluator.practise.attempt import Attempt, chord_tones
from evaluator.practise.weakness import Weakness
from evaluator.report.places import amount, bar_numbers, listed

FAILS: Final = {
    ("bass", "wrong"): "{into}: the bass goes to {played}",
    ("bass", "not played"): "{into}: the bass note {expected} is left out",
    ("bass", "put right"): "{into}: the bass goes to {played} first",
    ("bass", "incomplete"): "{into}: the left hand is incomplete ({played} is heard)",
    ("chord", "wrong"): "{into}: you play {played}",
    ("chord", "incomplete"): "{into}: the chord is incomplete ({played} is heard)",
    ("chord", "not played"): "{into}: the chord is left out",
    ("chord", "put right"): "{into}: you play {played} first",
    ("rhythm", "late"): "{into}: about {ms:.0f} ms late",
    ("rhythm", "early"): "{into}: about {ms:.0f} ms early",
    ("rhythm", "missed"): "{into}: left out",
    ("halt", "break"): "{into}: a halt",
    ("halt", "restart"): "stopped in bar {number}",
}
"""What goes wrong on the way into a chord."""
INTO: Final = {
    "into": "into {chord}",
    "from": "from {before} into {chord}",
    "again": "{chord} again",
    "bar": "bar {number}",
}
"""The way into a chord, as the failures name it."""
SOMETHING: Final = {"bass": "another note", "chord": "something else"}
"""Stands for what was played where it has no name."""

FAILS_IN_PATTERN: Final = {
    "late": "the {hand} hand on {beat}{where}: about {ms:.0f} ms late",
    "early": "the {hand} hand on {beat}{where}: about {ms:.0f} ms early",
    "missed": "the {hand} hand on {beat}{where}: left out",
    "added": "the {hand} hand on {beat}{where}: one note too many",
}
PATTERN: Final = ("the pattern", "the pattern in {section}")
IN_SECTION: Final = " in {section}"
PATTERN_FAILS: Final = {
    "late": "notes come late",
    "early": "notes come early",
    "missed": "notes are left out",
    "added": "extra notes creep in",
    "other rhythm": "you play another rhythm instead",
}
COUNTS: Final = {
    ("missing", True): "the tail of {section}: {bars} too few",
    ("missing", False): "{section}: {bars} too few",
    ("extra", True): "the tail of {section}: {bars} too many",
    ("extra", False): "{section}: {bars} too many",
}

LISTEN: Final = {
    "bass": "Play the left hand alone first and listen to the lowest notes: {line}.",
    "stay": "Play the chord by itself first: {stay} {stays}, {new} {comes} new.",
    "chord": "Play {expected} by itself first, and look at its notes.",
    "late": "Move early: have the hand over the new chord before the beat comes.",
    "early": "Count aloud, and play with the count, not before it.",
    "missed": "Count aloud: the {hand} hand plays on {beat}.",
    "added": "Count aloud: the {hand} hand rests on {beat}.",
    "pattern": "Tap the pattern with both hands while you count aloud, then play it.",
    "count": "Count the bars aloud: say the number of the bar on each first beat.",
    "halt": "Slow enough never to stop: drop a note before a beat.",
}
"""What to listen for, or what to do first."""
THEN: Final = ", then "
"""Between the bass notes of a line."""
WHOLE_LINE: Final = "now the whole line: {why}"
ONCE_MORE: Final = "Play through the spot as if it were easy, and listen to the whole line."
OFTEN: Final = "{failed} of {tries} times"
ALSO: Final = "also in {bars}"


def why(weakness: Weakness, graph: BarGraph, within: range) -> str:
    """What fails, how often, and where else than in the bars that are to be played."""
    told = _fails(weakness)
    tries = ""
    if weakness.skill.kind in ("bass", "chord", "rhythm") and weakness.tries > 1:
        tries = OFTEN.format(failed=len(weakness.failed), tries=weakness.tries)
    others = {attempt.bar.number for attempt in weakness.failed} - set(within)
    also = ALSO.format(bars=bar_numbers(others)) if others else ""
    more = "; ".join(part for part in (tries, also) if part)
    return f"{told} ({more})" if more else told


def listen(weakness: Weakness, graph: BarGraph) -> str:
    """What to listen for, or what to do first."""
    attempt = commonest(weakness.failed)
    kind, sort, words = weakness.skill.kind, weakness.skill.sort, weakness.skill.words
    if kind == "bass":
        notes = [attempt.before, attempt.expected] if attempt.before else [attempt.expected]
        return LISTEN["bass"].format(line=THEN.join(note for note in notes if note))
    if kind == "chord":
        return _chord_advice(attempt, graph)
    if kind == "rhythm" and sort in ("into", "move"):
        case = "late" if attempt.case == "missed" else attempt.case
        return LISTEN[case]
    if kind == "rhythm" and sort in ("place", "section place"):
        case = "missed" if attempt.case == "late" else attempt.case
        return LISTEN[case].format(hand=words[1], beat=words[2])
    return LISTEN["pattern" if kind == "rhythm" else kind]


def commonest(failed: Sequence[Attempt]) -> Attempt:
    """The first of the failures that are most alike."""
    counts: dict[tuple[str, str], int] = {}
    for attempt in failed:
        like = (attempt.case, attempt.played)
        counts[like] = counts.get(like, 0) + 1
    return max(failed, key=lambda attempt: counts[attempt.case, attempt.played])


def _fails(weakness: Weakness) -> str:
    skill, attempt = weakness.skill, commonest(weakness.failed)
    if attempt.finding is not None and skill.kind == "count":
        finding = attempt.finding
        lost = sum(one.count for one in weakness.failed)
        return COUNTS[attempt.case, finding.tail].format(
            section=finding.section, bars=amount(lost, "bar")
        )
    same = [one.ms for one in weakness.failed if one.case == attempt.case]
    ms = abs(sum(same)) / len(same)
    if skill.kind == "rhythm" and skill.sort not in ("into", "move"):
        return _pattern_fails(weakness, attempt, ms)
    return FAILS[skill.kind, attempt.case].format(
        into=_into(weakness),
        played=attempt.played or SOMETHING["bass" if skill.kind == "bass" else "chord"],
        expected=attempt.expected,
        number=attempt.bar.number,
        ms=ms,
    )


def _into(weakness: Weakness) -> str:
    words = weakness.skill.words
    if weakness.skill.sort == "bar":
        chord = weakness.failed[0].expected
        return INTO["into" if chord else "bar"].format(chord=chord, number=words[0])
    if weakness.skill.sort == "into":
        return INTO["into"].format(chord=words[0])
    before, chord = words[0], words[1]
    case = "into" if not before else "from" if before != chord else "again"
    return INTO[case].format(before=before, chord=chord)


def _pattern_fails(weakness: Weakness, attempt: Attempt, ms: float) -> str:
    skill = weakness.skill
    if skill.sort in ("place", "section place"):
        named = skill.sort == "section place"
        where = IN_SECTION.format(section=skill.words[0]) if named else ""
        return FAILS_IN_PATTERN[attempt.case].format(
            hand=skill.words[1], beat=skill.words[2], where=where, ms=ms
        )
    section = skill.words[0] if skill.sort == "section" else ""
    of = PATTERN[bool(section)].format(section=section)
    return f"{of}: {PATTERN_FAILS[attempt.case]}"


def _chord_advice(attempt: Attempt, graph: BarGraph) -> str:
    """Which fingers stay where they are, and which notes come new."""
    span = chord_tones(attempt.bar, attempt.beat)
    came = _span_before(graph, attempt.bar, attempt.beat)
    generic = LISTEN["chord"].format(expected=attempt.expected)
    if span is None or came is None or span.chord is None or came.chord is None:
        return generic
    stay = span.chord.tones & came.chord.tones
    new = span.chord.tones - stay
    if not stay or not new:
        return generic
    return LISTEN["stay"].format(
        stay=_notes(stay, span, attempt.bar),
        stays="stays" if len(stay) == 1 else "stay",
        new=_notes(new, span, attempt.bar),
        comes="comes" if len(new) == 1 else "come",
    )


def _notes(tones: frozenset[int], span: Span, bar: Bar) -> str:
    assert span.chord is not None
    order = sorted(tones, key=lambda tone: (tone - span.chord.root.pc) % 12 if span.chord else tone)
    return listed([note_name(tone, span, bar) for tone in order])


def _span_before(graph: BarGraph, bar: Bar, beat: float) -> Span | None:
    """The span that the chart has before a beat of a bar."""
    earlier = [span for span in bar.spans if float(span.beat) < beat]
    if earlier:
        return earlier[-1]
    if bar.index > 0 and graph.bars[bar.index - 1].spans:
        return graph.bars[bar.index - 1].spans[-1]
    return None
