"""What the plans of all write-ups say of a model: ways, checks to add, what misleads, what never earns."""

from __future__ import annotations

from collections.abc import Iterator

from faultiso.appraisal.testability import Judgement
from faultiso.appraisal.worth import Misled
from faultiso.appraisal.writeups import WriteUp
from faultiso.base.figures import in_hundred, listed, minutes_words
from faultiso.report.counts import counted
from faultiso.report.page import Block, Column, Details, Heading, Table, Text

WORTH_A_MINUTE, WORTH_ON_AVERAGE = 1.0, 0.05  # minutes that a check to add has to save
ESTIMATES = (
    "Minutes are estimates: the person stands at the start with the crew's report, and the rates are good "
    "to a factor of three at best."
)


def cut(table: Table, of: int, most: int | None) -> Iterator[Block]:
    """A table that is cut on a screen, and how much of it is left."""
    yield table
    if most is not None and of > most:
        yield Text(f"{of - most} more; the page (--html) has all of them.", quiet=True)


def at(sign: str, situation: str) -> str:
    """ "lamp (running)"."""
    return f"{sign} ({situation})" if situation else sign


def plans(found: Judgement, most: int | None) -> Iterator[Block]:
    """How many write-ups were judged, what they take, on paper every way."""
    if not found.worked:
        return
    yield Heading("From the write-up to the repair")
    judged = f"{counted(len(found.worked), 'write-up')} judged"
    if found.left:
        judged += (
            f" of {len(found.worked) + len(found.left)}, {in_hundred(found.judged_share)} in 100 of their "
            "rate; for the others the time was too short (--seconds)"
        )
    mean = "" if found.minutes is None else f" The plan takes {minutes_words(found.minutes)} on average."
    yield Text(f"{judged}.{mean} {ESTIMATES}")
    if most is None:
        rows = tuple(_way_rows(found))
        heads = (Column("fault"), Column("write-up"), Column("steps"), Column("takes", "minutes"))
        yield Details("Every way", (Table(heads, rows, "the plan with each fault"),))


def _way_rows(found: Judgement) -> Iterator[tuple[str, str, str, str]]:
    for item in found.worked:
        for way in item.ways:
            end = "" if way.right else f"; {way.end}"
            steps = ", ".join(way.steps) + end
            yield way.fault, write_up_words(item.write_up), steps, minutes_words(way.minutes)


def write_up_words(write_up: WriteUp) -> str:
    """ "pump_light lit, gauge low (at_idle)"."""
    return at(", ".join(f"{name} {outcome}" for name, outcome in write_up.shown), write_up.situation)


def readings(found: Judgement, most: int | None) -> Iterator[Block]:
    """What a reading or test that there is not would save."""
    worth = [
        item for item in found.readings if item.most >= WORTH_A_MINUTE and item.saves >= WORTH_ON_AVERAGE
    ]
    if not worth:
        return
    yield Heading("Checks worth adding")
    yield Text(
        "A reading of a quantity, or a test of one fault alone, without error and for nothing but what it "
        "takes to get there: about what it saves is what a real check may take. An estimate against the best "
        "plan that was found, looking one step further."
    )
    heads = (
        Column("to read or test"),
        Column("most, for the write-up"),
        Column("most", "minutes"),
        Column("on average", "minutes"),
    )
    rows = tuple(
        (item.what, write_up_words(item.write_up), minutes_words(item.most), f"{item.saves:.1f} min")
        for item in worth[:most]
    )
    yield from cut(Table(heads, rows, "what a reading would save"), len(worth), most)


def misled(found: Judgement, most: int | None) -> Iterator[Block]:
    """Faults with which the plan takes off what was good."""
    if found.worked and not any(row.instrument for row in found.misled):
        yield Text("No single instrument that fails takes a good unit off in these plans.", apart=True)
    groups: tuple[tuple[str, list[Misled]], ...] = (
        ("Single instruments that mislead the plan", [row for row in found.misled if row.instrument]),
        ("Other faults with which good units come off", [row for row in found.misled if not row.instrument]),
    )
    for name, rows in groups:
        if rows:
            yield Heading(name)
            heads = (
                Column("fault"),
                Column("write-up"),
                Column("done to what was good"),
                Column("takes", "minutes"),
            )
            cells = tuple(
                (
                    row.fault,
                    write_up_words(row.write_up),
                    listed(list(row.taken_off)),
                    minutes_words(row.minutes),
                )
                for row in rows[:most]
            )
            yield from cut(Table(heads, cells, name.lower()), len(rows), most)


def checks(found: Judgement, most: int | None) -> Iterator[Block]:
    """Checks and indications that tell or earn nothing."""
    idle = [worth for worth in found.checks if not worth.earns]
    if found.worked and idle:
        yield Heading("Checks that never earn their minutes")
        yield Text(
            "In no plan of the write-ups judged, as a first step never worth its minutes, and neither the "
            "proof of a repair nor what shows a fault that no indication shows."
        )
        heads = (Column("check"), Column("takes", "minutes"))
        rows = tuple((worth.check, minutes_words(worth.minutes)) for worth in idle[:most])
        yield from cut(Table(heads, rows, "checks that never earn their minutes"), len(idle), most)
    if found.idle:
        yield Text(f"No single fault moves: {', '.join(found.idle)}.", apart=True)
    if found.redundant:
        names = ", ".join(found.redundant[:most])
        more = " ..." if most is not None and len(found.redundant) > most else ""
        yield Text(f"Indications that tell the crew nothing the others do not: {names}{more}.", apart=True)
    if found.unmade:
        yield Text(f"Cannot be made from any situation: {', '.join(found.unmade)}.", apart=True)
