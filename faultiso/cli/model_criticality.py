"""``faultiso model criticality``: how grave the faults of a model are."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from faultiso.appraisal.criticality import Criticality
    from faultiso.cli.output import Output

LONGEST = 1e7  # hours


def criticality_command(
    model: Annotated[str, typer.Argument(metavar="MODEL", help="A model by name or path.")],
    hours: Annotated[
        str, typer.Option("--hours", metavar="NUMBER", help="Operating hours (else: those at risk).")
    ] = "",
    csv: Annotated[Path | None, typer.Option("--csv", metavar="FILE", help="A row for each fault.")] = None,
    html: Annotated[Path | None, typer.Option("--html", metavar="FILE", help="The whole page.")] = None,
    json: Annotated[bool, typer.Option("--json", help="One JSON document instead of text.")] = False,
) -> int | None:
    """Rank the faults of a model by severity and frequency, with a matrix (MIL-STD-1629A, Task 102)."""
    from faultiso.appraisal.criticality import criticality
    from faultiso.cli.figures import figure
    from faultiso.cli.output import deliver
    from faultiso.language.load import read_model
    from faultiso.language.shipped import find_model

    wanted = figure("--hours", hours, 1e-6, LONGEST) if hours else None
    deliver(_output(criticality(read_model(find_model(model)), wanted)), csv, html, json)
    return None


def _output(found: Criticality) -> Output:
    from faultiso.cli.output import Output
    from faultiso.report.pages.criticality import (
        HEAD,
        criticality_paper,
        criticality_record,
        criticality_rows,
        criticality_screen,
    )

    return Output(
        subject=found.model.subject,
        screen=lambda files: criticality_screen(found, files),
        paper=lambda: criticality_paper(found),
        head=HEAD,
        rows=lambda: criticality_rows(found),
        record=lambda: criticality_record(found),
    )
