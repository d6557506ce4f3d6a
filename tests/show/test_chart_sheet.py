"""A chart for the music stand, on a terminal and as a page. The chart format's own signs;
the rest is this project's layout, no source."""

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from evaluator.chart import compile_chart, parse_chart
from evaluator.show.chart_lines import stand_chart
from evaluator.show.chart_sheet import chart_sheet
from evaluator.show.glyphs import UNICODE
from evaluator.show.page import Sheet, cells
from evaluator.show.pages.chart import chart_page

CHART = """title: Cobbler's Rain
by: Nobody
key: D major
tempo: 96
feel: swing 2:1
bass: A = C#

pattern walk
  count | 1 . 2 . 3 . 4 . |
  left  | x . . . x . . . |

[Verse]
| D (Dsus2) | A | Bm7 | G |
  Rain on the last, and the last in the rain
| D | G |
or | D | Em7 | A |
  another way round

[Chorus] tempo 84
| G | D/F# |
  right | F#4 D4 . . | A4 - F#4 - |
  left  | G2 -       | F#2        |
| D | x2-4

[Verse] optional
[Chorus] tail x2
"""
CHARTS = sorted((Path(__file__).parents[2] / "charts").glob("*.txt"))


def sheet_of(text: str, width: int = 80, sheet: Sheet | None = None) -> str:
    chart = parse_chart(text)
    stand = stand_chart(chart, compile_chart(chart))
    lines = chart_sheet(stand, sheet or Sheet(width, UNICODE, "utf-8"))
    return "\n".join("".join(piece for piece, _ in line).rstrip() for line in lines)


def page_of(text: str) -> str:
    chart = parse_chart(text)
    return chart_page(stand_chart(chart, compile_chart(chart)))


def test_a_chart_looks_as_it_is_typed():
    assert sheet_of(CHART) == (
        "Cobbler's Rain (Nobody)\n"
        "D major · 4/4 · 96 beats a minute · swing 2:1 · plain A over C#\n"
        "\n"
        "pattern walk\n"
        "  count | 1 . 2 . 3 . 4 . |\n"
        "  left  | x . . . x . . . |\n"
        "  right | . . . . . . . . |\n"
        "\n"
        "[Verse 1]  bars 1 to 6, six to seven bars\n"
        "| D (Dsus2) | A   | Bm7 | G |\n"
        "  Rain on the last, and the last in the rain\n"
        "| D         | G   |\n"
        "or\n"
        "| D         | Em7 | A   |\n"
        "  another way round\n"
        "\n"
        "[Chorus 1]  84 beats a minute, bars 7 to 12, four to six bars\n"
        "        | G          | D/F#       |\n"
        "  right | F#4 D4 . . | A4 - F#4 - |\n"
        "  left  | G2 -       | F#2        |\n"
        "| D | ×2-4\n"
        "\n"
        "[Verse 2]  as before, may be left out, bars 13 to 18, six to seven bars\n"
        "\n"
        "[Chorus 2]  as before, tail 2 times, bars 19 to 22"
    )


@pytest.mark.parametrize("path", CHARTS, ids=lambda path: path.stem)
@pytest.mark.parametrize("width", [60, 80, 120, 200])
def test_no_line_is_wider_than_the_sheet(path, width):
    shown = sheet_of(path.read_text(encoding="utf-8"), width)
    assert max(map(cells, shown.split("\n"))) <= width


def test_a_line_too_wide_goes_on_below_with_its_rows():
    text = (
        "title: T\ntempo: 90\n[A]\n" + "| Am7 " * 8 + "|\n  right " + "| C4 D4 E4 F4 " * 8 + "|\n"
    )
    rows = [row for row in sheet_of(text, 70).split("\n") if "|" in row]
    assert [row.count("|") for row in rows] == [5, 5, 5, 5]
    assert [row.split("|")[0].strip() for row in rows] == ["", "right", "", "right"]


def test_what_a_terminal_cannot_write_is_written_otherwise():
    shown = sheet_of(CHART.replace("Rain on", "Räin — ♭"), sheet=Sheet(80))
    assert shown.isascii()
    assert "x2-4" in shown


def test_a_section_that_comes_again_is_only_named():
    assert sheet_of(CHART).count("Rain on the last") == 1


def test_what_is_typed_can_be_read_again():
    shown = sheet_of(CHART.replace("or | D", "or  | D"))
    bars = [row for row in shown.split("\n") if row.lstrip().startswith("|")]
    again = "title: T\ntempo: 90\n[A]\n" + "\n".join(bars)
    assert len(parse_chart(again).sections[0].lines) == 5


class _Texts(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.addresses: list[str] = []

    def handle_data(self, data: str) -> None:
        self.found += [data.strip()] if data.strip() else []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.addresses += [value or "" for name, value in attrs if name in ("src", "href")]


def test_the_page_holds_the_same_chart():
    page = _Texts()
    page.feed(page_of(CHART))
    for text in ("Cobbler's Rain", "D (Dsus2)", "F#4 D4 . .", "another way round", "2-4 times"):
        assert text in page.found
    assert "as before, may be left out, bars 13 to 18, six to seven bars" in page.found


def test_the_page_stands_alone():
    html = page_of(CHART)
    page = _Texts()
    page.feed(html)
    assert page.addresses == []
    assert "default-src &#39;none&#39;" in html
    assert not re.search(r"https?://", html)


def test_texts_cannot_become_markup():
    html = page_of(CHART.replace("Cobbler's", "<script>x</script>"))
    assert "<script>x" not in html
