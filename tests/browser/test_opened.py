"""The pages opened from the file system: quiet, safe, and nothing asked from outside."""

import unicodedata

import pytest

from tests.browser.chromium import Chromium
from tests.browser.samples import SCRIPT, Page

pytestmark = pytest.mark.browser

EVERY = ["student", "hostile", "without patterns", "another song", "class", "hostile class"]
HOSTILE = ["hostile", "another song", "hostile class"]


@pytest.mark.parametrize("name", EVERY)
def test_a_page_opens_without_a_word_in_the_console(
    browser: Chromium, pages: dict[str, Page], name: str
) -> None:
    browser.open(pages[name].address)
    assert browser.complaints() == []
    assert browser.all("h1")[0].text


@pytest.mark.parametrize("name", EVERY)
def test_a_page_loads_nothing_but_itself(
    browser: Chromium, pages: dict[str, Page], name: str
) -> None:
    browser.open(pages[name].address)
    assert browser.ask("return performance.getEntriesByType('resource').length") == 0


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_and_words_do_nothing(
    browser: Chromium, pages: dict[str, Page], name: str
) -> None:
    browser.open(pages[name].address)
    assert browser.ask("return window.harmed") is None
    assert browser.all("img, svg[onload]") == []
    assert SCRIPT in browser.all("h1")[0].text


@pytest.mark.parametrize("name", HOSTILE)
def test_no_invisible_sign_reaches_a_page(pages: dict[str, Page], name: str) -> None:
    shown = {sign for sign in pages[name].html if unicodedata.category(sign) in ("Cc", "Cf")}
    assert shown <= {"\n"}


def test_a_template_typed_as_words_stays_words(browser: Chromium, pages: dict[str, Page]) -> None:
    browser.open(pages["hostile"].address)
    assert any("{{ 7 * 7 }}" in words.text for words in browser.all(".words"))


@pytest.mark.parametrize("name", EVERY)
def test_the_policy_stops_what_would_slip_through(
    browser: Chromium, pages: dict[str, Page], name: str
) -> None:
    browser.open(pages[name].address)
    browser.ask(
        """
        document.body.insertAdjacentHTML("beforeend", arguments[0]);
        const script = document.createElement("script");
        script.textContent = "window.harmed = 1";
        document.body.append(script);
        """,
        '<img src="x" onerror="window.harmed=1"><iframe src="data:text/html,x"></iframe>',
    )
    assert browser.ask("return window.harmed") is None
    assert any("Content Security Policy" in said for said in browser.complaints())


def test_the_class_page_leads_to_the_take(browser: Chromium, pages: dict[str, Page]) -> None:
    browser.open(pages["class"].address)
    browser.all("table a")[0].click()
    assert browser.driver.current_url == pages["student"].address
