"""The bars of a page by keyboard: every control is reached, and a bar sounds as it should."""

import math

import pytest
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

from tests.browser.chromium import Chromium
from tests.browser.samples import Page

pytestmark = pytest.mark.browser

CONTROLS = "a[href], button:enabled, summary, [tabindex='0']"
SHOWN = "return arguments[0].checkVisibility()"
WRONG_BASS = "#b-5"
"""Bar 6: the root A under a chord that wants C#."""


def keys(browser: Chromium) -> list[int]:
    """MIDI keys of the tones that were started, in order of time."""
    tones = sorted(browser.ask("return window.heard.tones"))
    return [round(69 + 12 * math.log2(frequency / 440)) for _, frequency in tones]


def focus_on(browser: Chromium, selector: str) -> None:
    browser.ask("document.querySelector(arguments[0]).focus()", selector)


def test_nothing_sounds_until_somebody_asks(browser: Chromium, pages: dict[str, Page]) -> None:
    browser.open(pages["student"].address)
    assert browser.ask("return window.heard.contexts") == 0


@pytest.mark.parametrize("name", ["student", "hostile", "class"])
def test_the_keyboard_reaches_every_control_and_shows_where_it_is(
    browser: Chromium, pages: dict[str, Page], name: str
) -> None:
    browser.open(pages[name].address)
    wanted = [one for one in browser.all(CONTROLS) if browser.ask(SHOWN, one)]
    reached, dark = [], []
    for _ in wanted:
        one = browser.tab()
        reached.append(one.id)
        if browser.ask("return getComputedStyle(arguments[0]).outlineStyle", one) == "none":
            dark.append(one.get_attribute("outerHTML"))
    assert len(wanted) >= 3
    assert reached == [one.id for one in wanted]
    assert dark == []


def test_a_bar_sounds_as_written_and_then_as_played(
    browser: Chromium, pages: dict[str, Page]
) -> None:
    browser.open(pages["student"].address)
    focus_on(browser, WRONG_BASS)
    browser.press(Keys.ENTER)
    assert browser.ask("return window.context.state") == "running"
    basses = [key for key in keys(browser) if key < 55]
    assert {key % 12 for key in basses[:2]} == {1}  # C#, as the bass rule has it
    assert {key % 12 for key in basses[2:]} == {9}  # A, as it was played
    assert browser.all("#sounding")[0].text == "Bar 6, as the chart wants it"


def test_the_space_bar_plays_what_was_played_alone(
    browser: Chromium, pages: dict[str, Page]
) -> None:
    browser.open(pages["student"].address)
    focus_on(browser, ".hear[data-of='5'][data-turns]")
    browser.press(Keys.SPACE)
    assert {key % 12 for key in keys(browser) if key < 55} == {9}
    assert browser.all("#sounding")[0].text == "Bar 6 as it was played"


def test_tones_come_out_of_the_page(browser: Chromium, pages: dict[str, Page]) -> None:
    browser.open(pages["student"].address)
    browser.ask(
        """
        const connect = AudioNode.prototype.connect;
        AudioNode.prototype.connect = function (to, ...more) {
          if (to === this.context.destination) {
            window.tap = this.context.createAnalyser();
            connect.call(this, window.tap);
          }
          return connect.call(this, to, ...more);
        };
        """
    )
    focus_on(browser, WRONG_BASS)
    browser.press(Keys.ENTER)
    loudest = """
        const wave = new Float32Array(window.tap.fftSize);
        window.tap.getFloatTimeDomainData(wave);
        return Math.max(...wave.map(Math.abs));
    """
    WebDriverWait(browser.driver, 5, poll_frequency=0.02).until(
        lambda _: 0.01 < browser.ask(loudest) <= 1.0
    )


def test_escape_brings_silence(browser: Chromium, pages: dict[str, Page]) -> None:
    browser.open(pages["student"].address)
    focus_on(browser, WRONG_BASS)
    browser.press(Keys.ENTER)
    assert browser.all(".bar.sounding")
    browser.press(Keys.ESCAPE)
    assert not browser.all(".sounding")
    assert browser.all("#sounding")[0].text == ""


def test_a_bar_that_was_not_played_has_nothing_to_play_again(
    browser: Chromium, pages: dict[str, Page]
) -> None:
    browser.open(pages["student"].address)
    focus_on(browser, ".bar.left-out")
    browser.press(Keys.ENTER)
    assert keys(browser)
    assert not browser.all("[data-do='played']")[0].is_enabled()


def test_a_chart_without_patterns_sounds_too(browser: Chromium, pages: dict[str, Page]) -> None:
    browser.open(pages["without patterns"].address)
    focus_on(browser, "#b-0")
    browser.press(Keys.ENTER)
    assert {key % 12 for key in keys(browser)} == {2, 6, 9}
