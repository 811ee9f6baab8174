"""What a history says of the figures of a model: proposals with their intervals, and what it cannot tell."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from faultiso.base.nearest import listed
from faultiso.learning.history import History
from faultiso.learning.learn import Learnt, Proposal
from faultiso.learning.places import Change, Rewritten
from faultiso.report.counts import counted
from faultiso.report.drawing.shifts import Shift, shifts_svg
from faultiso.report.page import Block, Column, Heading, Items, Page, Picture, Table, Text
from faultiso.report.pages.history_words import counts_words, problem_table, problems_said

SEEN = "seen: how often it happened (of how often it could have), as far as the rows tell of it."
ON_SCREEN = 12  # figures, and as many of everything else
IN_PICTURE = 30


@dataclass(frozen=True)
class Output:
    """The new file, if one was written, and the page."""

    to: str = ""
    rewritten: Rewritten | None = None
    html: str = ""


def learnt_page(learnt: Learnt, history: History, output: Output, whole: bool = False) -> Page:
    """``whole``: everything, for a page that is kept; else what fits a screen."""
    most = len(learnt.proposals) if whole else ON_SCREEN
    told = told_first(learnt)
    blocks: list[Block] = [Text(sentence) for sentence in headlines(learnt, history)]
    if told:
        blocks += [Heading("What the rows say"), proposals_table(told[:most]), Text(SEEN, quiet=True)]
        if len(told) > most:
            blocks.append(Text(f"{len(told) - most} more; the page (--html) has all of them.", quiet=True))
        if whole:
            blocks.append(_picture(told, learnt))
    blocks += [Heading("What they cannot tell"), *_cannot(learnt, most)]
    blocks += [Heading("Before you believe it"), Items(tuple(warnings_of(learnt, history)))]
    if history.problems or learnt.impossible:
        blocks += [Heading("Rows not taken as they stand"), *_rows(learnt, history, most)]
    blocks += list(_written(output, most))
    return Page(
        f"{learnt.model.title}: learnt from {history.file}", learnt.model.subject, tuple(blocks), last=True
    )


def told_first(learnt: Learnt) -> list[Proposal]:
    """The figures of which the rows tell: first those whose interval leaves the old figure out, then those
    whose interval has become narrowest."""

    def key(proposal: Proposal) -> tuple[bool, float]:
        low, high = proposal.interval
        outside = low > proposal.before or high < proposal.before
        return not outside, _wide(proposal.interval) / _wide(proposal.before_interval)

    return sorted((proposal for proposal in learnt.proposals if proposal.told), key=key)


def _wide(interval: tuple[float, float]) -> float:
    return math.log(interval[1] / interval[0])


def headlines(learnt: Learnt, history: History) -> Iterator[str]:
    yield counts_words(history)
    hours = f"{learnt.hours:,.0f} fleet hours"
    told = sum(proposal.told for proposal in learnt.proposals)
    of = f"{told} of {len(learnt.proposals)} figures"
    impossible = sum(row.times for row in learnt.impossible)
    but = f", {impossible:,} impossible in this model left out," if impossible else ""
    yield f"{counted(learnt.rows, 'row')}{but} in {hours} tell of {of}. The model itself is not changed."


def proposals_table(proposals: Sequence[Proposal]) -> Table:
    columns = (
        Column("figure"),
        Column("before", "number"),
        Column("after", "number"),
        Column("90 in 100", "number"),
        Column("seen", "number"),
    )
    return Table(columns, tuple(map(_cells, proposals)), "figures before and after")


def _cells(p: Proposal) -> tuple[str, ...]:
    low, high = p.interval
    digits = 2 if high > 1.1 * low else 3
    seen = f"{p.yes:.1f}" if p.figure.kind == "rate" else f"{p.yes:.1f} of {p.yes + p.no:.1f}"
    ends = f"{shown(low, digits)} to {shown(high, digits)}"
    return (p.figure.name, shown(p.before), shown(p.after, digits), ends, seen)


def shown(value: float, digits: int = 2) -> str:
    """Two significant figures or so, small ones by powers of ten."""
    if value >= 0.001:
        return f"{value:.{digits if value < 0.99 else 3}g}"
    mantissa, _, exponent = f"{value:.{digits - 1}e}".partition("e")
    return f"{mantissa}e{int(exponent)}"


def _picture(told: Sequence[Proposal], learnt: Learnt) -> Picture:
    shifts = [
        Shift(
            p.figure.name,
            (p.before_interval[0] / p.before, p.before_interval[1] / p.before),
            p.after / p.before,
            (p.interval[0] / p.before, p.interval[1] / p.before),
        )
        for p in told[:IN_PICTURE]
    ]
    title = "Figures before and after"
    words = "How many times the old figure: 90 in 100 intervals before and after, and the figure proposed."
    return Picture(title, shifts_svg(title, shifts, learnt.model.subject), words)


def _cannot(learnt: Learnt, most: int) -> Iterator[Block]:
    silent = [p.figure.name for p in learnt.proposals if not p.told]
    if learnt.confused:
        pairs = [
            f"{c.first.name} and {c.second.name}: the rows tell better what they make together than "
            f"each alone (correlation {c.correlation:.2f})"
            for c in learnt.confused[:most]
        ]
        yield Items(tuple(pairs))
    if silent:
        names = listed(silent, "and", limit=max(most, 2) if most < len(learnt.proposals) else len(silent))
        yield Text(
            f"{counted(len(silent), 'figure')} of which no row tells stay as they are: {names}.", apart=True
        )
    if learnt.left:
        left = [f"{each.name}: {each.reason}" for each in learnt.left]
        if most < len(learnt.proposals):
            yield Text(
                f"{counted(len(left), 'figure')} cannot be learnt; the page (--html) says why.", apart=True
            )
        else:
            yield Text(f"{counted(len(left), 'figure')} cannot be learnt:", apart=True)
            yield Items(tuple(left))
    if not (learnt.confused or silent or learnt.left):
        yield Text("Every figure was told of.")


def warnings_of(learnt: Learnt, history: History) -> Iterator[str]:
    """What the rows may hide, in sentences, the gravest first."""
    if history.unmentioned and history.used:
        yield (
            f"{_rows_that(history.unmentioned, 'does', 'do')} not say how the other indications were. "
            "Where only what was wrong is written down, strengths and misses come out too high; if all else "
            "was looked at and normal, --unmentioned normal says so."
        )
    words = history.findings
    if words["weak"]:
        yield (
            f"{_rows_that(words['weak'], 'names', 'name')} a unit that was changed without proof; that "
            f"counts as weak evidence ({learnt.strength.weak:g} to 1), not as a fault found."
        )
    if words[""]:
        where = "faults share in them by what was read."
        yield f"{_rows_that(words[''], 'does', 'do')} not say what was found; {where}"
    if words["none"]:
        yield (
            f"{_rows_that(words['none'], 'says', 'say')} that nothing was found; that too is weak evidence, "
            f"{learnt.strength.weak:g} to 1 that there was nothing."
        )
    if learnt.rows < FEW:
        yield (
            f"With {counted(learnt.rows, 'row')} the model's own figures still weigh: each rate counts as "
            f"{learnt.strength.events:.2g} events, each chance as {learnt.strength.rows:g} rows."
        )
    yield (
        "Rates are those of faults that were written up: what nobody complains of, or nobody writes down, is "
        "missing from them."
    )


FEW = 500


def _rows_that(number: int, one: str, many: str) -> str:
    return f"{counted(number, 'row')} {one if number == 1 else many}"


def _rows(learnt: Learnt, history: History, most: int) -> Iterator[Block]:
    yield Text(problems_said(history))
    if history.problems:
        yield problem_table(history.problems[: most or None])
        yield from _more(history.problems, most)
    if learnt.impossible:
        lines = sorted(line for row in learnt.impossible for line in row.lines)
        number = sum(row.times for row in learnt.impossible)
        yield Text(
            f"{_rows_that(number, 'is', 'are')} impossible in this model and set aside: line "
            f"{listed([str(line) for line in lines], 'and', limit=20)}.",
            apart=True,
        )


def _written(output: Output, most: int) -> Iterator[Block]:
    done = output.rewritten
    if done is not None:
        yield Heading(f"Written: {output.to}")
        if done.included:
            yield Text(f"and, beside it, what it includes: {', '.join(done.included)}.")
        if done.changes:
            yield _changes(done, most)
        yield from _more(done.changes, most)
        sources = [f'{_place(c, done)}, {c.figure.name}: "{c.source}"' for c in done.changes if c.source]
        if sources:
            yield Text("Sources that stand beside changed figures, to be written anew by hand:", apart=True)
            yield Items(tuple(sources[: most or None]))
            yield from _more(sources, most)
        if done.not_written:
            yield Text("Proposed, but not written:", apart=True)
            yield Items(tuple(f"{n.figure.name}: {n.reason}" for n in done.not_written[: most or None]))
            yield from _more(done.not_written, most)
    if output.html:
        yield Text(f"Page: {output.html}", apart=True)


def _changes(done: Rewritten, most: int) -> Table:
    rows = tuple((_place(c, done), c.figure.name, c.before, c.after) for c in done.changes[: most or None])
    heads = (Column("where"), Column("figure"), Column("before", "number"), Column("now", "number"))
    return Table(heads, rows, "figures written")


def _place(change: Change, done: Rewritten) -> str:
    """ "line 12"; with the file where there are several."""
    return f"{change.file}:{change.line}" if done.included else f"line {change.line}"


def _more(listed: Sequence[object], most: int) -> Iterator[Block]:
    if most and len(listed) > most:
        yield Text(f"{len(listed) - most} more.", quiet=True)


def learnt_record(learnt: Learnt, history: History, output: Output) -> dict[str, object]:
    """The same for a JSON document."""
    done = output.rewritten
    return {
        "history": history_record(history),
        "rows": learnt.rows,
        "hours": learnt.hours,
        "hours_of_a_row": learnt.own_hours,
        "prior": {
            "events": learnt.strength.events,
            "rows": learnt.strength.rows,
            "weak": learnt.strength.weak,
        },
        "figures": [_figure_record(p) for p in learnt.proposals],
        "confused": [
            {"first": c.first.name, "second": c.second.name, "correlation": c.correlation}
            for c in learnt.confused
        ],
        "not_learnt": [{"name": each.name, "reason": each.reason} for each in learnt.left],
        "impossible": [{"rows": row.times, "lines": row.lines} for row in learnt.impossible],
        "warnings": list(warnings_of(learnt, history)),
        "written": None
        if done is None
        else {
            "file": output.to,
            "included": list(done.included),
            "changes": [
                {
                    "figure": c.figure.name,
                    "file": c.file,
                    "line": c.line,
                    "before": c.before,
                    "after": c.after,
                    "source": c.source,
                }
                for c in done.changes
            ],
            "not_written": [{"figure": n.figure.name, "reason": n.reason} for n in done.not_written],
        },
    }


def _figure_record(p: Proposal) -> dict[str, object]:
    return {
        "name": p.figure.name,
        "kind": p.figure.kind,
        "of": p.figure.of,
        "before": p.before,
        "before_interval": p.before_interval,
        "after": p.after,
        "interval": p.interval,
        "happened": p.yes,
        "did_not": p.no,
        "told": p.told,
    }


def history_record(history: History) -> dict[str, object]:
    """Counts and problems of a history."""
    from faultiso.report.pages.problems import problem_record

    return {
        "file": history.file,
        "used": history.used,
        "doubtful": history.doubtful,
        "set_aside": history.set_aside,
        "not_mentioned": history.unmentioned,
        "hours": history.evidence.hours,
        "problems": [problem_record(problem) for problem in history.problems],
        "more_problems": history.more,
    }
