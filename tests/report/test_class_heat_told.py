"""How many came through a place, in words. Our own wording, no source."""

import pytest

from evaluator.report.class_heat import heat, heat_told
from tests.report.builders import wrong_chord
from tests.report.class_builders import SONG, bar, take

FIVE = {bar(5).bar}
WRONG = {5: wrong_chord(bar(5), "G")}


@pytest.mark.parametrize(
    ("takes", "told"),
    [
        ([], "nobody played this"),
        ([take("Ben", order=SONG.written[:4])], "nobody played this"),
        ([take("Anna")], "the one got through"),
        ([take("Anna"), take("Ben")], "all 2 got through"),
        ([take("Anna"), take("Ben", WRONG), take("Carl")], "1 of 3 stumbled"),
        ([take("Anna", WRONG)], "1 of 1 stumbled"),
    ],
)
def test_it_is_told_who_came_through_and_who_stumbled(takes: list, told: str) -> None:
    assert heat_told(heat(FIVE, takes)) == told
