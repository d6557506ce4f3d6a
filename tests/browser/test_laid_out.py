"""The pages on a phone, on paper, without colour, and before the outside judges."""

import json
import subprocess
from pathlib import Path

import pytest

from tests.browser.chromium import Chromium, page_count
from tests.browser.samples import Page

pytestmark = pytest.mark.browser

EVERY = ["student", "hostile", "without patterns", "another song", "class", "hostile class"]
A4 = (8.27, 11.69)
LETTER = (8.5, 11.0)
PAGES = {"student": range(3, 5), "without patterns": range(1, 3), "class": range(2, 7)}
"""Sheets that a song of 86 bars, one of 8, and a class may take."""


@pytest.mark.parametrize("width", [320, 360, 768, 1200])
@pytest.mark.parametrize("name", EVERY)
def test_a_page_never_runs_out_of_its_window_sideways(
    browser: Chromium, pages: dict[str, Page], name: str, width: int
) -> None:
    browser.open(pages[name].address, width=width)
    browser.ask("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    assert browser.ask("return document.documentElement.scrollWidth") == width


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "Letter"])
@pytest.mark.parametrize("name", list(PAGES))
def test_a_page_prints_on_few_sheets(
    browser: Chromium, pages: dict[str, Page], name: str, paper: tuple[float, float]
) -> None:
    browser.open(pages[name].address)
    assert page_count(browser.printed(*paper)) in PAGES[name]


def test_paper_has_no_buttons_and_is_white_even_from_a_dark_screen(
    browser: Chromium, pages: dict[str, Page]
) -> None:
    browser.open(pages["student"].address, scheme="dark")
    browser.all(".bar")[0].click()
    dark = [{"name": "prefers-color-scheme", "value": "dark"}]
    browser.do("Emulation.setEmulatedMedia", media="print", features=dark)
    assert not any(one.is_displayed() for one in browser.all(".hear, #player, .hint, .skip"))
    background = "return getComputedStyle(document.documentElement).backgroundColor"
    assert browser.ask(background) == "rgb(255, 255, 255)"
    assert browser.ask("return getComputedStyle(document.querySelector('.line')).breakInside") == (
        "avoid"
    )


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", EVERY)
def test_axe_finds_no_violation(
    browser: Chromium, pages: dict[str, Page], tools: Path, name: str, scheme: str
) -> None:
    browser.open(pages[name].address, scheme=scheme)
    if browser.all(".bar[data-bar]"):
        browser.all(".bar")[0].click()
    browser.ask("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    browser.ask((tools / "axe-core/axe.min.js").read_text(encoding="utf-8"))
    found = browser.driver.execute_async_script(
        "axe.run().then((found) => arguments[0](found.violations))"
    )
    assert [(one["id"], one["nodes"][0]["html"][:120]) for one in found] == []


def test_the_html_is_valid(pages: dict[str, Page], tools: Path) -> None:
    command = [
        *("node", tools / "html-validate/bin/html-validate.mjs", "--formatter", "json"),
        *("--config", Path(__file__).parent / "htmlvalidate.json"),
        *(page.path for page in pages.values()),
    ]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    found = json.loads(done.stdout)
    assert [(one["filePath"], message) for one in found for message in one["messages"]] == []
    assert done.returncode == 0


@pytest.mark.parametrize("name", ["student", "class"])
def test_every_mark_has_a_shape_and_a_word_beside_its_colour(
    browser: Chromium, pages: dict[str, Page], name: str
) -> None:
    browser.open(pages[name].address)
    marks = browser.ask(
        "return [...document.querySelectorAll('.bar .mark')].map((one) => one.textContent.trim())"
    )
    shapes = dict(mark.split(" ", 1)[::-1] for mark in marks)
    assert marks
    assert all(word and sign for word, sign in shapes.items())
    assert len(set(shapes.values())) == len(shapes)
