"""How well a model explains rows that were held back, and two models beside each other."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from faultiso.base.figures import in_hundred
from faultiso.base.nearest import listed
from faultiso.learning.comparing import Comparison, Difference
from faultiso.learning.fit import Band, Fit
from faultiso.learning.minutes import Minutes
from faultiso.report.counts import counted
from faultiso.report.drawing.plots import confidence_svg
from faultiso.report.page import Block, Column, KeyValues, Page, Picture, Table, Text

WORDS = "Above the dashed line faults were there more often than the model said, below it less often."


def fit_page(fit: Fit, minutes: Minutes | None, said: Sequence[str]) -> Page:
    """``said``: sentences about where the rows come from."""
    blocks: list[Block] = [Text(sentence) for sentence in said]
    blocks.append(KeyValues(tuple(_values(fit, minutes))))
    if fit.bands:
        title = "Stated chances against what was found"
        svg = confidence_svg(title, [(b.stated, b.so, b.number) for b in fit.bands], fit.model.subject)
        blocks += [Picture(title, svg, WORDS), band_table(fit.bands)]
    blocks += list(_impossible(fit))
    return Page(f"{fit.model.title}: fit", fit.model.subject, tuple(blocks), last=True)


def _values(fit: Fit, minutes: Minutes | None) -> Iterator[tuple[str, str]]:
    yield "rows", f"{fit.rows:,}"
    parts = (
        f"readings {_number(fit.readings)}, finding {_number(fit.finding)}, quiet hours {_number(fit.quiet)}"
    )
    yield "log-likelihood of a row", f"{_number(fit.log_likelihood)} ({parts})"
    if fit.proved:
        first, three = fit.within
        yield "rows with a proved fault", f"{fit.proved:,}"
        yield "it stood first", f"{in_hundred(first)} in 100"
        yield "among the first three", f"{in_hundred(three)} in 100"
    if fit.brier is not None:
        yield "Brier score", f"{fit.brier:.4f}"
    if minutes is not None:
        rows = "" if minutes.rows == minutes.of else f", of {minutes.rows:,} of {minutes.of:,} rows"
        yield (
            "minutes by the repair order",
            f"{minutes.mean:.0f} on average, to the repair of what was found{rows}",
        )


def _number(value: float) -> str:
    return f"{value:.3f}" if math.isfinite(value) else "-"


def band_table(bands: Sequence[Band]) -> Table:
    """One row for each band of stated chances that has any."""
    heads = ("stated, in 100", "how many", "mean stated", "so", "90 in 100 of so")
    rows = tuple(
        (
            f"{100 * b.low:g} to {100 * b.high:g}",
            f"{b.number:,}",
            f"{100 * b.stated:.1f}",
            f"{100 * b.so:.1f}",
            f"{100 * b.interval[0]:.1f} to {100 * b.interval[1]:.1f}",
        )
        for b in bands
    )
    return Table(tuple(Column(head, "number") for head in heads), rows, "stated chances against what was so")


def _impossible(fit: Fit) -> Iterator[Block]:
    if fit.impossible:
        number = sum(each.times for each in fit.impossible)
        lines = sorted(line for each in fit.impossible for line in each.lines)
        where = f": line {listed([str(line) for line in lines], 'and', limit=20)}" if lines else ""
        yield Text(
            f"{counted(number, 'row')} are impossible in this model and not counted{where}.", apart=True
        )


def fit_record(fit: Fit, minutes: Minutes | None = None) -> dict[str, object]:
    """The same for a JSON document."""
    return {
        "model": fit.model.name,
        "rows": fit.rows,
        "impossible": sum(each.times for each in fit.impossible),
        "log_likelihood": fit.log_likelihood,
        "log_likelihood_of_readings": fit.readings,
        "log_likelihood_of_finding": fit.finding,
        "log_likelihood_of_quiet_hours": fit.quiet,
        "proved": fit.proved,
        "first": fit.within[0],
        "first_three": fit.within[1],
        "brier": fit.brier,
        "minutes_by_repair_order": minutes.mean if minutes else None,
        "bands": [
            {
                "low": b.low,
                "high": b.high,
                "number": b.number,
                "stated": b.stated,
                "so": b.so,
                "interval": b.interval,
            }
            for b in fit.bands
        ],
    }


def comparison_page(found: Comparison, names: tuple[str, str], said: Sequence[str]) -> Page:
    """Two models, and the second less the first with its interval."""
    first, second = found.first, found.second
    rows = (
        (
            "log-likelihood of a row",
            _number(first.log_likelihood),
            _number(second.log_likelihood),
            *_cells(found.log_likelihood, 1),
        ),
        ("found fault first, in 100", *_shares(first, second, 0), *_cells(found.within[0], 100)),
        ("among the first three", *_shares(first, second, 1), *_cells(found.within[1], 100)),
    )
    heads = ("A", "B", "B less A", "95 in 100")
    table = Table(
        (Column("measure"), *(Column(head, "number") for head in heads)), rows, "two models beside each other"
    )
    blocks: list[Block] = [Text(f"{letter}: {sentence}") for letter, sentence in zip("AB", said, strict=True)]
    blocks += [table, Text(_verdict(found, names), apart=True)]
    if any(found.only):
        blocks.append(
            Text(
                f"{names[0]} calls {counted(found.only[0], 'row')} impossible that {names[1]} does not; the "
                f"other way round it is {found.only[1]:,}. They are not in the differences.",
                apart=True,
            )
        )
    return Page(f"{names[0]} and {names[1]}", second.model.subject, tuple(blocks), last=True)


def _shares(first: Fit, second: Fit, place: int) -> tuple[str, str]:
    return _number(100 * first.within[place])[:5], _number(100 * second.within[place])[:5]


def _cells(found: Difference, times: float) -> tuple[str, str]:
    if not math.isfinite(found.mean) or not math.isfinite(found.interval[0]):
        return "-", "too few"
    low, high = found.interval
    return f"{times * found.mean:+.3f}", f"{times * low:+.3f} to {times * high:+.3f}"


def _verdict(found: Comparison, names: tuple[str, str]) -> str:
    low, high = found.log_likelihood.interval
    rows = counted(found.rows, "row")
    if low > 0:
        return f"{names[1]} explains these {rows} better."
    if high < 0:
        return f"{names[0]} explains these {rows} better."
    return f"These {rows} do not tell which of the two is better."


def comparison_record(found: Comparison) -> dict[str, object]:
    """The same for a JSON document."""

    def part(difference: Difference) -> dict[str, object]:
        return {"mean": difference.mean, "interval": difference.interval}

    return {
        "first": fit_record(found.first),
        "second": fit_record(found.second),
        "rows": found.rows,
        "log_likelihood": part(found.log_likelihood),
        "within_first": part(found.within[0]),
        "within_first_three": part(found.within[1]),
    }
