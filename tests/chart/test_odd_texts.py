"""Whatever is typed: a song, or mistakes with their places; never anything else.

Texts are charts cut, shuffled and sprinkled with signs (hypothesis).
"""

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.chart.test_kettle_lane import KETTLE_LANE
from tests.fuzz.promises import text_or_refusal

ODD = ["|", "||", "/", "%", "<", ">", "(", ")", "[", "]", "x", "x2+", "x4-2", "#", ":", "=", "\t"]
ODD += ["or |", "tail x3", "optional", "pattern ", "meter 6/8", "2/4: ", "N.C.", "99999", "²", "٣"]
ODD += ["\n", "\x00", "日", "🎹", "[A]\n", "\u00a0", "", " ", "A = "]

edits = st.lists(
    st.tuples(st.integers(0, len(KETTLE_LANE)), st.integers(0, 12), st.sampled_from(ODD)),
    min_size=1,
    max_size=8,
)


@settings(max_examples=150)
@given(edits)
def test_an_edited_chart_is_read_or_refused(changes):
    text = KETTLE_LANE
    for place, length, sign in changes:
        text = text[:place] + sign + text[place + length :]
    text_or_refusal(text)


@settings(max_examples=150)
@given(st.lists(st.sampled_from([*KETTLE_LANE.splitlines(keepends=True), *ODD]), max_size=30))
def test_shuffled_lines_are_read_or_refused(lines):
    text_or_refusal("".join(lines))


@settings(max_examples=100)
@given(st.text(max_size=300))
def test_any_text_is_read_or_refused(text):
    text_or_refusal(text)
