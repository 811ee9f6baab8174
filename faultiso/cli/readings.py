"""The options by which readings are given on the command line, and the belief that they lead to."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

import typer

from faultiso.base.problems import UsageError

if TYPE_CHECKING:
    from faultiso.belief.belief import Belief
    from faultiso.belief.reasoner import Reasoner

Observe = Annotated[
    list[str] | None,
    typer.Option("--observe", metavar="NAME=OUTCOME", help="A reading; OUTCOME@SITUATION: seen there."),
]
Settings = Annotated[
    list[str] | None, typer.Option("--set", metavar="COND=VALUE", help="A condition that differs now.")
]
SituationNow = Annotated[
    str, typer.Option("--situation", help="The situation now (else: the start).", show_default=False)
]
Others = Annotated[str, typer.Option("--others", help="Unreported indications: normal or unknown.")]


def observations_of(observe: list[str] | None) -> list[tuple[str, str]]:
    """The readings as (name, outcome); raises UsageError for what is not understood."""
    return [_pair(text, "--observe NAME=OUTCOME") for text in observe or ()]


def belief_of(
    reasoner: Reasoner, observe: list[str] | None, settings: list[str] | None, situation: str, others: str
) -> Belief:
    """What the readings of these options say of a model."""
    now = dict(_pair(text, "--set COND=VALUE") for text in settings or ())
    return reasoner.believe(observations_of(observe), now, situation, _others(others))


def _others(text: str) -> Literal["unknown", "normal"]:
    match text:
        case "unknown" | "normal":
            return text
    raise UsageError(f"--others is normal or unknown, not {text!r}")


def _pair(text: str, expected: str) -> tuple[str, str]:
    name, sign, value = text.partition("=")
    if not sign or not name.strip():
        raise UsageError(f"{text!r} is not understood; expected {expected}")
    return name.strip(), value.strip()
