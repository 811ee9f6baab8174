"""What was made: cases that were drawn, and a work order without what identifies anybody."""

from __future__ import annotations

from collections.abc import Sequence

from faultiso.base.figures import minutes_words
from faultiso.base.notice import Subject
from faultiso.casebook.making.generate import Count, Made, Wish
from faultiso.casebook.making.workorder import Order
from faultiso.report.counts import counted
from faultiso.report.page import Block, Column, Heading, Items, KeyValues, Page, Table, Text

_COLUMNS = (Column("name"), Column("difficulty"), Column("best plan", "minutes"))


def cases_made_page(made: Sequence[Made], wish: Wish, count: Count, folder: str) -> Page:
    """One row a case, and how many were tried for them."""
    rows = tuple(_row(case) for case in made)
    blocks: list[Block] = [Table(_COLUMNS, rows)] if rows else []
    blocks.append(Text(_summary(made, wish, count), apart=True))
    if made:
        blocks.append(Text(f"Written to: {folder}"))
    return Page("Cases drawn", blocks=tuple(blocks))


def _row(made: Made) -> tuple[str, ...]:
    found = made.findings.difficulty
    return (made.name, found.level if found else "", minutes_words(found.minutes) if found else "")


def _summary(made: Sequence[Made], wish: Wish, count: Count) -> str:
    tried = f"{count.tried} of {count.drawn} drawn were tried"
    if len(made) == wish.number:
        return f"{counted(len(made), 'case')}; {tried}."
    asked = [*([wish.level] if wish.level else []), *sorted(wish.kinds)]
    what = f" that are {' or '.join(asked)}" if asked else ""
    return (
        f"Only {len(made)} of {counted(wish.number, 'case')}{what} were found; {tried}. Ask for another "
        "difficulty or kind, or give another seed."
    )


def cases_made_record(made: Sequence[Made], wish: Wish, count: Count, folder: str) -> dict[str, object]:
    """The same for a JSON document."""
    return {
        "folder": folder,
        "asked_for": wish.number,
        "tried": count.tried,
        "drawn": count.drawn,
        "cases": [
            {
                "name": case.name,
                "difficulty": case.findings.difficulty.level if case.findings.difficulty else None,
                "score": case.findings.difficulty.score if case.findings.difficulty else None,
                "kinds": case.case.kinds,
            }
            for case in made
        ],
    }


def order_page(order: Order, subject: Subject) -> Page:
    """What was taken out, and what is left for a person to read."""
    taken = tuple((kind, str(times)) for kind, times in order.removed.items())
    blocks: list[Block] = [Heading("Taken out, how often")]
    blocks.append(KeyValues(taken) if taken else Text("nothing was found"))
    if order.left_out:
        blocks += [Heading("Lines not taken over"), Items(order.left_out)]
    blocks += [Heading("What is left of what was seen"), Text(order.seen or "nothing")]
    if order.done:
        blocks += [Heading("What is left of what was done"), Text(order.done)]
    warning = (
        "Read every word of this before anybody else sees it. It was found by patterns and by your list, "
        "which never find everything: names, places and numbers may have stayed."
    )
    return Page("Work order", subject, (*blocks, Text(warning, apart=True)))
