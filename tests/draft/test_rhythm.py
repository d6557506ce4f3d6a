"""Which sections of a take have a pattern."""

from fractions import Fraction

from evaluator.chart.values import FREE
from evaluator.draft.bars import PlayedBar, PlayedSpan
from evaluator.draft.hands import Played, Struck
from evaluator.draft.model import DraftPattern
from evaluator.draft.rhythm import Rhythm, find_rhythm, without_least
from evaluator.theory.symbol import parse_chord

CHORD = parse_chord("C")
STEADY = (0.0, 1.0, 2.0, 3.0)
WAVERING = ((0.0, 1.0, 2.0), (0.0, 1.0, 3.0), (0.0, 2.0, 3.0), (0.0, 1.0, 2.0, 3.0))


def song(*sections: tuple[tuple[float, ...], ...]) -> tuple[list[PlayedBar], Played]:
    """Sections of bars of four beats, each with its strikes, the first in the left hand."""
    rows = [(visit, row) for visit, section in enumerate(sections) for row in section]
    bars = [
        PlayedBar(4 * n, 4, (PlayedSpan(CHORD, 4 * n, 4),), visit, visit)
        for n, (visit, _) in enumerate(rows)
    ]
    struck = tuple(
        Struck("left" if at == 0 else "right", 4 * n + at, (48,) if at == 0 else (64, 67))
        for n, (_, row) in enumerate(rows)
        for at in row
    )
    return bars, Played(struck, tuple(one.at for one in struck))


def patterns(*sections: tuple[tuple[float, ...], ...]) -> list[str | None]:
    bars, played = song(*sections)
    rhythm = find_rhythm(bars, [(bar.visit, bar.visit) for bar in bars], played, 4, ())
    return [rhythm.of_section.get(n) for n in range(len(sections))]


def test_a_section_that_keeps_its_pattern_has_it_whatever_the_others_do() -> None:
    steady, wavering = (STEADY,) * 4, WAVERING[:3] * 4
    assert patterns(steady, wavering, wavering) == ["hands", FREE, FREE]


def test_a_song_that_keeps_to_it_nearly_everywhere_has_one_pattern() -> None:
    assert patterns((STEADY,) * 12, WAVERING) == ["hands", "hands"]


def test_sections_that_keep_least_to_their_patterns_go_first() -> None:
    written = (DraftPattern("hands", ("x",), ("x",)), DraftPattern("hands2", ("x",), (".",)))
    named = {0: "hands", 1: FREE, 2: "hands2", 3: "hands"}
    rhythm = Rhythm(written, named, Fraction(1), ())
    half = without_least(rhythm, {0: 0.95, 1: 0.0, 2: 0.8, 3: 0.9}, 0.5)
    assert half.of_section == {0: "hands", 1: FREE, 2: FREE, 3: FREE}
    assert [one.name for one in half.patterns] == ["hands"]
    assert without_least(half, {0: 0.95, 1: 0.0, 2: 0.8, 3: 0.9}, 1.0).patterns == ()
