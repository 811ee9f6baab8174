"""``faultiso case new``: a case begun by questions."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from faultiso.base.problems import UsageError
from faultiso.cli.errors import DONE, LEFT, WRONG_USE

if TYPE_CHECKING:
    from faultiso.casebook.models import Models
    from faultiso.cli.console import Console
    from faultiso.model.system import Model


def new(
    file: Annotated[Path | None, typer.Argument(metavar="[FILE]", help="The file to write.")] = None,
    answers: Annotated[
        Path | None, typer.Option("--answers", metavar="FILE", help="The lines to type, from a file.")
    ] = None,
) -> int:
    """Begin a case by questions; what is left open stands in the file as comments, to be edited."""
    from faultiso.cli.asking import Asker, Enough
    from faultiso.cli.case_places import models
    from faultiso.cli.case_questions import Questions
    from faultiso.cli.console import Left, OutOfAnswers, open_console

    if file is not None and file.exists():
        raise UsageError(f"{file}: there is already a file of this name; expected the name of a new one.")
    if file is not None and file.suffix != ".yaml":
        raise UsageError(f"{file}: expected the name of a new file that ends in .yaml")
    console, known = open_console(answers), models()
    asked = Questions(Asker(console), known)
    code = DONE
    try:
        asked.ask()
    except Enough:
        console.say("The rest is left open.")
    except OutOfAnswers as ran_out:
        console.say(f"{ran_out}.")
        code = WRONG_USE
    except Left:
        code = LEFT
    return _kept(asked.values, asked.model, known, file, console, code) if asked.model else code or WRONG_USE


def _kept(
    values: dict[str, Any], model: Model, known: Models, file: Path | None, console: Console, code: int
) -> int:
    """Write what was answered, and say what ``case check`` says of it."""
    from faultiso.casebook.load import load_case
    from faultiso.casebook.making.written import case_text
    from faultiso.cli.case_places import Reasoners, judged_one, write_new
    from faultiso.cli.streams import show
    from faultiso.report.pages.case_check import case_check_page
    from faultiso.session.home import safe_name

    path = file or _free(safe_name(values.get("title", "case")))
    values = {"case": safe_name(path.stem), **values}
    write_new(path, case_text(values, model.subject, missing=True))
    judged = judged_one(str(path), load_case(path, known), Reasoners())
    if judged.findings and judged.findings.difficulty and judged.valid:
        values["difficulty"] = judged.findings.difficulty.level
        path.write_text(case_text(values, model.subject, missing=True), encoding="utf-8", newline="\n")
    show(case_check_page((judged,)))
    console.say(f"Written: {path}    Go on in an editor; then: faultiso case check {path}")
    return code


def _free(name: str) -> Path:
    """A file of that name among the user's own cases, with a number if there is one already."""
    from faultiso.cli.case_places import folders

    folder = folders()[0]
    names = (name, *(f"{name}-{number}" for number in range(2, 10_000)))
    return next(path for stem in names if not (path := folder / f"{stem}.yaml").exists())
