"""What of an annotation is in a take, told from short takes of which everything is known."""

from collections.abc import Mapping, Sequence

from evaluator.take.strike import Strike
from evaluator.theory.symbol import parse_chord
from tests.bench.draft_ceiling import Annotation, ceiling

_HARTE = {"C": "C:maj", "Am": "A:min", "C7": "C:7", "C/E": "C:maj/3"}


def _inside(
    names: str, played: Mapping[float, tuple[int, ...]], starts: Sequence[float] = (0, 2)
) -> Mapping[str, object]:
    """Of chords by beat, a beat a second, the keys struck at each time, and where bars begin."""
    chords = names.split()
    song = Annotation(
        starts,
        range(len(chords) + 1),
        list(map(parse_chord, chords)),
        [_HARTE[name] for name in chords],
    )
    struck = [
        Strike(time, time, tuple(range(len(keys))), keys, (60,) * len(keys), False)
        for time, keys in played.items()
    ]
    return ceiling(song, struck)


def test_a_change_with_no_strike_near_it_is_not_struck() -> None:
    found = _inside("C C Am Am", {0.0: (48, 64), 1.7: (45, 60)})
    assert found["changes"] == {"struck": 0.0, "heard": 0.0}
    assert found["bar lines"] == {"struck": 0.5, "even": 1.0}


def test_bars_that_are_counted_twice_as_fast_are_not_even() -> None:
    found = _inside("C C Am Am", {0.0: (48, 64)}, (0, 4, 8, 12.5, 14.5))
    assert found["bar lines"] == {"struck": 0.2, "even": 0.75}


def test_a_strike_that_both_chords_have_tells_nothing_of_a_change() -> None:
    found = _inside("C C Am Am", {0.0: (48, 64), 2.0: (64,), 3.0: (57, 60)})
    assert found["changes"] == {"struck": 1.0, "heard": 0.0}
    found = _inside("C C Am Am", {0.0: (48, 64), 2.1: (57, 60)})
    assert found["changes"] == {"struck": 1.0, "heard": 1.0}


def test_the_same_chord_over_another_bass_is_heard_by_it() -> None:
    found = _inside("C C C/E C/E", {0.0: (48, 64), 2.0: (52, 60)})
    assert found["changes"] == {"struck": 1.0, "heard": 1.0}


def test_thirds_and_sevenths_count_by_the_time_of_their_chords() -> None:
    found = _inside("C C C Am", {0.0: (48, 67), 1.0: (55, 58), 3.0: (57, 60)})
    assert found["alone, thirds"] == {"struck": 0.25}
    assert found["alone, sevenths"] == {"struck": 0.25}  # B flat is struck in a plain C
    found = _inside("C7 C7 C Am", {0.0: (48, 52, 58), 2.0: (48, 64), 3.0: (57, 60)})
    assert found["alone, thirds"] == found["alone, sevenths"] == {"struck": 1.0}
