"""A headless Chromium with an empty profile, and the pages to open in it."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.browser.chromium import Chromium, start
from tests.browser.samples import Page, write_all


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Chromium]:
    for program in ("chromium", "chromedriver"):
        if shutil.which(program) is None:
            pytest.skip(f"{program} is not installed")
    chromium = start(tmp_path_factory.mktemp("profile"))
    yield chromium
    chromium.driver.quit()


@pytest.fixture(scope="session")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Page]:
    return write_all(tmp_path_factory.mktemp("pages"))


@pytest.fixture(scope="session")
def tools() -> Path:
    """Where `npm install` in this folder puts what `package.json` asks for."""
    found = Path(__file__).parent / "node_modules"
    if not found.is_dir() or shutil.which("node") is None:
        pytest.skip("the outside judges are not installed: npm install in tests/browser")
    return found
