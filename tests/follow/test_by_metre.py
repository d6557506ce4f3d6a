"""When are the patterns of a chart put aside? The two ways are made up here."""

from dataclasses import dataclass, replace
from typing import cast

import pytest

from evaluator.follow.otherwise import by_metre
from evaluator.follow.path import Path, PlayedBar
from evaluator.follow.playing import Playing

BAR = PlayedBar(0, "onward", 0.0, 2.0, 4.0, (), (), 0.0, 0.0, 1.0)
JUMP = replace(BAR, entry="jump")
BY_PATTERN = Path((JUMP, *[BAR] * 40), 0, True, 0.9, (), (), misfit=0.12)


@dataclass
class Found:
    """What is followed without the patterns, and whether anybody looked for it."""

    plain: Path
    strikes: tuple[int, ...] = tuple(range(100))
    written_out: bool = False
    sought: bool = False

    def way(self, transposed: int, rhythm: str) -> Path:
        assert (transposed, rhythm) == (0, "metre")
        self.sought = True
        return self.plain


def put_aside(path: Path, plain: Path, *, written_out: bool = False) -> bool | None:
    """Whether they were; None if nobody looked."""
    found = Found(plain, written_out=written_out)
    taken = by_metre(path, cast("Playing", found))
    assert taken in (path, plain)
    return taken is plain if found.sought else None


def plain(*, strays: int = 0, misfit: float = 0.08, outside: int = 0) -> Path:
    bars = (*[JUMP] * strays, *[BAR] * (41 - strays))
    return replace(BY_PATTERN, bars=bars, misfit=misfit, before=tuple(range(outside)))


@pytest.mark.parametrize(
    ("freely", "other", "wanted"),
    [
        (0.2, plain(), None),
        (0.4, plain(), True),
        (0.4, plain(misfit=0.11), False),
        (0.4, plain(strays=1), False),
        (0.6, plain(strays=1, misfit=0.13), True),
        (0.6, plain(misfit=0.15), False),
        (0.6, plain(outside=20), False),
        (0.6, replace(plain(), bars=()), False),
    ],
)
def test_where_a_way_jumps_it_depends_on_how_much_was_played_in_them(
    freely: float, other: Path, wanted: bool | None
) -> None:
    """What was half played in them must be clearly better without: chords and jumps both."""
    assert put_aside(replace(BY_PATTERN, freely=freely), other) is wanted


def test_a_straight_way_is_left_unless_nearly_nothing_was_played_in_them() -> None:
    straight = replace(BY_PATTERN, bars=(BAR,) * 41)
    assert put_aside(replace(straight, freely=0.7), plain()) is None
    assert put_aside(replace(straight, freely=0.9), plain()) is True


def test_what_goes_astray_is_sought_without_them_however_it_was_played() -> None:
    astray = replace(BY_PATTERN, bars=(*[JUMP] * 8, *[BAR] * 33))
    assert put_aside(astray, plain(strays=6, misfit=0.13)) is True
    assert put_aside(astray, plain(), written_out=True) is None
