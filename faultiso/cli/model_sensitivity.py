"""``faultiso model sensitivity``: which numbers of a model matter for what it concludes."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.base.problems import UsageError
from faultiso.cli.readings import Observe, Others, Settings, SituationNow, belief_of

if TYPE_CHECKING:
    from faultiso.appraisal.sensitivity.swings import Tornado
    from faultiso.belief.belief import Belief
    from faultiso.belief.reasoner import Reasoner
    from faultiso.cli.output import Output


def sensitivity_command(
    model: Annotated[str, typer.Argument(metavar="MODEL", help="A model by name or path.")],
    observe: Observe = None,
    settings: Settings = None,
    situation: SituationNow = "",
    others: Others = "unknown",
    factor: Annotated[
        str,
        typer.Option("--factor", metavar="NUMBER", help="How far rates and odds are turned."),
    ] = "3",
    seconds: Annotated[
        str, typer.Option("--seconds", metavar="NUMBER", help="How long to turn numbers.")
    ] = "60",
    csv: Annotated[Path | None, typer.Option("--csv", metavar="FILE", help="A row for each number.")] = None,
    html: Annotated[Path | None, typer.Option("--html", metavar="FILE", help="The whole page.")] = None,
    json: Annotated[bool, typer.Option("--json", help="One JSON document instead of text.")] = False,
) -> int | None:
    """Tell which numbers matter for ranking and minutes; without readings, of the commonest write-up."""
    from faultiso.appraisal.sensitivity.tornado import tornado
    from faultiso.belief.reasoner import load_model
    from faultiso.cli.figures import figure
    from faultiso.cli.output import deliver
    from faultiso.cli.streams import progress

    turned, limit = figure("--factor", factor, 1.01, 1000), figure("--seconds", seconds, 0, 36_000)
    reasoner = load_model(model)
    if observe:
        belief = belief_of(reasoner, observe, settings, situation, others)
    else:
        belief = _commonest(reasoner, bool(settings or situation))
    with progress() as tell:
        found = tornado(belief, turned, limit, tell)
    deliver(_output(found), csv, html, json)
    return None


def _commonest(reasoner: Reasoner, placed: bool) -> Belief:
    from faultiso.appraisal.commonest import after_commonest
    from faultiso.cli.streams import say

    if placed:
        raise UsageError("--set and --situation go with readings: add --observe NAME=OUTCOME")
    say("No readings given: the commonest write-up of the model is taken.")
    return after_commonest(reasoner)


def _output(found: Tornado) -> Output:
    from faultiso.cli.output import Output
    from faultiso.report.pages.sensitivity import (
        HEAD,
        sensitivity_paper,
        sensitivity_record,
        sensitivity_rows,
        sensitivity_screen,
    )

    readings = [_said(found.belief, place) for place in range(len(found.belief.readings))]
    return Output(
        subject=found.belief.model.subject,
        screen=lambda files: sensitivity_screen(found, readings, files),
        paper=lambda: sensitivity_paper(found, readings),
        head=HEAD,
        rows=lambda: sensitivity_rows(found),
        record=lambda: sensitivity_record(found, readings),
    )


def _said(belief: Belief, place: int) -> str:
    """ "lamp = lit (running)": the situation, where the model has a name for the conditions."""
    reading = belief.readings[place]
    there = belief.timeline.moments[reading.moment].conditions
    names = [name for name, known in belief.model.situations.items() if known.values == there]
    return f"{reading} ({names[0]})" if names else str(reading)
