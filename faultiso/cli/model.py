"""``faultiso model``: check, list, show and export models."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from faultiso.base.problems import UsageError
from faultiso.cli.errors import DONE, NO
from faultiso.cli.groups import ending, new_group

group = new_group("Models of systems, written in YAML.")

File = Annotated[Path, typer.Argument(metavar="FILE", help="The YAML file of a model.", show_default=False)]
Json = Annotated[bool, typer.Option("--json", help="One JSON document instead of text.")]


@group.command("check", epilog=ending("faultiso model check tug.yaml"))
def check(file: File, json: Json = False) -> int:
    """Tell everything that is wrong with a model. Exit 0 if it is valid, 1 if not."""
    from faultiso.cli.streams import show
    from faultiso.language.load import load
    from faultiso.report.counts import sizes
    from faultiso.report.json_output import document
    from faultiso.report.pages.problems import problem_record, problems_page

    loaded = load(_existing(file))
    if json:
        data = {
            "file": str(file),
            "valid": loaded.model is not None,
            "counts": sizes(loaded.model) if loaded.model else {},
            "problems": [problem_record(problem) for problem in loaded.problems],
        }
        sys.stdout.write(document(data, loaded.model.subject if loaded.model else ""))
    else:
        show(problems_page(str(file), loaded.model, loaded.problems, loaded.texts))
    return DONE if loaded.model else NO


def _existing(file: Path) -> Path:
    """The path, if a file can be read there; what cannot be read is wrong use, not an invalid model."""
    if not file.is_file():
        kind = "this is a folder; name a file in it" if file.is_dir() else "there is no such file"
        raise UsageError(f"{file}: {kind}.")
    return file


@group.command("list", epilog=ending("faultiso model list"))
def list_models(json: Json = False) -> int:
    """The models that come with faultiso."""
    from faultiso.cli.streams import show
    from faultiso.language.load import load
    from faultiso.language.shipped import shipped_models
    from faultiso.report.json_output import document
    from faultiso.report.pages.model_list import model_list_page, model_record

    models = {name: load(path, lint=False).model for name, path in shipped_models().items()}
    if json:
        sys.stdout.write(document({"models": [model_record(name, model) for name, model in models.items()]}))
    else:
        show(model_list_page(models))
    return DONE
