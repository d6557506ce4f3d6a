"""Opens pages as a person's browser does, and asks what became of them."""

import base64
import re
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from selenium import webdriver
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.remote.webelement import WebElement

FLAGS = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--hide-scrollbars"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
)
LISTEN = """
window.heard = {contexts: 0, tones: []};
const Real = window.AudioContext;
window.AudioContext = class extends Real {
  constructor(...given) { super(...given); window.heard.contexts += 1; window.context = this; }
  createOscillator() {
    const tone = super.createOscillator();
    const start = tone.start.bind(tone);
    tone.start = (at) => { window.heard.tones.push([at, tone.frequency.value]); start(at); };
    return tone;
  }
};
"""
"""Notes down what the page's script asks of the sound system, and lets it pass."""


@dataclass(frozen=True)
class Chromium:
    driver: webdriver.Chrome

    def open(self, address: str, *, width: int = 1200, scheme: str = "light") -> None:
        """Load a page afresh in a window of that width, in light or dark."""
        self.do("Emulation.setEmulatedMedia", media="", features=_scheme(scheme))
        size = {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": width < 500}
        self.do("Emulation.setDeviceMetricsOverride", **size)
        self.driver.get_log("browser")
        self.driver.get(address)

    def do(self, command: str, **values: object) -> dict[str, Any]:
        answer: dict[str, Any] = self.driver.execute_cdp_cmd(command, values)
        return answer

    def ask(self, script: str, *values: object) -> Any:
        return self.driver.execute_script(script, *values)

    def all(self, selector: str) -> list[WebElement]:
        return self.driver.find_elements(By.CSS_SELECTOR, selector)

    def press(self, key: str) -> None:
        webdriver.ActionChains(self.driver).send_keys(key).perform()

    def tab(self) -> WebElement:
        """Go on by one with the keyboard, and say what has the focus."""
        self.press(Keys.TAB)
        return self.driver.switch_to.active_element

    def complaints(self) -> list[str]:
        """What the console has to say since the page was opened."""
        return [entry["message"] for entry in self.driver.get_log("browser")]

    def printed(self, width: float, height: float) -> bytes:
        """The page on paper of that size, in inches, as a PDF."""
        paper = {"paperWidth": width, "paperHeight": height, "printBackground": False}
        return base64.b64decode(self.do("Page.printToPDF", **paper)["data"])


def start(profile: Path) -> Chromium:
    options = webdriver.ChromeOptions()
    options.binary_location = str(shutil.which("chromium"))
    for flag in (*FLAGS, f"--user-data-dir={profile}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = webdriver.Chrome(options=options, service=Service(shutil.which("chromedriver")))
    chromium = Chromium(driver)
    chromium.do("Page.addScriptToEvaluateOnNewDocument", source=LISTEN)
    return chromium


def page_count(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


def _scheme(scheme: str) -> list[dict[str, str]]:
    return [{"name": "prefers-color-scheme", "value": scheme}]
