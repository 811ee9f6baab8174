"""``faultiso rank``: one shot, readings in, ranked faults and the next check out."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Literal

import typer

from faultiso.base.problems import UsageError

SITUATIONS_JUDGED = 2


def rank_command(
    model: Annotated[
        str, typer.Argument(metavar="MODEL", help="A model by name or path, or a network file.")
    ],
    observe: Annotated[
        list[str] | None,
        typer.Option("--observe", metavar="NAME=OUTCOME", help="A reading; OUTCOME@SITUATION: seen there."),
    ] = None,
    settings: Annotated[
        list[str] | None, typer.Option("--set", metavar="COND=VALUE", help="A condition that differs now.")
    ] = None,
    situation: Annotated[str, typer.Option("--situation", help="The situation now (else: the start).")] = "",
    others: Annotated[
        str, typer.Option("--others", help="Unreported indications: normal or unknown.")
    ] = "unknown",
    roles: Annotated[
        Path | None, typer.Option("--roles", help="For a plain network: a JSON file of roles.")
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="One JSON document instead of text.")] = False,
) -> int | None:
    """Rank faults, sets of faults and checks from readings, and name the next action."""
    observations = [pair(text, "--observe NAME=OUTCOME") for text in observe or ()]
    if roles is not None:
        return _rank_network(model, roles, observations, json)
    from faultiso.belief.reasoner import load_model
    from faultiso.cli.streams import show
    from faultiso.planning.advice import Advisor
    from faultiso.report.json_output import document
    from faultiso.report.pages.ranking import ranking_page, ranking_record

    reasoner = load_model(model)
    now = dict(pair(text, "--set COND=VALUE") for text in settings or ())
    belief = reasoner.believe(observations, now, situation, others_of(others))
    advice = Advisor(belief).advise(with_looks=SITUATIONS_JUDGED)
    if json:
        sys.stdout.write(document(ranking_record(belief, advice), reasoner.model.subject))
    else:
        show(ranking_page(belief, advice))
    return None


def others_of(text: str) -> Literal["unknown", "normal"]:
    match text:
        case "unknown" | "normal":
            return text
    raise UsageError(f"--others is normal or unknown, not {text!r}")


def _rank_network(network: str, roles: Path, observations: list[tuple[str, str]], json: bool) -> int | None:
    from faultiso.belief.plain import read_network
    from faultiso.cli.streams import show
    from faultiso.report.json_output import document
    from faultiso.report.pages.plain_ranking import plain_page, plain_record

    belief = read_network(network, roles).believe(observations)
    if json:
        sys.stdout.write(document(plain_record(belief)))
    else:
        show(plain_page(belief))
    return None


def pair(text: str, expected: str) -> tuple[str, str]:
    name, sign, value = text.partition("=")
    if not sign or not name.strip():
        raise UsageError(f"{text!r} is not understood; expected {expected}")
    return name.strip(), value.strip()
