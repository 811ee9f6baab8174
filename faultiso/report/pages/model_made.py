"""What became of a table: the model that was written, what was added to it, and what was left out."""

from __future__ import annotations

from collections.abc import Sequence

from faultiso.base.problems import Problem
from faultiso.language.load import Loaded
from faultiso.report.counts import sizes
from faultiso.report.page import Block, Heading, Items, Page, Text
from faultiso.report.pages.problems import problem_blocks, problem_record, summary


def made_page(
    table: str, told: Sequence[str], problems: Sequence[Problem], loaded: Loaded, file: str
) -> Page:
    """``told``: sentences on what was added or left out; ``problems``: warnings about the table."""
    blocks: list[Block] = problem_blocks(problems, {})
    if told:
        blocks += [Heading("Added, or not carried over"), Items(tuple(told))]
    if loaded.problems:
        blocks += [Heading("To be looked at in the model"), *problem_blocks(loaded.problems, loaded.texts)]
    blocks.append(Text(summary(file, loaded.model, loaded.problems), apart=True))
    return Page(f"A model from {table}", loaded.model.subject if loaded.model else "", tuple(blocks))


def made_record(
    table: str, told: Sequence[str], problems: Sequence[Problem], loaded: Loaded, file: str
) -> dict[str, object]:
    """The same for a JSON document."""
    return {
        "table": table,
        "file": file,
        "valid": loaded.model is not None,
        "counts": sizes(loaded.model) if loaded.model else {},
        "told": list(told),
        "problems": [problem_record(problem) for problem in (*problems, *loaded.problems)],
    }
