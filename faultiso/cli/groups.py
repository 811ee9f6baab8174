"""Groups of commands in our manner: plain help, no panels, errors left to ``errors.guarded``."""

from __future__ import annotations

import typer

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
