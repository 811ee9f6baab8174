"""The HTML templates, set up alike: foreign text is escaped, and a name without a value is an error."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from jinja2 import Template


def template(package: str, name: str, **filters: Callable[[Any], str]) -> Template:
    """The template of this name beside the modules of a package, with its own filters."""
    from jinja2 import Environment, PackageLoader, StrictUndefined  # late: the first prompt does not need it

    environment = Environment(
        loader=PackageLoader(package, ""),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters.update(filters)
    return environment.get_template(name)
