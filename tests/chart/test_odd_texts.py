"""Whatever is typed: a song, or mistakes with their places; never anything else.

Texts are charts cut, shuffled and sprinkled with signs (hypothesis).
"""

from hypothesis import given, settings
from hypothesis import strategies as st

from evaluator.chart import BarGraph, read_chart
from evaluator.errors import ChartError
from tests.chart.test_kettle_lane import KETTLE_LANE

ODD = ["|", "||", "/", "%", "<", ">", "(", ")", "[", "]", "x", "x2+", "x4-2", "#", ":", "=", "\t"]
ODD += ["or |", "tail x3", "optional", "pattern ", "meter 6/8", "2/4: ", "N.C.", "99999", "²", "٣"]
ODD += ["\n", "\x00", "日", "🎹", "[A]\n", "\u00a0", "", " ", "A = "]

edits = st.lists(
    st.tuples(st.integers(0, len(KETTLE_LANE)), st.integers(0, 12), st.sampled_from(ODD)),
    min_size=1,
    max_size=8,
)


def check_refusal(error: ChartError) -> None:
    assert error.mistakes
    assert str(error)
    for mistake in error.mistakes:
        assert mistake.line >= 1
        assert 1 <= mistake.column <= len(mistake.source) + 1


def check_song(graph: BarGraph) -> None:
    assert graph.count >= 1
    assert all(after < len(graph.bars) for ways in graph.successors for after in ways)
    for bar in graph.bars:
        assert sum(span.beats for span in bar.spans) == bar.beats
        assert all(0 <= strike.beat < bar.beats for strike in bar.strikes)


def read_or_refuse(text: str) -> None:
    try:
        graph = read_chart(text)
    except ChartError as error:
        check_refusal(error)
    else:
        check_song(graph)


@settings(max_examples=150, deadline=None)
@given(edits)
def test_an_edited_chart_is_read_or_refused(changes):
    text = KETTLE_LANE
    for place, length, sign in changes:
        text = text[:place] + sign + text[place + length :]
    read_or_refuse(text)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.sampled_from([*KETTLE_LANE.splitlines(keepends=True), *ODD]), max_size=30))
def test_shuffled_lines_are_read_or_refused(lines):
    read_or_refuse("".join(lines))


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=300))
def test_any_text_is_read_or_refused(text):
    read_or_refuse(text)
