"""What sessions of a class have in common, as tables: units taken for others, wasted checks and more."""

from __future__ import annotations

from collections.abc import Iterator

from faultiso.assessment.classes.findings import Often, Taken
from faultiso.assessment.classes.report import ClassReport
from faultiso.base.figures import minutes_words
from faultiso.report.page import Block, Column, Heading, Table

NOTHING_NAMED = "nothing repaired"


def together(report: ClassReport) -> Iterator[Block]:
    """Each kind of finding below its heading."""
    yield Heading("What was wrong, and what was repaired")
    columns = (Column("case"), Column("was wrong"), Column("was repaired"), Column("sessions", "number"))
    yield Table(columns, tuple(map(_taken, report.taken)), "those that differ first")
    if report.wasted:
        yield Heading("Checks that could not tell anything")
        yield _often(report.wasted, "those that took most minutes first", minutes=True)
    if report.missed:
        yield Heading("Precautions that were not named")
        yield _often(report.missed, "critical ones first")
    if report.aims:
        yield Heading("Aims, the weakest first")
        aims = tuple((a.name, f"{a.well} of {a.sessions}", f"{a.mean:.0f}") for a in report.aims)
        yield Table(
            (Column("aim"), Column("sessions that went well"), Column("mean mark", "number")),
            aims,
            "well: right, nothing off that was good, no critical precaution left out",
        )


def _taken(taken: Taken) -> tuple[str, ...]:
    truth = ", ".join(taken.truth) or "nothing"
    named = "the same" if taken.right and taken.truth else ", ".join(taken.named) or NOTHING_NAMED
    return (taken.case, truth, named, str(taken.count))


def _often(found: tuple[Often, ...], about: str, minutes: bool = False) -> Table:
    rows = tuple(
        (
            f"{each.title} (critical)" if each.critical else each.title,
            str(each.people),
            str(each.times),
            *((minutes_words(each.minutes),) if minutes else ()),
        )
        for each in found
    )
    heads = (Column("what"), Column("people", "number"), Column("times", "number"))
    return Table((*heads, *((Column("in all", "minutes"),) if minutes else ())), rows, about)
