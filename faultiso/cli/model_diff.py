"""``faultiso model diff``: what changed from one model to another."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.base.problems import InvalidModel, UsageError
from faultiso.cli.errors import DONE

if TYPE_CHECKING:
    from faultiso.drafting.comparing.answers import Beside
    from faultiso.language.load import Loaded

Named = Annotated[str, typer.Argument(help="A file, or the name of a shipped model.", show_default=False)]


def diff(
    older: Named,
    newer: Named,
    cases: Annotated[
        Path | None, typer.Option("--cases", metavar="FOLDER", help="Ask both all cases of a folder.")
    ] = None,
    html: Annotated[Path | None, typer.Option("--html", metavar="FILE", help="Write the whole page.")] = None,
    json: Annotated[bool, typer.Option("--json", help="One JSON document instead of text.")] = False,
) -> int:
    """What changed from one model to another: parts, figures, and what they answer to its cases."""
    from faultiso.cli.streams import say, show
    from faultiso.drafting.comparing.difference import difference
    from faultiso.report.json_output import document
    from faultiso.report.pages.model_diff import diff_page, diff_record

    before, after = _loaded(older), _loaded(newer)
    old, new = before.model, after.model
    assert old is not None and new is not None
    found = difference(old, new)
    answers = _answers(before, after, found.names, cases)
    if html:
        from faultiso.cli.output import write_page

        write_page(html, diff_page(old, new, found, answers, most=sys.maxsize))
        say(f"Written: {html}")
    if json:
        sys.stdout.write(document(diff_record(old, new, found, answers), new.subject))
    else:
        show(diff_page(old, new, found, answers))
    return DONE


def _loaded(named: str) -> Loaded:
    from faultiso.language.load import load
    from faultiso.language.shipped import find_model

    loaded = load(find_model(named), lint=False)
    if loaded.model is None:
        raise InvalidModel(loaded.errors)
    return loaded


def _answers(before: Loaded, after: Loaded, names: dict[str, str], folder: Path | None) -> tuple[Beside, ...]:
    from faultiso.casebook.library import case_files, files_in
    from faultiso.cli.case_places import folders
    from faultiso.cli.streams import counting
    from faultiso.drafting.comparing.answers import answers_of, cases_about

    assert before.model is not None and after.model is not None
    if folder is None:
        known = case_files(folders())
        files = cases_about(known, before.model.name) | cases_about(known, after.model.name)
    else:
        files = {path.stem: path for path in files_in(folder)}
        if not files:
            raise UsageError(f"{folder}: there is no case in this folder; expected files that end in .yaml")
    with counting("{0} cases asked") as tell:
        return answers_of(sorted(files.items()), before, after, names, tell)
