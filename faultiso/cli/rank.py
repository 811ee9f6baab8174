"""``faultiso rank``: one shot, readings in, ranked faults and the next check out."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.cli.readings import Observe, Others, Settings, SituationNow, belief_of, observations_of

if TYPE_CHECKING:
    from faultiso.belief.belief import Belief
    from faultiso.planning.advice import Advice

SITUATIONS_JUDGED = 2


def rank_command(
    model: Annotated[
        str, typer.Argument(metavar="MODEL", help="A model by name or path, or a network file.")
    ],
    observe: Observe = None,
    settings: Settings = None,
    situation: SituationNow = "",
    others: Others = "unknown",
    roles: Annotated[
        Path | None, typer.Option("--roles", help="For a plain network: a JSON file of roles.")
    ] = None,
    seconds: Annotated[
        str, typer.Option("--seconds", metavar="NUMBER", help="How long to look further than one step ahead.")
    ] = "0",
    json: Annotated[bool, typer.Option("--json", help="One JSON document instead of text.")] = False,
) -> int | None:
    """Rank faults, sets of faults and checks from readings, and name the next action."""
    if roles is not None:
        return _rank_network(model, roles, observations_of(observe), json)
    from faultiso.belief.reasoner import load_model
    from faultiso.cli.figures import figure
    from faultiso.cli.streams import show
    from faultiso.planning.advice import Advisor
    from faultiso.report.json_output import document
    from faultiso.report.pages.ranking import ranking_page, ranking_record

    limit = figure("--seconds", seconds, 0, 600)
    reasoner = load_model(model)
    belief = belief_of(reasoner, observe, settings, situation, others)
    if not settings and not situation:
        _tell_start(belief, [said for said in observe or () if "@" not in said])
    advice = Advisor(belief).advise(with_looks=SITUATIONS_JUDGED)
    if limit > 0:
        advice = _further(belief, advice, limit)
    if json:
        sys.stdout.write(document(ranking_record(belief, advice), reasoner.model.subject))
    else:
        show(ranking_page(belief, advice))
    return None


def _tell_start(belief: Belief, here: list[str]) -> None:
    """Nobody said in which conditions these readings were seen: say which were taken."""
    from faultiso.base.text import wrap
    from faultiso.cli.streams import columns_of, say

    model = belief.model
    if not here or not model.conditions:
        return
    of_start = (s.title for s in model.situations.values() if {**model.start, **s.values} == model.start)
    start = next(of_start, "the first value of each condition")
    sentence = f"Taken as seen at the start: {start}. Seen elsewhere? --situation, or a reading @SITUATION."
    say("\n".join(wrap(sentence, columns_of(sys.stderr))))


def _further(belief: Belief, advice: Advice, seconds: float) -> Advice:
    from faultiso.cli.streams import say
    from faultiso.planning.deeper import deepened

    if seconds > 1:
        say(f"Looking further ahead, up to {seconds:g} s.")
    return deepened(belief, advice, seconds)


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
