"""``faultiso model review``: what a reviewer has to look at."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.base.problems import InvalidModel
from faultiso.cli.errors import DONE

if TYPE_CHECKING:
    from faultiso.casebook.case import Case
    from faultiso.language.load import Loaded


def review(
    model: Annotated[
        str,
        typer.Argument(metavar="MODEL", help="A file, or the name of a shipped model.", show_default=False),
    ],
    html: Annotated[
        Path | None, typer.Option("--html", metavar="FILE", help="The page with boxes, to print.")
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="One JSON document instead of text.")] = False,
) -> int:
    """What a reviewer has to look at: a checklist made from the model and its cases, with places."""
    from faultiso.cli.output import write_page
    from faultiso.cli.streams import say, show
    from faultiso.drafting.checklist import checklist
    from faultiso.language.load import load
    from faultiso.language.shipped import find_model
    from faultiso.report.json_output import document
    from faultiso.report.pages.model_review import review_page, review_record

    path = find_model(model)
    found, problems = load(path, lint=False), load(path).problems
    if found.model is None:
        raise InvalidModel(found.errors)
    cases = list(_cases(found))
    truths = [fault for case in cases for fault in case.truth] if cases else None
    questions = checklist(found.model, problems, list(_settings(cases, found)), truths)
    if html:
        write_page(html, review_page(found.model, questions, len(cases)))
        say(f"Written: {html}")
    if json:
        sys.stdout.write(document(review_record(found.model, questions, len(cases)), found.model.subject))
    else:
        show(review_page(found.model, questions, len(cases)))
    return DONE


def _cases(found: Loaded) -> Iterator[Case]:
    """The user's and the shipped cases of the model that can be read with it."""
    from faultiso.casebook.library import case_files
    from faultiso.casebook.load import load_case
    from faultiso.casebook.models import OneModel
    from faultiso.cli.case_places import folders
    from faultiso.drafting.comparing.answers import cases_about

    assert found.model is not None
    models = OneModel(found)
    for path in cases_about(case_files(folders()), found.model.name).values():
        case = load_case(path, models).case
        if case is not None:
            yield case


def _settings(cases: list[Case], found: Loaded) -> Iterator[dict[str, str]]:
    """In which conditions the cases are worked."""
    from faultiso.casebook.complaint import pinned_setting, setting_of

    assert found.model is not None
    for case in cases:
        settings = [seen.setting for seen in case.seen] + [case.now]
        settings += [pinned_setting(case, pin) for pin in case.pins]
        yield from (setting_of(found.model, setting) for setting in settings)
