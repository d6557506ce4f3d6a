"""Where does a song go on that was broken off and is taken up at another tempo? The player's own
bars are the truth; that beginners begin too fast and begin again is common practice, no source."""

import pytest

from tests.bench.again import Case, measure
from tests.bench.manners import figures


@pytest.mark.parametrize("ratio", [0.7, 1.5])
@pytest.mark.parametrize(
    ("chart", "kind", "until", "back"),
    [
        ("kettle_lane", "the pattern", 4, 1),
        ("quarry_road", "right hand in eighths", 8, 1),
        ("mill_wheel", "half notes", 6, 1),
        ("tallow_moon", "quarters", 30, 27),
    ],
)
def test_a_song_is_followed_that_is_taken_up_at_another_tempo(
    chart: str, kind: str, until: int, back: int, ratio: float
) -> None:
    _, row = measure(Case(chart, kind, ratio, until, back, 2.0))
    assert figures(row)["placed"] >= 0.97
    assert figures(row)["chord"] <= 20
