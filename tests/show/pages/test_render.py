"""One file, and nothing in it that was not put there: policy, escaping, missing jinja2."""

import base64
import hashlib
import json
import re
import sys

import pytest

from evaluator.errors import UsageError
from evaluator.show.pages import take_page
from evaluator.show.pages.render import _environment, island
from tests.show.pages.takes import CHART, graded


@pytest.fixture(scope="module")
def page() -> str:
    return take_page(graded(), student="Ada Brook")


def digest(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def test_the_policy_allows_this_style_and_this_script_and_nothing_else(page: str) -> None:
    (policy,) = re.findall(r'Content-Security-Policy" content="([^"]*)"', page)
    policy = policy.replace("&#39;", "'")
    (style,) = re.findall(r"<style>(.*?)</style>", page, flags=re.S)
    (script,) = re.findall(r"<script>(.*?)</script>", page, flags=re.S)
    assert policy.split("; ") == [
        "default-src 'none'",
        f"style-src '{digest(style)}'",
        f"script-src '{digest(script)}'",
        "base-uri 'none'",
        "form-action 'none'",
    ]


def test_a_page_names_no_address_outside_itself(page: str) -> None:
    assert "://" not in page
    assert not re.search(r"url\(|@import|src=", page)


@pytest.mark.parametrize("text", ["</script>", "<!--", "]]>", "&amp;"])
def test_an_island_cannot_be_left(text: str) -> None:
    shown = island([text])
    assert not set("<>&") & set(shown)
    assert json.loads(shown) == [text]


def test_texts_are_freed_of_invisible_signs_and_escaped() -> None:
    page = take_page(graded(), student="<b>A\u202eda</b>\x1b[1m")
    assert "&lt;b&gt;Ada&lt;/b&gt;[1m" in page
    assert "<b>Ada" not in page


def test_without_jinja2_the_user_is_told_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    take = graded()
    _environment.cache_clear()
    monkeypatch.setitem(sys.modules, "jinja2", None)
    with pytest.raises(UsageError, match="pip install jinja2"):
        take_page(take)
    _environment.cache_clear()


def test_a_page_of_the_same_take_is_the_same(page: str) -> None:
    assert take_page(graded(), student="Ada Brook") == page


def test_a_page_of_twenty_bars_is_small(page: str) -> None:
    assert len(page.encode()) < 100_000
    assert len(CHART) < len(page)
