"""Text as it comes from editors and e-mails. UTF-8 and its byte order mark after the
Unicode Standard, chapter 23.8 and table 3-7 (from memory)."""

import pytest

from evaluator.chart import decode_chart, parse_chart, read_chart
from evaluator.errors import ChartError
from tests.chart.songs import HEADER, bars_in_order, song

PLAIN = HEADER + "[V]\n| D | G F# |\n  words\n| A | x2\n"


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_line_ends_of_other_systems_are_line_ends(end):
    assert read_chart(PLAIN.replace("\n", end)) == read_chart(PLAIN)


@pytest.mark.parametrize("space", ["\t", "\u00a0", "\u2003", "  "])
def test_every_space_is_a_space(space):
    changed = PLAIN.replace("| ", "|" + space).replace("G F#", f"G{space}F#")
    assert bars_in_order(read_chart(changed)) == "D G F# A A"


@pytest.mark.parametrize("bar_line", "│┃∣❘｜¦‖")
def test_bar_lines_of_every_font_are_bar_lines(bar_line):
    assert bars_in_order(read_chart(PLAIN.replace("|", bar_line))) == "D G F# A A"


def test_a_double_bar_line_is_a_bar_line():
    assert bars_in_order(song("[V]\n|| D || G ||")) == "D G"


def test_a_count_may_have_a_multiplication_sign_and_a_dash():
    assert song("[V]\n| D | ×2–3").count == 3


def test_a_comment_follows_a_space_or_a_bar_line():
    graph = song("[V] # first\n| F# | G7#9 | A7(#9) |# last\n  words # not words")
    assert bars_in_order(graph) == "F# G7#9 A7(#9)"
    assert graph.bars[0].cue == "words"


def test_sharps_and_flats_may_be_signs_of_music():
    assert [bar.spans[0].bass for bar in song("[V]\n| F♯ | B♭ |").bars] == [6, 10]


def test_a_byte_order_mark_is_no_part_of_the_text():
    raw = "\ufeff" + PLAIN
    assert decode_chart(raw.encode()) == PLAIN
    assert read_chart(raw) == read_chart(PLAIN)


@pytest.mark.parametrize("order", ["utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("mark", ["\ufeff", ""])
def test_a_chart_in_utf_16_is_read(order, mark):
    text = PLAIN.replace("words", "F♯ blüht")
    assert decode_chart((mark + text).encode(order)) == text


def test_damaged_utf_16_is_told_in_a_sentence():
    with pytest.raises(ChartError, match="this file is damaged UTF-16 text"):
        decode_chart(PLAIN.encode("utf-16")[:-1], file="lane.txt")


def test_zeros_among_the_letters_are_no_text():
    with pytest.raises(ChartError, match="this file is not text"):
        decode_chart(b"title: a\0\0\0b", file="lane.txt")


def test_a_sign_that_is_not_utf_8_is_named_with_its_place():
    raw = b"title: a\nby: M\xfcller\n"
    with pytest.raises(ChartError, match=r"lane\.txt:2:6: this sign is not UTF-8") as caught:
        decode_chart(raw, file="lane.txt")
    assert "by: M�" in str(caught.value)


def test_a_file_beyond_a_megabyte_is_refused():
    with pytest.raises(ChartError, match="larger than 1 MB"):
        decode_chart(b" " * 1_000_001)
    with pytest.raises(ChartError, match="longer than 1 MB"):
        parse_chart(" " * 1_000_001)


def test_a_line_beyond_all_measure_is_refused():
    with pytest.raises(ChartError, match="at most 2000 signs"):
        song("[V]\n" + "| D " * 1000 + "|")


def test_a_song_beyond_all_measure_is_refused():
    with pytest.raises(ChartError, match="at most 500 sections"):
        song("[V]\n| D |\n" * 501)
    with pytest.raises(ChartError, match="at most 200 patterns"):
        song("".join(f"pattern p{n}\n  left | x |\n" for n in range(201)) + "[V]\n| D |\n")
    with pytest.raises(ChartError, match="more than 1000 bars"):
        song("[V]\n" + ("| D " * 100 + "|\n") * 11)
