"""What is wrong with a file, in file order: found, expected, nearest, and the line with a caret."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from faultiso.base.problems import Problem, Where
from faultiso.model.system import Model
from faultiso.report.counts import counted, sizes
from faultiso.report.page import Block, Page, Snippet, Text
from faultiso.report.pages.folding import folded

if TYPE_CHECKING:
    from faultiso.belief.width import Width

_LINE_END = re.compile(r"\r\n|\r|\n")


def problems_page(
    file: str,
    model: Model | None,
    problems: Sequence[Problem],
    texts: Mapping[str, str] | None = None,
    widths: Sequence[Width] = (),
) -> Page:
    """The page of ``model check``. ``texts`` holds the files by name; without them lines are not shown.

    ``widths``: what exact reasoning is estimated to need, where that is known.
    """
    blocks = problem_blocks(problems, texts or {})
    title = model.title if model else file
    blocks.append(Text(summary(file, model, problems), apart=True))
    if widths:
        blocks.append(Text(width_in_words(widths)))
    return Page(title, model.subject if model else "", tuple(blocks))


def problem_blocks(problems: Sequence[Problem], texts: Mapping[str, str]) -> list[Block]:
    """Each problem with the line that it is about, where the text of its file is there; what says the same
    of many things once, with the places of the others."""
    lines = {name: _LINE_END.split(text) for name, text in texts.items()}
    blocks: list[Block] = []
    for told in folded(problems):
        blocks += _problem(told.problem, lines)
        if told.others:
            also = ", ".join(" ".join(filter(None, other)) for other in told.others)
            blocks.append(Text(f"The same of {len(told.others)} more: {also}.", indent=4))
    return blocks


def width_in_words(widths: Sequence[Width]) -> str:
    """What exact reasoning needs, for people: "with 1, 2 and 4 sets of conditions read: ..."."""
    sets = ", ".join(str(width.sets) for width in widths)
    entries = ", ".join(f"{width.entries:,.0f}" for width in widths)
    memory = f"about {widths[-1].megabytes:,.0f} MB" if widths[-1].megabytes >= 1 else "under 1 MB"
    return (
        f"Estimated size of exact reasoning with {sets} sets of conditions read: {entries} table entries; "
        f"the last needs {memory}."
    )


def too_large(file: str, widths: Sequence[Width]) -> Problem | None:
    """The problem of a model that cannot be reasoned about exactly even in one set of conditions."""
    if not widths or not widths[0].too_large:
        return None
    message = (
        f"exact reasoning in one set of conditions would need about {widths[0].megabytes:,.0f} MB; expected "
        "less than 1,074 MB: let fewer things act on one quantity, or put quantities in between"
    )
    return Problem("width", Where(file), message)


def summary(file: str, model: Model | None, problems: Sequence[Problem]) -> str:
    """The last line: what the model consists of, or how much is wrong with it."""
    errors = sum(problem.severity == "error" for problem in problems)
    warnings = len(problems) - errors
    if errors or model is None:
        if not warnings:
            return f"{counted(errors, 'error')}."
        parts = f"{counted(errors, 'error')}, {counted(warnings, 'warning')}"
        return f"{counted(len(problems), 'problem')}: {parts}."
    counts = ", ".join(counted(number, name) for name, number in sizes(model).items())
    tail = f"; {counted(warnings, 'warning')}" if warnings else ""
    return f"{file} is valid: {counts}{tail}"


def _problem(problem: Problem, lines: Mapping[str, list[str]]) -> list[Block]:
    place = f"{problem.where}: " if str(problem.where) else ""
    kind = "warning: " if problem.severity == "warning" else ""
    hint = f"; nearest: {problem.nearest}" if problem.nearest else ""
    blocks: list[Block] = [Text(f"{place}{kind}{problem.message}{hint}", hang=4)]
    known = lines.get(problem.where.file, [])
    if 0 < problem.where.line <= len(known):
        where = problem.where
        blocks.append(Snippet(where.line, known[where.line - 1], max(1, where.column), max(1, where.length)))
    return blocks


def check_record(
    file: str, model: Model | None, problems: Sequence[Problem], widths: Sequence[Width] = ()
) -> dict[str, object]:
    """The answer of ``model check`` for a JSON document."""
    return {
        "file": file,
        "valid": model is not None and not any(problem.severity == "error" for problem in problems),
        "counts": sizes(model) if model else {},
        "problems": [problem_record(problem) for problem in problems],
        "width": [{"sets_of_conditions": w.sets, "table_entries": round(w.entries)} for w in widths],
    }


def problem_record(problem: Problem) -> dict[str, object]:
    """One problem for a JSON document."""
    where = problem.where
    return {
        "code": problem.code,
        "severity": problem.severity,
        "file": where.file,
        "line": where.line,
        "column": where.column,
        "length": where.length,
        "message": problem.message,
        "nearest": problem.nearest,
    }
