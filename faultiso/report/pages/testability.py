"""The testability of a model: on the screen in short, on paper whole, as data and as rows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from faultiso.appraisal.groups import Group
from faultiso.appraisal.isolation import Isolation, Shares
from faultiso.appraisal.testability import Judgement, Told
from faultiso.base.figures import in_hundred, listed
from faultiso.report.counts import counted
from faultiso.report.drawing.bars import Share, shares_svg
from faultiso.report.page import Block, Column, Heading, Items, KeyValues, Page, Picture, Table, Text
from faultiso.report.pages.testability_plans import at, checks, cut, misled, plans, readings

MOST_SHOWN = 8  # rows of a table on a screen
SINGLY = (
    "Each fault alone, each sign on its own: what only several signs together tell is not counted. A fault "
    "is detected if some sign tells it from nothing wrong, isolated to the units of all faults that no sign "
    "tells from it."
)
NOT_A_STANDARD = "Reports that nobody finds again are counted as is common practice; no standard fixes it."


def testability_screen(found: Judgement, files: Sequence[tuple[str, str]] = ()) -> Page:
    """What a writer has to know first; the page has all of it."""
    blocks = tuple(_blocks(found, MOST_SHOWN, files))
    return Page(_title(found), found.model.subject, blocks, last=True)


def testability_paper(found: Judgement) -> Page:
    """Everything, with plots."""
    return Page(_title(found), found.model.subject, tuple(_blocks(found, None, ())))


def _title(found: Judgement) -> str:
    return f"Testability of {found.model.title}"


def _blocks(found: Judgement, most: int | None, files: Sequence[tuple[str, str]]) -> Iterator[Block]:
    yield from _figures(found, most)
    yield from _groups(found, most)
    yield from _faint(found, most)
    yield from _reports(found, most)
    yield from plans(found, most)
    yield from readings(found, most)
    yield from misled(found, most)
    yield from checks(found, most)
    if files:
        yield KeyValues(tuple(files))


def _figures(found: Judgement, most: int | None) -> Iterator[Block]:
    own = found.signatures
    yield Text(f"{counted(len(own.faults), 'fault')} in {counted(len(set(own.units)), 'unit')}. {SINGLY}")
    yield Text(_least_words(found.least), apart=True)
    if own.never_alone:
        yield Text(f"Never there alone, not judged: {listed(list(own.never_alone))}.")
    for name, told in (("By the crew's indications alone", found.crew), ("With checks", found.everything)):
        yield Heading(name)
        yield Table(_HEADS, tuple(_rows(told)), f"{name.lower()}, in 100")
    if most is None:
        bars = [*_bars("crew", found.crew.by_one), *_bars("with checks", found.everything.by_one)]
        about = "Bars: share of the rate of faults, of 100. Grey: by indications alone. White: with checks."
        svg = shares_svg("Detected and isolated", bars, about, found.model.subject)
        yield Picture("Detected and isolated", svg, f"{about} The figures stand in the two tables above.")


def _least_words(least: float) -> str:
    right = in_hundred((1 + least) / 2)
    return (
        f"A sign tells two truths apart if the chances of what it shows differ by {least:g} or more: at even "
        f"odds one reading then names the right one {right} times in 100. In brackets: any difference counts."
    )


_HEADS = (Column("in 100"), Column("by rate", "number"), Column("each fault alike", "number"))


def _rows(told: Told) -> Iterator[tuple[str, ...]]:
    pairs = [(told.by_one.by_rate, told.at_all.by_rate), (told.by_one.alike, told.at_all.alike)]
    yield ("detected", *(_pair(one.detected, any_.detected) for one, any_ in pairs))
    for place, word in enumerate(("one unit", "two units or fewer", "three units or fewer")):
        yield (
            f"isolated to {word}",
            *(_pair(one.isolated[place], any_.isolated[place]) for one, any_ in pairs),
        )
    yield ("units left on average", *(_sizes(one, any_) for one, any_ in pairs))


def _pair(one: float | None, any_: float | None) -> str:
    first, second = (("-" if value is None else in_hundred(value)) for value in (one, any_))
    return first if first == second else f"{first} ({second})"


def _sizes(one: Shares, any_: Shares) -> str:
    first, second = (("-" if shares.size is None else f"{shares.size:.2f}") for shares in (one, any_))
    return first if first == second else f"{first} ({second})"


def _bars(name: str, found: Isolation) -> Iterator[Share]:
    second = name != "crew"
    detected = found.by_rate.detected or 0.0
    yield Share(f"detected, {name}", detected, in_hundred(detected), second)
    for place, word in enumerate(("one unit", "two units", "three units")):
        share = found.by_rate.isolated[place]
        if share is not None:
            yield Share(f"of these isolated to {word}, {name}", share, in_hundred(share), second)


def _groups(found: Judgement, most: int | None) -> Iterator[Block]:
    same, never = found.everything.groups, found.everything.never
    for name, groups in (
        ("Alike to the crew", found.crew.groups),
        ("Alike to every check", same if same != never else ()),
        ("The same in everything, however faint the difference", never),
    ):
        if groups:
            yield Heading(f"{name}: {counted(len(groups), 'group')}")
            heads = (
                Column("faults"),
                Column("repairs"),
                Column("told apart by"),
                Column("per million h", "number"),
            )
            rows = tuple(_group(group) for group in groups[:most])
            yield from cut(Table(heads, rows, name.lower()), len(groups), most)


def _group(group: Group) -> tuple[str, ...]:
    mends = f"{group.mends_all} mends all" if group.mends_all else listed(list(group.repairs)) or "none"
    return listed(list(group.faults)), mends, group.told_by or "nothing", _rate(group.rate)


def _rate(rate: float) -> str:
    million = rate * 1e6
    return f"{million:,.0f}" if million >= 100 else f"{million:.3g}"


def _faint(found: Judgement, most: int | None) -> Iterator[Block]:
    nothing = [row for row in found.everything.faint if not row.sign]
    faint = [row for row in found.everything.faint if row.sign]
    if nothing:
        yield Heading("Faults that nothing reveals")
        yield Items(tuple(row.fault for row in nothing))
    if faint:
        yield Heading("Faults that show only faintly")
        rows = tuple((row.fault, at(row.sign, row.situation), f"{row.moved:.2f}") for row in faint[:most])
        heads = (Column("fault"), Column("shown best by"), Column("difference", "number"))
        yield from cut(Table(heads, rows, "what shows them best"), len(faint), most)
    silent = [name for name in found.silent if name not in {row.fault for row in nothing}]
    if silent:
        yield Heading("Faults that no indication shows")
        shown = silent[:most]
        more = f" and {len(silent) - len(shown)} more" if len(shown) < len(silent) else ""
        yield Text(f"{', '.join(shown)}{more}: only checks find them, and no crew writes them up.")


def _reports(found: Judgement, most: int | None) -> Iterator[Block]:
    totals = found.reports
    if totals.nothing_wrong is None or totals.not_same is None or totals.not_at_start is None:
        return
    yield Heading("Reports that cannot be found again")
    yield Text(
        f"Of all reports, {in_hundred(totals.nothing_wrong)} in 100 with nothing modelled wrong; "
        f"{in_hundred(totals.not_same)} are not there when looked at again in the same conditions, "
        f"{in_hundred(totals.not_at_start)} not as things stand at the start. {NOT_A_STANDARD}"
    )
    yield Text(
        "Of 10,000 looks so many find it off; in so many of 100 of these nothing modelled is wrong (false), "
        "it is off again in the same conditions, and as things stand at the start.",
        quiet=True,
    )
    rows = sorted(found.again, key=lambda row: -row.reported * (1 - row.same))
    heads = ("of 10,000", "false", "again", "at start")
    cells = tuple(
        (
            at(row.sign, row.situation),
            f"{row.reported * 1e4:.3g}",
            *map(in_hundred, (row.nothing_wrong, row.same, row.at_start)),
        )
        for row in rows[:most]
    )
    table = Table((Column("indication"), *(Column(head, "number") for head in heads)), cells, "by indication")
    yield from cut(table, len(rows), most)
