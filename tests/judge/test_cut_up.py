"""Whatever the order of the bars, the form is judged.

No bar that was heard is missing, but for one that a passage lacks when it comes again.
Common practice, no source.
"""

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.judge.songs import HEAD, SONG, song, take
from tests.playing import Pause, Restart

OPEN_FORM = (
    HEAD
    + "[Verse]\n| D | A | Bm7 | G |\nor | G | D/F# |\n| Em7 | A7 | x1-3\n"
    + "[Chorus]\n| Gmaj7 | D/A | 2/4: Asus4 |\n[Bridge] optional\n| F#m | B7 | C |\n| E | F | x2+\n"
)
UNLIKE = HEAD + "[Verse]\n| D | A | Bm7 | G | Em7 | A7 | F#m | Gmaj7 | D/F# | Dm7 | C | F |\n"


@st.composite
def cut_up(draw: st.DrawFn, text: str) -> tuple[list[int], list[Pause | Restart]]:
    """Bars of a song in any order, in runs, with halts and restarts where they part."""
    graph = song(text)
    order: list[int] = []
    faults: list[Pause | Restart] = []
    pieces = draw(
        st.lists(
            st.tuples(
                st.integers(0, len(graph.written) - 1),
                st.integers(1, 8),
                st.sampled_from(("on", "halt", "restart")),
            ),
            min_size=1,
            max_size=6,
        )
    )
    for start, length, parted in pieces:
        if order and parted == "restart":
            faults.append(Restart(len(order), draw(st.sampled_from((1.0, 2.0))) * 0.5, 1.5))
        elif order and parted == "halt":
            faults.append(Pause(len(order) + 1, 0.0, 1.5))
        order += graph.written[start : start + length]
    return order, faults


DRAWN = settings(max_examples=40)
"""`python -m tests.fuzz cut`, which runs beside these tests, tries many more."""


@DRAWN
@given(cut_up(SONG))
def test_any_order_of_bars_is_judged(played: tuple[list[int], list[Pause | Restart]]) -> None:
    order, faults = played
    take(*faults, graph=song(SONG), bars=order)


@DRAWN
@given(cut_up(OPEN_FORM))
def test_any_order_is_judged_where_the_form_is_open(
    played: tuple[list[int], list[Pause | Restart]],
) -> None:
    order, faults = played
    take(*faults, graph=song(OPEN_FORM), bars=order)


@DRAWN
@given(cut_up(UNLIKE))
def test_no_bar_that_was_heard_is_missing(
    played: tuple[list[int], list[Pause | Restart]],
) -> None:
    order, faults = played
    graph = song(UNLIKE)
    found = take(*faults, graph=graph, bars=order).form
    # What came again, or the song begun over, may lack what was heard the first time.
    if any(one.kind == "extra" or one.detail == "through" for one in found):
        return
    missing = [bar for one in found if one.kind == "missing" for bar in one.bars]
    assert not set(missing) & {graph.bars[bar].number for bar in order}
    assert len(set(missing)) == len(missing)
