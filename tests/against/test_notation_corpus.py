"""Scores that nobody of this project wrote: the corpus of music21, read from the installed
package. Order of bars of the two lead sheets: counted by hand from the repeat signs and
endings in the files (bars 1 to 33, 2 to 31, 34 to 35; and 1 to 33, 2 to 32, 34). Chords
of the first: read off the page, bar and beat. Harmonies of the chorales: the Roman
numeral analyses of the corpus (Andrew Jones).
"""

import warnings
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from typing import Any

import pytest

from evaluator.chart import BarGraph, parse_chart, read_chart
from evaluator.notation import export_chart, import_score
from evaluator.notation.chart_text import ImportedChart, write_chart
from evaluator.notation.guard import safe_score
from evaluator.notation.reading import read_score, score_of
from evaluator.notation.score import Score
from evaluator.notation.unroll import unroll
from evaluator.theory.symbol import parse_chord
from tests.notation.sheets import as_others_save_it

FOSTER = "leadSheet/fosterBrownHair"
RAGTIME = "leadSheet/berlinAlexandersRagtime"
KINDS = "demos/ComprehensiveChordSymbolsTestFile"
MAPLE_LEAF = "joplin/maple_leaf_rag"
PIANO = "liliuokalani/aloha_oe"
SCORES = [FOSTER, RAGTIME, KINDS, PIANO]
CHORALES = [f"bach/choraleAnalyses/riemenschneider{n:03d}" for n in range(1, 21)]

# Bar: chord, or two with the second on beat 3.
FOSTER_CHORDS = """2 F, 3 Bb, 4 F C, 5 F, 7 Bb, 8 F G7, 9 C, 10 F, 11 Bb, 12 F C, 13 F, 14 G7,
15 C F, 16 C G7, 17 C, 20 F, 22 Bb, 23 F, 24 Dm G7, 25 C, 26 F, 27 Bb, 28 F C, 29 F, 30 Bb,
31 F Bb, 32 F C, 33 F, 34 F C, 35 F"""
# As printed in the file, a bar each; what no chart can write is N.C.
ALL_KINDS = """C Cm Caug Cdim D7 Dmaj7 Dm7 Ddim7 Daug7 Dm7b5 DmMaj7 Bb6 Bbm6 B9 Bmaj9 Bm9 Gb11
Gbmaj11 Gbm11 C#13 C#maj13 C#m13 Gsus2 Fsus4 C C/E C/G Cmaj7 Cmaj7/E Cmaj7/G Cmaj7/B Cmaj9
Cmaj9/E Cmaj9/G Cmaj9/B Cmaj9/D Cmaj11 Cmaj11/E Cmaj11/G Cmaj11/B Cmaj11/D Cmaj11/F Cmaj13
Cmaj13/E Cmaj13/G Cmaj13/B Cmaj13/D Cmaj13/F Cadd9 C/F D7/B Cno5 C7no3 Cmaj11no3 N.C. N.C. N.C."""


@pytest.fixture(autouse=True)
def _quiet() -> Iterator[None]:
    """Whatever music21 warns of while a test itself calls it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def raw(work: str) -> bytes:
    from music21 import corpus

    with open(str(corpus.getWork(work)), "rb") as file:
        return file.read()


@cache
def score(work: str) -> Score:
    return read_score(safe_score(raw(work)))


@cache
def imported(work: str) -> ImportedChart:
    return import_score(raw(work), name="x")


def order(work: str) -> list[int]:
    """Printed bars, from 1, in the order of playing."""
    return [step.bar + 1 for step in unroll([bar.marks for bar in score(work).bars])]


def graph_of(text: str) -> BarGraph:
    return read_chart(text)


def written(graph: BarGraph) -> list[Any]:
    return [graph.bars[index] for index in graph.written]


def facts(text: str) -> tuple[list[Any], str]:
    """Bars with meters, chords and basses, and all the words."""
    bars = written(graph_of(text))
    chords = [
        (bar.meter, [(s.beat, s.chord.name if s.chord else None, s.bass) for s in bar.spans])
        for bar in bars
    ]
    cues = [bar.cue for bar in bars if bar.place == 0 and bar.copy == 0]
    return chords, " ".join(" ".join(cues).split())


def test_the_first_lead_sheet_unrolls_to_65_bars() -> None:
    assert order(FOSTER) == [*range(1, 34), *range(2, 32), 34, 35]
    assert graph_of(imported(FOSTER).text).count == 65


def test_the_second_lead_sheet_unrolls_to_65_bars() -> None:
    assert order(RAGTIME) == [*range(1, 34), *range(2, 33), 34]
    assert graph_of(imported(RAGTIME).text).count == 65


def test_a_rag_with_a_first_ending_alone_unrolls() -> None:
    # AABBACCDD of 16 bars each and the pickup.
    assert len(order(MAPLE_LEAF)) == 9 * 16 + 1


def test_the_forty_chords_stand_where_they_are_printed() -> None:
    expected = []
    for entry in FOSTER_CHORDS.split(","):
        bar, *chords = entry.split()
        expected += [(int(bar), beat, chord) for beat, chord in zip((1, 3), chords, strict=False)]
    assert len(expected) == 40
    found = [
        (place, harmony.offset + 1, harmony.chord)
        for place, bar in enumerate(score(FOSTER).bars, 1)
        for harmony in bar.harmonies
        if harmony.chord is not None
    ]
    assert found == expected


def test_the_chords_are_in_the_chart_in_the_order_of_playing() -> None:
    chart = [
        [(span.beat, span.chord.text) for span in bar.spans if span.chord]
        for bar in written(graph_of(imported(FOSTER).text))
    ]
    printed = {place: bar.harmonies for place, bar in enumerate(score(FOSTER).bars, 1)}
    for bar, chords in zip(order(FOSTER), chart, strict=True):
        own = [(h.offset, h.chord) for h in printed[bar] if h.chord]
        assert set(own) <= set(chords), bar


def test_both_verses_have_their_words() -> None:
    text = imported(FOSTER).text
    assert "dream of Jeannie with the light brown hair" in text
    assert "long for Jeannie with the day dawn smile" in text
    assert "where the bright waters flow." in text


def test_every_kind_of_chord_is_read_or_left_open_and_said() -> None:
    chart = imported(KINDS)
    assert [bar.text for bar in written(graph_of(chart.text))] == ALL_KINDS.split()
    said = [remark for remark in chart.remarks if "could not be read" in remark]
    assert [remark.partition(":")[0] for remark in said] == ["bar 55", "bar 56", "bar 57"]


@pytest.mark.parametrize("name", ["swv23", "riemenschneider001", "monteverdi_3_13"])
def test_analyses_keep_the_lengths_of_their_bars(name: str) -> None:
    from music21 import converter
    from music21.romanText import testFiles

    _keeps_lengths(converter.parse(getattr(testFiles, name), format="romanText"))


def test_the_meters_of_the_motet_change_where_they_do() -> None:
    from music21 import converter
    from music21.romanText import testFiles

    parsed = converter.parse(testFiles.swv23, format="romanText")
    bars = written(graph_of(write_chart(score_of(parsed), name="x").text))
    meters = [str(bar.meter) for bar in bars]
    runs = [("2/2", 37), ("3/2", 2), ("2/2", 56), ("3/2", 4), ("2/2", 14), ("3/4", 7), ("2/2", 19)]
    assert meters == [meter for meter, count in runs for _ in range(count)]


@pytest.mark.parametrize("work", CHORALES)
def test_chorales_keep_the_lengths_of_their_bars(work: str) -> None:
    from music21 import corpus

    _keeps_lengths(corpus.parse(work + ".rntxt", forceSource=True))


def _keeps_lengths(parsed: Any) -> None:
    read = score_of(parsed)
    part = parsed.parts[0]
    lengths = [Fraction(m.duration.quarterLength) for m in part.getElementsByClass("Measure")]
    assert [bar.length for bar in read.bars] == lengths
    steps = unroll([bar.marks for bar in read.bars])
    played = written(graph_of(write_chart(read, name="x").text))
    found = [Fraction(4 * bar.meter.beats, bar.meter.unit) for bar in played]
    assert found == [lengths[step.bar] for step in steps]


@pytest.mark.parametrize("work", SCORES)
def test_out_and_in_again_keeps_bars_meters_chords_and_words(work: str) -> None:
    text = imported(work).text
    again = import_score(as_others_save_it(export_chart(parse_chart(text))), name="x").text
    assert facts(again) == facts(text)


def test_the_harmonies_of_an_analysis_go_out_and_come_in_again() -> None:
    from music21 import corpus

    parsed = corpus.parse("bach/choraleAnalyses/riemenschneider011.rntxt", forceSource=True)
    text = write_chart(score_of(parsed), name="x").text
    assert facts(
        import_score(as_others_save_it(export_chart(parse_chart(text))), name="x").text
    ) == facts(text)


ANALYSED = {1: "bwv269", 2: "bwv347", 3: "bwv153.1", 4: "bwv86.6", 5: "bwv267"}
"""Chorales of which the corpus has the four parts and somebody's analysis of the harmony."""


def roots_in_bars(read: Score) -> Iterator[tuple[str, int]]:
    """The roots that sound in each bar, by the number of the bar."""
    held: int | None = None
    for bar in read.bars:
        number = bar.label.rstrip("abcX")
        if held is not None and all(harmony.offset for harmony in bar.harmonies):
            yield number, held
        for harmony in bar.harmonies:
            held = parse_chord(harmony.chord).root.pc if harmony.chord else None
            if held is not None:
                yield number, held


def test_chords_found_in_four_parts_are_mostly_those_of_an_analyst() -> None:
    """Two chords a bar at most cannot be all of a chorale's, but should be some of them."""
    from music21 import corpus

    found = []
    for number, work in ANALYSED.items():
        name = f"bach/choraleAnalyses/riemenschneider{number:03d}.rntxt"
        analysis = set(roots_in_bars(score_of(corpus.parse(name, forceSource=True))))
        found += [root in analysis for root in roots_in_bars(score(f"bach/{work}"))]
    assert len(found) > 70
    assert sum(found) / len(found) > 0.85
