"""The replies of a session as blocks of a page."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from faultiso.base.figures import capital, in_hundred, minutes_words
from faultiso.report.page import Block, Caution, Column, Heading, Items, KeyValues, Page, Table, Text
from faultiso.session.replies import Facts, Grid, Leaders, Listing, Proposal, Reply, Said, Warned

if TYPE_CHECKING:
    from faultiso.base.notice import Subject
    from faultiso.model.system import Model


def opening_page(title: str, subject: Subject) -> Page:
    """The first words of a session."""
    text = "A few letters find things, a number picks, nk is not known; help, undo and quit at any time."
    return Page(title, subject, (Text(text, quiet=True),))


def blocks(model: Model | None, replies: Iterable[Reply]) -> list[Block]:
    """Replies as blocks, in the same order."""
    found: list[Block] = []
    for reply in replies:
        found += _blocks(model, reply)
    return found


def _blocks(model: Model | None, reply: Reply) -> list[Block]:
    match reply:
        case Said():
            return [Text(reply.text, reply.indent, quiet=reply.quiet)]
        case Listing():
            return _listing(reply)
        case Warned():
            return _warned(model, reply) if model else []
        case Leaders():
            return [_leaders(reply)]
        case Proposal():
            return _proposal(reply)
        case Facts():
            return [Heading(reply.title), KeyValues(reply.pairs)]
        case Grid():
            columns = tuple(Column(h, k) for h, k in zip(reply.heads, reply.kinds, strict=True))  # type: ignore[arg-type]
            return [Heading(reply.title), Table(columns, reply.rows, reply.title)]


def _listing(listing: Listing) -> list[Block]:
    items: list[Block]
    if any(about for _, about in listing.rows):
        rows = tuple((str(n), title, about) for n, (title, about) in enumerate(listing.rows, 1))
        items = [Table((Column("", "number"), Column(""), Column("", "minutes")), rows)]
    else:
        items = [Items(tuple(title for title, _ in listing.rows), numbered=True)]
    return [*([Heading(listing.title)] if listing.title else []), *items, *_hint(listing)]


def _hint(listing: Listing) -> list[Block]:
    return [Text(listing.hint, indent=2, quiet=True)] if listing.hint else []


def _warned(model: Model, warned: Warned) -> list[Block]:
    found: list[Block] = []
    for name in warned.full:
        caution = model.cautions[name]
        found.append(Caution(f"{capital(caution.title)}. {caution.text} {caution.precaution}".strip()))
    if warned.again:
        titles = ", ".join(model.cautions[name].title for name in warned.again)
        found.append(Caution(titles, again=True))
    return found


def _leaders(leaders: Leaders) -> Block:
    rows = [(row.title, in_hundred(row.probability), row.because) for row in leaders.rows]
    if rows:
        rows.append(("every other set of faults", in_hundred(leaders.others), ""))
    rows.append(("nothing modelled", in_hundred(leaders.nothing), ""))
    columns = (Column("Leading now"), Column("in 100", "number"), Column("because"))
    return Table(columns, tuple(rows), "leading now")


def _proposal(proposal: Proposal) -> list[Block]:
    begin = "Your choice" if proposal.chosen else "Next"
    lines: list[Block] = [Text(f"{begin}: {_in_line(proposal)}", apart=True)]
    if proposal.needs:
        lines.append(Text(f"needs {'; '.join(proposal.needs)}", indent=2, hang=2))
    if proposal.reason:
        lines.append(Text(f"{capital(proposal.reason)}.", indent=2))
    if proposal.order:
        lines.append(Text("Order of repairs, and chances that it is mended by then:", indent=2))
        rows = tuple((title, in_hundred(fixed), f"{minutes:.0f}") for title, fixed, minutes in proposal.order)
        lines.append(Table((Column("repair"), Column("in 100", "number"), Column("min", "minutes")), rows))
    return lines


def _in_line(proposal: Proposal) -> str:
    """ "listen at the relief valve. 6 min, 2 people, 1 caution."."""
    parts = [minutes_words(proposal.minutes)] if proposal.minutes else []
    parts += [f"{proposal.people} people"] if proposal.people > 1 else []
    parts += list(proposal.who)
    count = len(proposal.cautions)
    parts += [f"{count} caution{'s' if count > 1 else ''}"] if count else []
    return f"{proposal.title}." + (f" {', '.join(parts)}." if parts else "")
