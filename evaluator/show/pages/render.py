"""How does a page become one file that nothing outside can touch?

Styles, script and sounds stand inside the page. Its Content-Security-Policy (W3C, CSP
Level 3) forbids everything else: no load from anywhere, and no style or script but the
two whose SHA-256 it names, so that a text that slipped through could still do nothing.
Every text is first freed of invisible signs and then escaped, at the one place through
which all texts go.
"""

import base64
import hashlib
import json
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Final

from evaluator.errors import UsageError
from evaluator.show.sanitise import clean

if TYPE_CHECKING:
    from jinja2 import Environment

POLICY: Final = (
    "default-src 'none'; style-src {style}; script-src {script}; "
    "base-uri 'none'; form-action 'none'"
)
NO_JINJA: Final = (
    "Pages need the package jinja2, which is not installed. Install it with: pip install jinja2"
)


def render(template: str, *, script: str, **values: object) -> str:
    """A page from one of the templates of this package, with one of its scripts.

    Raises `UsageError` where jinja2 is not installed.
    """
    environment = _environment()
    style, code = _file("page.css"), _file(script) if script else ""
    policy = POLICY.format(style=_digest(style), script=_digest(code) if code else "'none'")
    return environment.get_template(template).render(
        values, style=_markup(style), script=_markup(code), policy=policy
    )


def island(value: object) -> str:
    """Values for the page's script, as JSON that no HTML parser can read as a tag."""
    text = json.dumps(value, separators=(",", ":"))
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return _markup(text)


def _markup(text: str) -> str:
    from markupsafe import Markup

    return Markup(text)


@lru_cache(maxsize=1)
def _environment() -> "Environment":
    try:
        from jinja2 import Environment, PackageLoader, StrictUndefined
    except ModuleNotFoundError as error:
        raise UsageError(NO_JINJA) from error
    return Environment(
        loader=PackageLoader("evaluator.show.pages"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_cleaned,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )


def _cleaned(value: object) -> object:
    """Texts without invisible signs; what the package itself has marked safe stays."""
    if isinstance(value, str) and not hasattr(value, "__html__"):
        return clean(value)
    return value


@lru_cache(maxsize=4)
def _file(name: str) -> str:
    return files("evaluator.show.pages").joinpath("templates", name).read_text(encoding="utf-8")


def _digest(text: str) -> str:
    """A source of the policy: the hash of exactly this text."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"
