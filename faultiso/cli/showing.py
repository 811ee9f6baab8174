"""Which page ``model show`` gives, and which drawing it writes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from faultiso.base.problems import UsageError
from faultiso.model.system import Model
from faultiso.report.page import Page, Picture

_PICTURES = ("flow", "causes")


def one_view(wanted: Mapping[str, bool]) -> str:
    """The name of the one view that is wanted, "" for none; UsageError if it is more than one."""
    views = [name for name, is_wanted in wanted.items() if is_wanted]
    if len(views) > 1:
        raise UsageError(f"--{' and --'.join(views)} are different pages; choose one of them.")
    return views[0] if views else ""


def page_of(model: Model, view: str, name: str | None = None, situation: str = "") -> Page:
    """The page of a view; ``name`` narrows it to one part. UsageError for a name the model does not have."""
    from faultiso.report.pages import model_show

    if view == "normal":
        return model_show.show_normal(model, situation)
    if view == "inhibits":
        return model_show.show_inhibits(model, name)
    if view in _PICTURES:
        page = model_show.show_pictures(model, name)
        return replace(page, blocks=(page.blocks[_PICTURES.index(view)],))
    return model_show.show_part(model, name) if name else model_show.show_model(model)


def drawing_of(model: Model, view: str, name: str | None = None) -> str:
    """The drawing of a view as SVG: what feeds what unless what acts on what is wanted."""
    if view not in ("", *_PICTURES):
        raise UsageError(f"--{view} has no drawing; --svg goes with --flow or --causes.")
    picture = page_of(model, view or "flow", name).blocks[0]
    assert isinstance(picture, Picture)
    return picture.svg
