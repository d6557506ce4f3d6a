"""Draws the README's pictures of the pages: python -m tests.browser.pictures

The take is the demonstration; the class are twelve invented students, whose takes the
simulated students of the benchmarks play.
"""

import base64
import shutil
import tempfile
from pathlib import Path

from evaluator.grading import grade_fully, prepare
from evaluator.judge.rubric import STEADY
from evaluator.report.class_build import build_class
from evaluator.report.class_take import class_take
from evaluator.show.pages import class_page, take_page
from tests.bench.students import FEW, MANY, simulate
from tests.browser.chromium import Chromium, start
from tests.browser.samples import ROOT

NAMES = (
    *("Ada Brook", "Ben Castor", "Cleo Dahl", "Dov Ember", "Edda Fenn", "Finn Gale"),
    *("Greta Holm", "Hugo Ines", "Ida Juul", "Jon Kestrel", "Kaya Lund", "Leo Moss"),
)
WIDTH = 880
CHART = ROOT / "charts/kettle_lane.txt"
TAKE = ROOT / "recordings/kettle_lane-student.mid"


def demo_take() -> str:
    song = prepare(CHART.read_text(encoding="utf-8"))
    return take_page(grade_fully(song, TAKE.read_bytes(), take_file=TAKE.name), student=NAMES[0])


def demo_class() -> str:
    text = CHART.read_text(encoding="utf-8")
    song = prepare(text)
    takes = []
    for number, name in enumerate(NAMES):
        hand = ("tidy", "ordinary", "rough")[number % 3]
        faults = MANY if number % 4 == 3 else FEW
        played = simulate(100 + number, hand, chart_text=text, faults=faults)  # type: ignore[arg-type]
        graded = grade_fully(song, played.midi_bytes, take_file=f"{name}.mid")
        kept = class_take(
            *(song.graph, graded.judgement, graded.report), student=name, file=f"{name}.mid"
        )
        takes.append(kept)
    return class_page(build_class(song.graph, takes, STEADY))


def draw(browser: Chromium, html: str, picture: Path, clip: tuple[str, int]) -> None:
    """A strip of the page, from the top of an element down."""
    selector, height = clip
    with tempfile.NamedTemporaryFile("w", suffix=".html", encoding="utf-8") as page:
        page.write(html)
        page.flush()
        browser.open(Path(page.name).as_uri(), width=WIDTH)
        top = browser.ask(
            "return document.querySelector(arguments[0]).getBoundingClientRect().top", selector
        )
        area = {"x": 0, "y": max(0, top - 24), "width": WIDTH, "height": height, "scale": 1}
        shot = browser.do("Page.captureScreenshot", captureBeyondViewport=True, clip=area)
    picture.write_bytes(base64.b64decode(shot["data"]))


def main() -> None:
    profile = Path(tempfile.mkdtemp())
    browser = start(profile)
    try:
        take, together = demo_take(), demo_class()
        draw(browser, take, ROOT / "docs/page-time.png", ("#h-tempo", 900))
        draw(browser, together, ROOT / "docs/page-class.png", ("#h-song", 860))
    finally:
        browser.driver.quit()
        shutil.rmtree(profile, ignore_errors=True)


if __name__ == "__main__":
    main()
