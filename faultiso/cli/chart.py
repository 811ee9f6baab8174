"""``faultiso chart``: the whole plan from a complaint, or from a dependency matrix, to print."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from faultiso.base.problems import UsageError
from faultiso.cli.readings import Observe, Others, Settings, SituationNow, belief_of

if TYPE_CHECKING:
    from faultiso.report.charts.chart import Chart


def chart_command(
    model: Annotated[
        str, typer.Argument(metavar="MODEL", help="A model by name or path, or a dependency matrix (.csv).")
    ],
    observe: Observe = None,
    settings: Settings = None,
    situation: SituationNow = "",
    others: Others = "unknown",
    seconds: Annotated[
        float, typer.Option("--seconds", min=0.1, max=3600, help="How long to look for a better plan.")
    ] = 10.0,
    hour: Annotated[
        float | None, typer.Option("--hour", min=0.01, help="Price of an hour: then prices of parts count.")
    ] = None,
    svg: Annotated[Path | None, typer.Option("--svg", help="Write the tree as a drawing.")] = None,
    html: Annotated[Path | None, typer.Option("--html", help="Write pages to print.")] = None,
    markdown: Annotated[Path | None, typer.Option("--markdown", help="Write Markdown.")] = None,
    json: Annotated[bool, typer.Option("--json", help="One JSON document instead of text.")] = False,
) -> int | None:
    """Print the fault isolation chart: numbered steps, the tree, and how far from the best it can be."""
    from faultiso.cli.streams import say, show
    from faultiso.report.charts.page import chart_page, chart_record
    from faultiso.report.json_output import document

    if seconds > 1:
        say(f"Looking for the best plan, up to {seconds:g} s.")
    if Path(model).suffix.lower() == ".csv":
        chart = _of_matrix(Path(model), seconds, observe, settings, situation)
    else:
        chart = _of_model(model, seconds, observe, settings, situation, others, hour)
    files = _written(chart, svg, html, markdown)
    if json:
        sys.stdout.write(document(chart_record(chart), chart.subject))
    elif not files:
        show(chart_page(chart))
    for path in files:
        say(f"Written: {path}")
    return None


def _of_model(
    model: str,
    seconds: float,
    observe: list[str] | None,
    settings: list[str] | None,
    situation: str,
    others: str,
    hour: float | None,
) -> Chart:
    from faultiso.belief.reasoner import load_model
    from faultiso.planning.charting import chart_plan
    from faultiso.planning.posing import Limits
    from faultiso.report.charts.chart import chart_of
    from faultiso.report.charts.complaint import complaint_words

    reasoner = load_model(model)
    belief = belief_of(reasoner, observe, settings, situation, others)
    complaint = complaint_words(belief, len(observe or ()))
    return chart_of(chart_plan(belief, seconds, Limits(hour=hour)), reasoner.model, complaint=complaint)


def _of_matrix(
    path: Path, seconds: float, observe: list[str] | None, settings: list[str] | None, situation: str
) -> Chart:
    from faultiso.interchange.matrix import read_matrix
    from faultiso.planning.sequencing.matrix import from_matrix
    from faultiso.planning.sequencing.planned import best_plan
    from faultiso.report.charts.chart import chart_of

    if observe or settings or situation:
        raise UsageError("a matrix has no readings, conditions or situations: leave out those options")
    matrix = read_matrix(path)
    total = float(matrix.probability.sum())
    if total <= 0:
        raise UsageError(f"{path}: the probabilities of all faults are 0; one at least has to be more")
    problem = from_matrix(
        matrix.faults,
        (matrix.probability / total).tolist(),
        matrix.checks,
        matrix.minutes.tolist(),
        matrix.detects,
    )
    return chart_of(best_plan(problem, seconds), title=path.stem)


def _written(chart: Chart, svg: Path | None, html: Path | None, markdown: Path | None) -> list[Path]:
    """Write what was asked for; the files."""
    written = []
    if svg:
        from faultiso.report.charts.picture import chart_svg

        svg.write_text(chart_svg(chart), encoding="utf-8")
        written.append(svg)
    if html:
        from faultiso.report.charts.html import chart_html

        html.write_text(chart_html(chart), encoding="utf-8")
        written.append(html)
    if markdown:
        from faultiso.report.charts.markdown import chart_markdown

        markdown.write_text(chart_markdown(chart), encoding="utf-8")
        written.append(markdown)
    return written
