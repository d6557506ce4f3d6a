"""How is a score written as a chart?

Sections as they are played (`passages`), in lines as the score has its systems, or of four
bars; chords in their beats; words under their lines, of the verse whose turn it is; notes
of two staves as rows, or as the pattern that they keep to. A section that comes again as it
was is only named again; one line played several times gets a count.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from evaluator.chart.graph import Meter
from evaluator.chart.model import Pattern
from evaluator.chart.typed import ASSUMED_BPM, as_name, pattern_rows
from evaluator.chart.values import FASTEST, FREE, SLOWEST, swing_text
from evaluator.notation.accompaniment import Part, usual_patterns, written_as
from evaluator.notation.lines import Line, Liner
from evaluator.notation.passages import Passage, passages
from evaluator.notation.played import ChordReader, PlayedBar
from evaluator.notation.score import Score, ScoreBar, ScoreError
from evaluator.notation.unroll import unroll
from evaluator.theory.pitch import Key

MOST_SECTIONS = 500
REPEATS = "what repeat signs ask for may be left out: take out `optional`, or x1-, where it may not"
NAMED = "the score has no chord symbols; the chords above the notes were found in the notes"
PATTERNED = (
    "the bars keep to a pattern of the hands, which is written once: any inversion of a chord, "
    "held as long as one likes, is right there"
)


@dataclass(frozen=True, slots=True)
class ImportedChart:
    """A score as a chart text, and what of it could not be kept."""

    text: str
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Block:
    """What stands for one playing of a section."""

    heading: str
    options: str
    lines: tuple[Line, ...]
    spare: bool = False
    """May be left out."""
    low: int = 1
    high: int = 1
    """How many times its one line is played."""

    @property
    def count(self) -> str:
        """Behind its one line, if that is counted."""
        if self.high == 1:
            return ""
        return f" x{self.low}-{self.high}" if self.low < self.high else f" x{self.low}"

    @property
    def title(self) -> str:
        """The line of its heading."""
        words = (f"[{self.heading}]", "optional" if self.spare else "", self.options)
        return " ".join(filter(None, words))

    @property
    def body(self) -> str:
        """Bars and rows, without the words."""
        return "\n".join(row for line in self.lines for row in line.rows)

    @property
    def words(self) -> tuple[str, ...]:
        return tuple(line.words for line in self.lines)


def write_chart(score: Score, *, name: str, notes: Sequence[str] = ()) -> ImportedChart:
    """A chart that reads without mistakes. `name` stands for a title that is missing; `notes`
    are remarks on where the score comes from.

    Raises:
        ScoreError: a score that is longer, or cut into more sections, than a chart holds.
    """
    steps = unroll([bar.marks for bar in score.bars])
    parts = passages(score, steps)
    if len(parts) > MOST_SECTIONS:
        raise ScoreError(f"This score falls into more than {MOST_SECTIONS} sections.")
    meter = _meter(score.bars[step.bar] for step in steps)
    tempo, assumed = _tempo(score, meter)
    key = next((bar.key for bar in score.bars if bar.key), None)
    reader = ChordReader(score, flats=key is not None and key.flats)
    played = [reader.bars(part) for part in parts]
    usual = usual_patterns(played, meter) if reader.has_symbols else ()
    written = [written_as(bars, usual) for bars in played]
    names = _pattern_names(written)
    writer = _Writer(score, Liner(score), (meter, tempo, key), names)
    blocks = [writer.block(*one) for one in zip(parts, played, written, strict=True)]
    repeats = (REPEATS,) if any(block.spare for block in blocks) else ()
    by_ear = any(one.bar.hands for bars in played for one in bars) and not reader.has_symbols
    kept = (PATTERNED,) if names else (NAMED,) if by_ear else ()
    # What is said of the tempo stands right under it.
    remarks = (*assumed, *notes, *score.remarks, *reader.remarks, *kept, *repeats)
    rows = [f"title: {as_name(score.title) or as_name(name) or 'Song'}"]
    rows += [f"by:    {by}"] if (by := as_name(score.by)) else []
    rows += [f"key:   {key.tonic.text} {key.mode}"] if key else []
    rows += [f"feel:  swing {swing_text(score.swing)}"] if score.swing != 1 else []
    rows += [f"meter: {meter}", f"tempo: {'about ' if assumed else ''}{tempo}"]
    rows += [f"# {as_name(remark)}" for remark in remarks]
    rows += [row for pattern, name in names.items() for row in ("", *_pattern(pattern, name))]
    rows += [row for block in _shortened(blocks) for row in ("", *block)]
    return ImportedChart("\n".join(rows) + "\n", remarks)


def _meter(bars: Iterable[ScoreBar]) -> Meter:
    """The meter of most bars; of those that are as many, the one of the longest, as others may
    be pickups."""
    lengths = Counter((bar.meter, bar.length) for bar in bars)
    return max(lengths, key=lambda pair: (lengths[pair], pair[1]))[0]


def _tempo(score: Score, meter: Meter) -> tuple[str, tuple[str, ...]]:
    """The tempo of the header; and where the score states none, that it is assumed."""
    bpm, printed = next(
        ((bar.bpm, bar.tempo_printed) for bar in score.bars if bar.bpm), (None, False)
    )
    if bpm is not None and printed:
        return _beats_a_minute(bpm, meter), ()
    tempo = _beats_a_minute(bpm or ASSUMED_BPM, meter)
    return tempo, (f"the score gives no tempo; {tempo} is assumed: write the song's own for it",)


def _beats_a_minute(bpm: float, meter: Meter) -> str:
    return f"{min(FASTEST, max(SLOWEST, round(bpm * meter.unit / 4, 2))):g}"


def _pattern_names(parts: Sequence[Part]) -> dict[Pattern, str]:
    """A name for each pattern that is used, the one of most bars first."""
    used: Counter[Pattern] = Counter()
    for part in parts:
        if part.pattern is not None:
            used[part.pattern] += len(part.kinds)
    return {
        pattern: "hands" if rank == 1 else f"hands{rank}"
        for rank, (pattern, _) in enumerate(used.most_common(), 1)
    }


def _pattern(pattern: Pattern, name: str) -> Iterator[str]:
    yield f"pattern {name} {pattern.meter}" if pattern.own_meter else f"pattern {name}"
    if pattern.bass_as_written:
        yield "  bass: as written"
    yield from pattern_rows(pattern.left, pattern.right, pattern.meter)


@dataclass(frozen=True, slots=True)
class _Writer:
    """Writes the sections of a score."""

    score: Score
    liner: Liner
    usual: tuple[Meter, str, Key | None]
    """Meter, tempo and key of the header."""
    names: Mapping[Pattern, str]
    """The first one is the chart's own."""

    def block(self, part: Passage, played: Sequence[PlayedBar], written: Part) -> _Block:
        """One playing of a section."""
        whole, tempo, key = self.usual
        often = sum(one.bar.meter == whole for one in played) * 2 >= len(played)
        meter = whole if often else _meter(one.bar for one in played)
        options = [] if meter == whole else [f"meter {meter}"]
        if part.key is not None and part.key != key:
            options.append(f"key {part.key.tonic.text} {part.key.mode}")
        # The header's tempo goes by the note value of its own meter.
        if part.bpm is not None and _beats_a_minute(part.bpm, whole) != tempo:
            options.append(f"tempo {_beats_a_minute(part.bpm, meter)}")
        if written.pattern is not None and written.pattern != next(iter(self.names)):
            options.append(f"pattern {self.names[written.pattern]}")
        elif "slashes" in written.kinds:
            options.append(f"pattern {FREE}")
        # The repeats of a song are its form; a piece's are often not played.
        piece = "notes" in written.kinds and bool(played[0].bar.hands)
        spare = (part.spare and piece) or played[0].bar.optional
        lines = self.liner.lines(part, played, written.kinds, meter)
        return _Block(_heading(part.name), " ".join(options), lines, spare)


def _shortened(blocks: Sequence[_Block]) -> Iterator[list[str]]:
    """Each block as text; those that come again named only, one line again counted."""
    written: dict[str, list[_Block]] = {}
    for block in _counted(blocks):
        versions = written.setdefault(block.heading.casefold(), [])
        known = [version for version in versions if _same_bars(version, block)]
        if known and len(known) == len(versions) and versions[-1].words == block.words:
            yield [block.title]
            continue
        versions.append(block)
        rows = [block.title]
        for line in block.lines:
            bars, *notes = line.rows
            rows.append(bars + block.count)
            rows += notes
            rows += [f"  {line.words}"] if line.words else []
        yield rows


def _same_bars(one: _Block, other: _Block) -> bool:
    meters = [block.options.partition("meter")[1:] for block in (one, other)]
    return (one.body, one.count, meters[0]) == (other.body, other.count, meters[1])


def _counted(blocks: Sequence[_Block]) -> list[_Block]:
    """Playings of one line that follow each other, as one with a count."""
    counted: list[_Block] = []
    for block in blocks:
        last = counted[-1] if counted else None
        if last and len(block.lines) == 1 and _alike(last, block):
            must = 0 if block.spare else 1
            counted[-1] = replace(last, low=last.low + must, high=last.high + 1)
        else:
            counted.append(block)
    return counted


def _alike(one: _Block, other: _Block) -> bool:
    """Whether the second is the first once more; what must be played is none of what need not."""
    once = replace(one, spare=other.spare, low=1, high=1)
    return once == other and (other.spare or not one.spare)


def _heading(name: str) -> str:
    return " ".join(as_name(name).translate({ord("["): None, ord("]"): None}).split()) or "Part"
