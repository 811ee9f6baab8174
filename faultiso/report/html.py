"""A page as one HTML document that needs nothing else: readable without script, on paper, read aloud."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from faultiso.base.notice import PRINTED
from faultiso.base.text import clean, one_line
from faultiso.report.page import Page

if TYPE_CHECKING:
    from jinja2 import Template


def page_html(page: Page) -> str:
    """The page as HTML; every foreign text is cleaned and escaped, drawings are the ones that we made."""
    return _template().render(page=page, notice=page.notice, printed=PRINTED)


@cache
def _template() -> Template:
    from jinja2 import Environment, PackageLoader, StrictUndefined  # late: the first prompt does not need it

    environment = Environment(
        loader=PackageLoader("faultiso.report", ""),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(line=_line, kind=_kind, text=_text)
    return environment.get_template("page.html.jinja")


def _kind(block: Any) -> str:
    return str(type(block).__name__)


def _line(text: str) -> str:
    return one_line(text, 4000)


def _text(text: str) -> str:
    return clean(text, 100_000)
