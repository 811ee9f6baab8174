"""A page as one HTML document that needs nothing else: readable without script, on paper, read aloud."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any

from faultiso.base.notice import PRINTED
from faultiso.base.text import clean, one_line
from faultiso.report.page import Page
from faultiso.report.templates import template

if TYPE_CHECKING:
    from jinja2 import Template


def page_html(page: Page) -> str:
    """The page as HTML; every foreign text is cleaned and escaped, drawings are the ones that we made."""
    return _template().render(page=page, notice=page.notice, printed=PRINTED)


@cache
def _template() -> Template:
    return template("faultiso.report", "page.html.jinja", line=_line, kind=_kind, text=_text)


def _kind(block: Any) -> str:
    return str(type(block).__name__)


def _line(text: str) -> str:
    return one_line(text, 4000)


def _text(text: str) -> str:
    return clean(text, 100_000)
