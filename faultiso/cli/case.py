"""``faultiso case``: list, show, check, make and seal cases."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.base.problems import UsageError
from faultiso.cli.case_generate import generate
from faultiso.cli.case_new import new
from faultiso.cli.case_places import Reasoners, folders, judged_one, models
from faultiso.cli.case_workorder import from_workorder
from faultiso.cli.errors import DONE, NO
from faultiso.cli.groups import ending, new_group
from faultiso.cli.keys import KeyFile
from faultiso.cli.model import Json

if TYPE_CHECKING:
    from faultiso.report.pages.case_check import Judged

group = new_group("Cases to practise on: a write-up and a hidden truth, written in YAML.")


@group.command("list", epilog=ending("faultiso case list"))
def list_cases(json: Json = False) -> int:
    """The cases that come with faultiso, and your own."""
    from faultiso.casebook.library import case_files
    from faultiso.casebook.load import load_case
    from faultiso.cli.streams import show
    from faultiso.report.json_output import document
    from faultiso.report.pages.case_list import case_list_page, case_list_record

    known = models()
    cases = {name: load_case(path, known) for name, path in case_files(folders()).items()}
    if json:
        records = [case_list_record(name, case) for name, case in cases.items()]
        sys.stdout.write(document({"cases": records}))
    else:
        show(case_list_page(cases))
    return DONE


@group.command("show", epilog=ending("faultiso case show first-light"))
def show_case(
    case: Annotated[str, typer.Argument(metavar="CASE", help="Its name, or a file.", show_default=False)],
    truth: Annotated[
        bool, typer.Option("--truth", help="Aims and all that is hidden: for instructors.")
    ] = False,
    json: Json = False,
) -> int:
    """Write-up and conditions of a case."""
    from faultiso.casebook.library import find_case
    from faultiso.casebook.load import read_case
    from faultiso.cli.streams import show
    from faultiso.report.json_output import document
    from faultiso.report.pages.case_show import case_page, case_record

    found, model = read_case(find_case(case, folders()), models())
    if json:
        sys.stdout.write(document(case_record(found, model, truth), model.subject))
    else:
        show(case_page(found, model, truth))
    return DONE


@group.command("check", epilog=ending("faultiso case check first-light.yaml"))
def check_command(
    file: Annotated[
        Path,
        typer.Argument(
            metavar="FILE_OR_FOLDER", help="A case file, or a folder of them.", show_default=False
        ),
    ],
    json: Json = False,
) -> int:
    """Tell all that is wrong with cases, and how probable they are. Exit 0 if all are valid, 1 if not."""
    from faultiso.cli.streams import show
    from faultiso.report.json_output import document
    from faultiso.report.pages.case_check import case_check_page, check_record

    judged = tuple(_judged(_files(file)))
    if json:
        sys.stdout.write(document({"cases": [check_record(case) for case in judged]}))
    else:
        show(case_check_page(judged))
    return DONE if all(case.valid for case in judged) else NO


def _files(file: Path) -> list[Path]:
    """The file, or all of the folder; UsageError if there is nothing."""
    from faultiso.casebook.library import files_in, find_case

    if not file.is_dir():
        return [find_case(file, folders())]
    found = files_in(file)
    if not found:
        raise UsageError(f"{file}: there is no case in this folder; cases are files that end in .yaml.")
    return found


def _judged(paths: list[Path]) -> Iterator[Judged]:
    from faultiso.casebook.load import load_case
    from faultiso.cli.streams import say

    known, reasoners = models(), Reasoners()
    for number, path in enumerate(paths, 1):
        if len(paths) > 1:
            say(f"{number} of {len(paths)}: {path.name}")
        yield judged_one(str(path), load_case(path, known), reasoners, misreadings=True)


@group.command("schema", epilog=ending("faultiso case schema --out case.schema.json"))
def schema_command(
    out: Annotated[Path | None, typer.Option("--out", metavar="FILE", help="Into a file.")] = None,
) -> int:
    """The JSON Schema of case files, so that an editor completes and checks while you write."""
    from faultiso.casebook.shape import json_schema
    from faultiso.cli.model import written_schema

    return written_schema(json_schema(), out)


@group.command("seal", epilog=ending("faultiso case seal first-light hot-cart --out exam.pack"))
def seal_command(
    cases: Annotated[
        list[str],
        typer.Argument(metavar="CASE...", help="Names, files, or folders of cases.", show_default=False),
    ],
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", help="Where the pack goes.", show_default=False)
    ],
    key_file: KeyFile = None,
    title: Annotated[str, typer.Option("--title", help="Readable by everybody (default: as --out).")] = "",
    note: Annotated[str, typer.Option("--note", help="Readable by everybody: a date, a room.")] = "",
) -> int:
    """Cases and their models in one encrypted file, for an examination."""
    from faultiso.casebook.packs.header import About
    from faultiso.cli.keys import key_to_seal
    from faultiso.cli.packs import judge_target, written
    from faultiso.cli.streams import show
    from faultiso.report.pages.case_check import case_check_page

    judge_target(out)
    paths = [path for named in cases for path in _files(Path(named))]
    judged = tuple(_judged(paths))
    if not all(case.valid for case in judged):
        show(case_check_page(judged))
        return NO
    about = About(title or out.stem, note)
    show(written(paths, models(), about, key_to_seal(key_file), out))
    return DONE


@group.command("unseal", epilog=ending("faultiso case unseal exam.pack --key-file key.txt"))
def unseal_command(
    pack: Annotated[Path, typer.Argument(metavar="PACK", help="A sealed file.", show_default=False)],
    key_file: KeyFile = None,
    to: Annotated[
        Path | None, typer.Option("--to", metavar="FOLDER", help="Write all in the clear: a new folder.")
    ] = None,
) -> int:
    """Open a sealed file with its key, and tell which cases are in it: for instructors."""
    from faultiso.casebook.packs.pack import read_pack
    from faultiso.cli.keys import key_to_open
    from faultiso.cli.packs import header_page, pack_page, taken_apart
    from faultiso.cli.streams import say, show

    sealed = read_pack(pack)
    show(header_page(sealed), sys.stderr)
    found = sealed.opened(key_to_open(key_file))
    show(pack_page(found))
    if to is not None:
        say(taken_apart(found, to))
    return DONE


group.command("generate", epilog=ending("faultiso case generate workshop-power-cart --number 3 --out drawn"))(
    generate
)
group.command("new", epilog=ending("faultiso case new slow-lift.yaml"))(new)
group.command("from-workorder", epilog=ending("faultiso case from-workorder order.txt --model tug.yaml"))(
    from_workorder
)
