"""Groups of commands in our manner: plain help, no panels, errors left to ``errors.guarded``."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import typer
from typer.main import get_command

from faultiso.base.notice import full_notice


def new_group(text: str, completion: bool = False) -> typer.Typer:
    """An empty group; called without a command it prints its help, which is not a mistake."""
    group = typer.Typer(
        help=text,
        epilog=full_notice(),
        add_completion=completion,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
        invoke_without_command=True,
    )
    group.callback()(_help_if_alone)
    return group


def _help_if_alone(context: typer.Context) -> None:
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


def ending(example: str) -> str:
    """What stands at the end of the help of every command: an example and the notice."""
    return f"Example: {example}\n\n{full_notice()}"


def program(app: typer.Typer) -> Any:
    """The command of an app, ready to be called with ``main``."""
    command = get_command(app)
    _take_plainly(command)
    return command


def _take_plainly(command: Any) -> None:
    """Let texts, paths and flags through as they are, and tell in plain words what a parameter takes.

    The library would build a validator for each of them and import pydantic for it, which takes longer than
    all else together. Other types keep their validator. In help it would print the types of Python.
    """
    parameters = command.get_params
    command.get_params = lambda context: [_taken_plainly(parameter) for parameter in parameters(context)]
    for inner in getattr(command, "commands", {}).values():
        _take_plainly(inner)


def _taken_plainly(parameter: Any) -> Any:
    annotation = getattr(getattr(parameter, "type_descriptor", None), "annotation", None)
    if annotation in _TAKES:
        says = "" if parameter.param_type_name == "argument" else _TAKES[annotation]
        parameter.display_type = lambda context: says
    take = _TAKEN.get(annotation)
    if take is not None:
        parameter.get_runtime_param = _Plain(take).itself
    return parameter


#: what stands behind an option that names nothing itself; an argument's own name says it
_TAKES = {str: "WORD", list[str]: "WORD", Path: "FILE", list[Path]: "FILE", float: "NUMBER", int: "NUMBER"}

_TAKEN: dict[Any, Callable[[Any], Any]] = {
    bool: bool,
    str: str,
    Path: Path,
    list[str]: list,
    list[Path]: lambda values: [Path(value) for value in values],
}


class _Plain:
    """What the library calls to turn the words of the command line into a value."""

    def __init__(self, take: Callable[[Any], Any]) -> None:
        self._take = take

    def itself(self) -> _Plain:
        return self

    def coerce(self, value: Any, param: Any, ctx: typer.Context) -> Any:
        if value is None:
            return [] if param.multiple or param.nargs == -1 else None
        return self._take(value)
