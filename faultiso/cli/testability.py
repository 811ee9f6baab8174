"""``faultiso testability``: what the indications and checks of a model can tell, and what they cost."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from faultiso.appraisal.testability import Judgement
    from faultiso.cli.output import Output


def testability_command(
    model: Annotated[str, typer.Argument(metavar="MODEL", help="A model by name or path.")],
    least: Annotated[
        str, typer.Option("--least", metavar="NUMBER", help="Difference that tells two truths apart, 0 to 1.")
    ] = "0.5",
    seconds: Annotated[
        str, typer.Option("--seconds", metavar="NUMBER", help="How long to work out plans of write-ups.")
    ] = "120",
    csv: Annotated[Path | None, typer.Option("--csv", metavar="FILE", help="A row for each fault.")] = None,
    html: Annotated[Path | None, typer.Option("--html", metavar="FILE", help="The whole page.")] = None,
    json: Annotated[bool, typer.Option("--json", help="One JSON document instead of text.")] = False,
) -> int | None:
    """Judge a model: which faults its signs tell apart, which checks earn their minutes, what to add."""
    from faultiso.appraisal.testability import judgement
    from faultiso.cli.figures import figure
    from faultiso.cli.output import deliver
    from faultiso.cli.streams import progress
    from faultiso.language.load import read_model
    from faultiso.language.shipped import find_model

    enough, limit = figure("--least", least, 0.001, 1), figure("--seconds", seconds, 0, 36_000)
    judged = read_model(find_model(model))
    with progress() as tell:
        found = judgement(judged, enough, limit, tell)
    deliver(_output(found), csv, html, json)
    return None


def _output(found: Judgement) -> Output:
    from faultiso.cli.output import Output
    from faultiso.report.pages.testability import testability_paper, testability_screen
    from faultiso.report.pages.testability_data import HEAD, testability_record, testability_rows

    return Output(
        subject=found.model.subject,
        screen=lambda files: testability_screen(found, files),
        paper=lambda: testability_paper(found),
        head=HEAD,
        rows=lambda: testability_rows(found),
        record=lambda: testability_record(found),
    )
