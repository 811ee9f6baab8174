"""``faultiso model``: write, check, list, show and export models."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from faultiso.base.problems import UsageError
from faultiso.cli.errors import DONE, NO
from faultiso.cli.groups import ending, new_group
from faultiso.cli.model_criticality import criticality_command
from faultiso.cli.model_diff import diff
from faultiso.cli.model_import import from_fmea, from_matrix
from faultiso.cli.model_learning import compare, fit, history, learn
from faultiso.cli.model_new import new
from faultiso.cli.model_review import review
from faultiso.cli.model_sensitivity import sensitivity_command

if TYPE_CHECKING:
    from faultiso.belief.width import Width
    from faultiso.model.system import Model

group = new_group("Models of systems, written in YAML.")

File = Annotated[Path, typer.Argument(metavar="FILE", help="The YAML file of a model.", show_default=False)]
Json = Annotated[bool, typer.Option("--json", help="One JSON document instead of text.")]


@group.command("check", epilog=ending("faultiso model check tug.yaml"))
def check(
    file: File,
    json: Json = False,
    watch: Annotated[
        bool, typer.Option("--watch", help="Check again whenever it is saved, until Ctrl-C.")
    ] = False,
) -> int:
    """Tell everything that is wrong with a model. Exit 0 if it is valid, 1 if not."""
    from faultiso.language.shipped import find_model

    if json and watch:
        raise UsageError("--watch prints one answer after the other and --json only one; choose one of them.")
    path = find_model(file)
    if not watch:
        return _checked(path, json)[0]
    from faultiso.cli.watch import Watched

    watched = Watched([path])
    while True:
        watched.these(_checked(path, json)[1])
        watched.wait()
        sys.stdout.write("\n")


def _checked(path: Path, json: bool) -> tuple[int, list[Path]]:
    """Check and show once: the exit code, and the files that the model is read from, there or not."""
    from faultiso.cli.streams import show
    from faultiso.language.load import load
    from faultiso.report.json_output import document
    from faultiso.report.pages.problems import check_record, problems_page, too_large

    loaded = load(path)
    sizes = _widths(loaded.model)
    large = too_large(str(path), sizes)
    problems = (*loaded.problems, *((large,) if large else ()))
    if json:
        data = check_record(str(path), loaded.model, problems, sizes)
        sys.stdout.write(document(data, loaded.model.subject if loaded.model else ""))
    else:
        show(problems_page(str(path), loaded.model, problems, loaded.texts, sizes))
    sys.stdout.flush()
    return (DONE if loaded.model and not large else NO), [path, *map(Path, loaded.files)]


def _widths(model: Model | None) -> tuple[Width, ...]:
    if model is None:
        return ()
    from faultiso.belief.width import widths

    return widths(model)


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


@group.command("show", epilog=ending("faultiso model show workshop-power-cart pump_pressure"))
def show_command(
    model: Annotated[str, typer.Argument(metavar="MODEL", help="A file, or the name of a shipped model.")],
    name: Annotated[str, typer.Argument(metavar="[NAME]", help="One part of it.", show_default=False)] = "",
    normal: Annotated[str, typer.Option("--normal", metavar="SITUATION", help="What to expect there.")] = "",
    inhibits: Annotated[bool, typer.Option("--inhibits", help="When indications can not speak.")] = False,
    flow: Annotated[bool, typer.Option("--flow", help="What feeds what.")] = False,
    causes: Annotated[bool, typer.Option("--causes", help="What acts on what.")] = False,
    svg: Annotated[
        Path | None, typer.Option("--svg", metavar="FILE", help="The drawing, into a file.")
    ] = None,
) -> int:
    """A model for people: its parts, what is normal, what keeps a light dark, its drawings."""
    from faultiso.cli.showing import drawing_of, one_view, page_of
    from faultiso.cli.streams import say, show

    view = one_view({"normal": bool(normal), "inhibits": inhibits, "flow": flow, "causes": causes})
    found = _model(model)
    if svg is None:
        show(page_of(found, view, name or None, normal))
    else:
        svg.write_text(drawing_of(found, view, name or None), encoding="utf-8", newline="\n")
        say(f"Written: {svg}")
    return DONE


@group.command("export", epilog=ending("faultiso model export tug.yaml --format bif --out tug.bif"))
def export_command(
    model: Annotated[str, typer.Argument(metavar="MODEL", help="A file, or the name of a shipped model.")],
    kind: Annotated[
        str, typer.Option("--format", help="bif, xmlbif, uai, graphml, dot, json, matrix or fmea.")
    ] = "json",
    situation: Annotated[
        str, typer.Option("--situation", help="For a network or a matrix (default: the start).")
    ] = "",
    graph: Annotated[str, typer.Option("--graph", help="For graphml and dot: causes or flow.")] = "causes",
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Where to (else: stdout).")
    ] = None,
) -> int:
    """A model in an open format: the network or matrix in a situation, its graphs, or all of it."""
    from faultiso.cli.exporting import text_in, written_to
    from faultiso.cli.streams import say

    found = _model(model)
    if out is None:
        sys.stdout.write(text_in(found, kind, graph, situation))
        return DONE
    for path in written_to(found, kind, out, graph, situation):
        say(f"Written: {path}")
    return DONE


def _model(name_or_path: str) -> Model:
    from faultiso.language.load import read_model
    from faultiso.language.shipped import find_model

    return read_model(find_model(name_or_path))


@group.command("schema", epilog=ending("faultiso model schema --out tug.schema.json"))
def schema_command(
    out: Annotated[Path | None, typer.Option("--out", metavar="FILE", help="Into a file.")] = None,
) -> int:
    """The JSON Schema of model files, so that an editor completes and checks while you write."""
    from faultiso.language.schema import json_schema

    return written_schema(json_schema(), out)


def written_schema(schema: dict[str, Any], out: Path | None) -> int:
    """Write a schema to stdout, or into a file."""
    from faultiso.report.json_output import document

    text = document(schema)
    if out is None:
        sys.stdout.write(text)
    else:
        out.write_text(text, encoding="ascii")
        sys.stderr.write(f"Written: {out}\n")
    return DONE


group.command("new", epilog=ending("faultiso model new tug.yaml"))(new)
group.command("from-fmea", epilog=ending("faultiso model from-fmea cart.csv --to cart.yaml"))(from_fmea)
group.command("from-matrix", epilog=ending("faultiso model from-matrix lift.csv --to lift.yaml"))(from_matrix)
group.command("diff", epilog=ending("faultiso model diff old.yaml new.yaml"))(diff)
group.command("review", epilog=ending("faultiso model review tug.yaml --html review.html"))(review)
group.command("criticality", epilog=ending("faultiso model criticality tug.yaml"))(criticality_command)
group.command("sensitivity", epilog=ending("faultiso model sensitivity tug.yaml --observe light=lit"))(
    sensitivity_command
)
group.command("learn", epilog=ending("faultiso model learn tug.yaml orders.csv --to tug-2.yaml"))(learn)
group.command("history", epilog=ending("faultiso model history tug.yaml --rows 200 --out orders.csv"))(
    history
)
group.command("fit", epilog=ending("faultiso model fit tug.yaml --history orders.csv"))(fit)
group.command("compare", epilog=ending("faultiso model compare tug.yaml tug-2.yaml --history later.csv"))(
    compare
)
