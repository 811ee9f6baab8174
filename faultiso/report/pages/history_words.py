"""A history in words: how many rows are used, and what is wrong with the others."""

from __future__ import annotations

from collections.abc import Sequence

from faultiso.base.problems import Problem
from faultiso.learning.history import History
from faultiso.report.counts import counted
from faultiso.report.page import Column, Table


def counts_words(history: History) -> str:
    """Rows used, doubtful, set aside."""
    doubtful = f", {history.doubtful:,} of them doubtful" if history.doubtful else ""
    return f"{history.file}: {counted(history.used, 'row')} used{doubtful}; {history.set_aside:,} set aside."


def problems_said(history: History) -> str:
    """How many remarks there are, and whether all are listed."""
    errors = sum(problem.severity == "error" for problem in history.problems)
    warnings = len(history.problems) - errors
    more = f"; {history.more:,} more of the same kinds are not listed" if history.more else ""
    return f"{counted(errors, 'error')} (rows set aside), {counted(warnings, 'remark')} (rows used){more}."


def problem_lines(history: History, most: int = 5) -> list[str]:
    """The first remarks in sentences."""
    if not history.problems:
        return []
    first = [f"Line {p.where.line}, column {p.where.column}: {_what(p)}." for p in history.problems[:most]]
    return [problems_said(history), *first]


def problem_table(problems: Sequence[Problem]) -> Table:
    rows = tuple((str(p.where.line), str(p.where.column), _what(p)) for p in problems)
    return Table((Column("line", "number"), Column("column", "number"), Column("what")), rows, "rows by line")


def _what(problem: Problem) -> str:
    nearest = f"; nearest: {problem.nearest}" if problem.nearest else ""
    return f"{'set aside' if problem.severity == 'error' else 'doubtful'}: {problem.message}{nearest}"
