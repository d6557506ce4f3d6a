"""In what words is a student told what to practise?

Every wording stands here, in tables: what fails, as a phrase; what to listen for, as an
order that can be carried out at the piano. The advice is common practice among teachers
(the bass alone, the hand that moves early, counting aloud), no source.
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
    ("bass", "incomplete"): "{into}: the left hand is not complete ({played} is heard)",
    ("chord", "wrong"): "{into}: {played} is played",
    ("chord", "incomplete"): "{into}: the chord is not complete ({played} is heard)",
    ("chord", "not played"): "{into}: the chord is left out",
    ("chord", "put right"): "{into}: {played} is played first",
    ("rhythm", "late"): "{into}: late by about {ms:.0f} ms",
    ("rhythm", "early"): "{into}: early by about {ms:.0f} ms",
    ("rhythm", "missed"): "{into}: the strike is left out",
    ("halt", "break"): "{into}: a halt",
    ("halt", "restart"): "broken off in bar {number}",
}
"""What goes wrong on the way into a chord."""

FAILS_IN_PATTERN: Final = {
    "late": "the {hand} hand on {beat}{where}: late by about {ms:.0f} ms",
    "early": "the {hand} hand on {beat}{where}: early by about {ms:.0f} ms",
    "missed": "the {hand} hand on {beat}{where}: left out",
    "added": "the {hand} hand on {beat}{where}: one strike too many",
}
PATTERN_FAILS: Final = {
    "late": "strikes come late",
    "early": "strikes come early",
    "missed": "strikes are left out",
    "added": "strikes come in that are not there",
    "other rhythm": "another rhythm is played in its place",
}
COUNTS: Final = {
    ("missing", True): "the tail of {section}: {bars} too few",
    ("missing", False): "{section}: {bars} too few",
    ("extra", True): "the tail of {section}: {bars} too many",
    ("extra", False): "{section}: {bars} too many",
}

LISTEN: Final = {
    "bass": "Play the left hand alone first and listen to the lowest notes: {line}.",
    "stay": "Put the chord down without the pattern first: {stay} {stays}, {new} {comes} new.",
    "chord": "Put {expected} down without the pattern first, and look at its notes.",
    "late": "Let the hand leave early: it is over the new chord before the beat comes.",
    "early": "Count aloud and strike with the count, not before it.",
    "missed": "Count aloud: the {hand} hand strikes on {beat}.",
    "added": "Count aloud: the {hand} hand rests on {beat}.",
    "pattern": "Tap both hands on the lid while you count aloud, then play the same on the keys.",
    "count": "Count the bars aloud: say the number of the bar on each first beat.",
    "halt": "So slowly that nothing stops; rather leave a note out than the beat.",
}
WHOLE_LINE: Final = "put back into its line: {why}"
ONCE_MORE: Final = "Play on through the place as if it were easy, and listen to the whole line."


def why(weakness: Weakness, graph: BarGraph, within: range) -> str:
    """What fails, how often, and where else than in the bars that are to be played."""
    told = _fails(weakness)
    tries = ""
    if weakness.skill.kind in ("bass", "chord", "rhythm") and weakness.tries > 1:
        tries = f"{len(weakness.failed)} of {weakness.tries} times"
    others = {attempt.bar.number for attempt in weakness.failed} - set(within)
    also = f"also in {bar_numbers(others)}" if others else ""
    more = "; ".join(part for part in (tries, also) if part)
    return f"{told} ({more})" if more else told


def listen(weakness: Weakness, graph: BarGraph) -> str:
    """What to listen for, or what to do first."""
    attempt = commonest(weakness.failed)
    kind, sort, words = weakness.skill.kind, weakness.skill.sort, weakness.skill.words
    if kind == "bass":
        notes = [attempt.before, attempt.expected] if attempt.before else [attempt.expected]
        return LISTEN["bass"].format(line=", then ".join(note for note in notes if note))
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
        played=attempt.played or ("another note" if skill.kind == "bass" else "something else"),
        expected=attempt.expected,
        number=attempt.bar.number,
        ms=ms,
    )


def _into(weakness: Weakness) -> str:
    words = weakness.skill.words
    if weakness.skill.sort == "bar":
        attempt = weakness.failed[0]
        return f"into {attempt.expected}" if attempt.expected else f"bar {words[0]}"
    if weakness.skill.sort == "into":
        return f"into {words[0]}"
    before, chord = words[0], words[1]
    if not before:
        return f"into {chord}"
    return f"from {before} into {chord}" if before != chord else f"{chord} again"


def _pattern_fails(weakness: Weakness, attempt: Attempt, ms: float) -> str:
    skill = weakness.skill
    if skill.sort in ("place", "section place"):
        where = f" in {skill.words[0]}" if skill.sort == "section place" else ""
        return FAILS_IN_PATTERN[attempt.case].format(
            hand=skill.words[1], beat=skill.words[2], where=where, ms=ms
        )
    of = f"the pattern in {skill.words[0]}" if skill.sort == "section" else "the pattern"
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
