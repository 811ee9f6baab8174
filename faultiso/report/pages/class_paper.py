"""The whole report of a class, for a page that is kept or printed: each plot with its figures below it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from faultiso.assessment.classes.figures import TENS
from faultiso.assessment.classes.people import Person
from faultiso.assessment.classes.report import ClassReport
from faultiso.assessment.classes.teaching import Talk
from faultiso.assessment.feedback import TITLES
from faultiso.assessment.grade import Grade
from faultiso.assessment.statistics.figure import Figure
from faultiso.base.figures import capital, in_hundred
from faultiso.base.notice import Subject
from faultiso.report.drawing.plots import Row, cases_svg, confidence_svg, spread_svg
from faultiso.report.page import Block, Column, Heading, Items, Page, Picture, Table, Text
from faultiso.report.pages.class_findings import together
from faultiso.report.pages.class_report import (
    case_table,
    first_table,
    headlines,
    mark_words,
    reliability_words,
    trust_words,
)

MEANING = (
    "A mark is per cent of what could be earned, and a proposal until an instructor confirms it; of several "
    "cases a person has the mean, and passes with it at the pass mark or above where no case was failed by a "
    "gate."
)


def class_paper(report: ClassReport, subject: Subject = "") -> Page:
    """Everything that the report says."""
    blocks: list[Block] = [Text(sentence) for sentence in headlines(report)]
    blocks.append(Text(MEANING, quiet=True))
    first = [each for each in report.first if each.kind in ("no mark", "confirm")]  # others: whom to talk to
    if first:
        blocks += [Heading("Look at first"), first_table(first, report.pass_mark)]
    if report.lessons:
        blocks += [Heading("Teach next"), Items(tuple(map(str, report.lessons)), numbered=True)]
    if report.people:
        blocks += [*_talks(report), *_marks(report, subject), *_cases(report, subject)]
        blocks += [*together(report), *_confidence(report, subject), *_trust(report)]
    blocks += list(_earlier(report))
    return Page(report.title, subject, tuple(blocks))


def _talks(report: ClassReport) -> Iterator[Block]:
    """A row for each person with the cases that were not passed, the gravest first."""
    if not report.talks:
        return
    theirs: dict[str, list[Talk]] = {}
    for talk in report.talks:
        theirs.setdefault(talk.person.called, []).append(talk)
    yield Heading("Whom to talk to, and about what")
    heads = ("who", "not passed", "about")
    rows = tuple((who, *_talk(each)) for who, each in theirs.items())
    yield Table(tuple(map(Column, heads)), rows, "who did not pass a case")


def _talk(talks: Sequence[Talk]) -> tuple[str, str]:
    """The cases with their marks; what it is about, said once where it is the same in several cases."""
    cases = ", ".join(_case_words(talk.outcome.grade) for talk in talks)
    about: dict[str, dict[str, None]] = {}
    for talk in talks:
        about.setdefault(talk.about, {})[talk.reason.sentence] = None
    return (cases, " ".join(f"{capital(what)}: {'; '.join(said)}." for what, said in about.items()))


def _case_words(grade: Grade) -> str:
    """ "hot-cart 42"; "hot-cart 96 (gate)"."""
    mark = mark_words(grade.total, grade.pass_mark)
    return f"{grade.case} {mark} (gate)" if grade.gates else f"{grade.case} {mark}"


def _marks(report: ClassReport, subject: Subject) -> Iterator[Block]:
    yield Heading("Marks")
    svg = spread_svg("Marks of the class", report.tens, report.pass_mark, subject)
    yield Picture("Marks of the class", svg, "How many people have which mark; dashed: the pass mark.")
    yield Table(
        (Column("mark"), Column("people", "number")), tuple(_tens(report)), "tens with somebody in them"
    )
    rows = tuple((*_person(person, report.pass_mark), _confirmed(person)) for person in report.people)
    columns = (Column("who"), Column("mark", "number"), Column("passed"), Column("cases"))
    if report.confirmed:
        yield Table((*columns, Column("confirmed by")), rows, "people by their numbers")
    else:
        yield Table(columns, tuple(row[:-1] for row in rows), "people by their numbers")


def _tens(report: ClassReport) -> Iterator[tuple[str, str]]:
    for low, count in zip(TENS, report.tens, strict=True):
        if count:
            yield (f"{low} to under {low + 10}" if low < 90 else "90 to 100", str(count))


def _person(person: Person, pass_mark: float) -> tuple[str, ...]:
    gate = "no (gate)" if person.failed_by_gate else "no"
    cases = ", ".join(f"{case} {mark_words(mark, pass_mark)}" for case, mark in person.by_case.items())
    return (person.called, mark_words(person.mark, pass_mark), "yes" if person.passed else gate, cases)


def _confirmed(person: Person) -> str:
    """Who confirmed the marks; how many are still proposals."""
    by = "; ".join(dict.fromkeys(outcome.confirmed for outcome in person.outcomes if outcome.confirmed))
    left = sum(not outcome.confirmed for outcome in person.outcomes)
    return f"{by} ({left} proposed)" if by and left else by or "proposed"


def _cases(report: ClassReport, subject: Subject) -> Iterator[Block]:
    yield Heading("Cases")
    rows = []
    for case in report.cases:
        q = case.quartiles
        assert q is not None  # somebody worked it
        rows.append(Row(case.name, q.least, q.lower, q.median, q.upper, q.largest, case.mean))
    svg = cases_svg("Marks by case", rows, report.pass_mark, subject)
    words = "Line: lowest to highest mark; box: the middle half; stroke: median; ring: mean."
    yield Picture("Marks by case", svg, words)
    yield case_table(report)
    found = tuple(
        (c.name, c.title, figure_words(c.difficulty), figure_words(c.discrimination)) for c in report.cases
    )
    heads = (
        "case",
        "title",
        "difficulty (share of the mark earned)",
        "discrimination (with the other cases)",
    )
    yield Table(tuple(map(Column, heads)), found, "how hard each is, and how well it tells people apart")
    lost = tuple((TITLES[name], f"{points:.1f}", f"{of:.1f}") for name, points, of in report.lost)
    columns = (Column("criterion"), Column("points lost", "number"), Column("of", "number"))
    yield Table(columns, lost, "where points were lost, on average of a session")


def figure_words(figure: Figure) -> str:
    """ "0.62 (uncertain: only 12 people)"; "too few to say (4 people)"."""
    if figure.value is None:
        return figure.note
    return f"{figure.value:.2f}" + (f" ({figure.note})" if figure.note else "")


def _confidence(report: ClassReport, subject: Subject) -> Iterator[Block]:
    found = report.confidence
    if not found.bands:
        return
    yield Heading("What they believed, and what was so")
    yield Text("Shown only; no mark depends on it.", quiet=True)
    bands = [(band.stated, band.came_true, band.count) for band in found.bands]
    svg = confidence_svg("Stated beliefs against the truth", bands, subject)
    words = "Below the dashed line more was claimed than was so, above it less."
    yield Picture("Stated beliefs against the truth", svg, words)
    rows = tuple((str(n), in_hundred(said), in_hundred(so)) for said, so, n in bands)
    heads = ("statements", "stated, in 100", "so, in 100")
    yield Table(tuple(Column(head, "number") for head in heads), rows, "statements by how sure they were")
    yield Text(f"Brier score {figure_words(found.score)}: 0 is best; 0.25 is what always saying 50 earns.")


def _trust(report: ClassReport) -> Iterator[Block]:
    yield Heading("How far the marks can be trusted")
    yield Text(reliability_words(report))
    yield Text(trust_words(report), apart=True)
    found = report.agreement
    if found is None:
        return
    if found.far:
        columns = (
            Column("who"),
            Column("case"),
            Column("proposed", "number"),
            Column("instructor", "number"),
        )
        rows = tuple((p.who, p.case or "all", f"{p.proposed:.0f}", f"{p.instructor:.0f}") for p in found.far)
        yield Table(columns, rows, "ten points apart or more")


def _earlier(report: ClassReport) -> Iterator[Block]:
    """An earlier class beside this one."""
    before = report.earlier
    if before is None:
        return
    yield Heading(f"Beside an earlier class: {before.title}")
    now = {case.name: (len(case.marks), case.mean) for case in report.cases}
    rows = [("all", *_cells((before.people, before.mean)), *_cells((len(report.people), report.mean)))]
    for name in sorted({*now, *before.cases}):
        rows.append((name, *_cells(before.cases.get(name)), *_cells(now.get(name))))
    heads = ("then, n", "then, mean", "now, n", "now, mean")
    yield Table((Column("case"), *(Column(head, "number") for head in heads)), tuple(rows), "then and now")
    if before.rubric != report.rubric:
        yield Text(f"It was marked by another rubric ({before.rubric}): marks do not compare.")


def _cells(found: tuple[int, float | None] | None) -> tuple[str, str]:
    if found is None or found[1] is None:
        return ("-", "-")
    return (str(found[0]), f"{found[1]:.0f}")
