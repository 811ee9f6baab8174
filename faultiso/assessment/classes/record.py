"""A class report as data for a JSON document, its keys the same in every run."""

from __future__ import annotations

from typing import Any

from faultiso.assessment.classes.against import Agreement
from faultiso.assessment.classes.attention import Aside
from faultiso.assessment.classes.earlier import Earlier
from faultiso.assessment.classes.figures import TENS, CaseFigures
from faultiso.assessment.classes.findings import Often
from faultiso.assessment.classes.people import Person
from faultiso.assessment.classes.report import ClassReport
from faultiso.assessment.outcome import Outcome
from faultiso.assessment.statistics.figure import Figure


def class_record(report: ClassReport) -> dict[str, Any]:
    """The report; a figure is ``{value, count, note, interval}``, the value null where nothing is said."""
    return {
        "class": report.title, "rubric": report.rubric, "pass_mark": report.pass_mark,
        "proposed": report.confirmed < report.graded, "graded": report.graded, "confirmed": report.confirmed,
        "passed": report.passed, "mean": _round(report.mean),
        "people": [_person(person) for person in report.people],
        "aside": [_aside(each) for each in report.aside],
        "noted": [_aside(each) for each in report.noted],
        "first": [
            {"kind": f.kind, "who": f.who, "case": f.case, "mark": _round(f.mark), "why": f.why}
            for f in report.first
        ],
        "teach": [
            {"about": each.about, "people": each.people, "of": each.of, "sentence": str(each)}
            for each in report.lessons
        ],
        "talk": [
            {"id": t.person.id, "case": t.outcome.grade.case, "about": t.about, "sentence": t.reason.sentence,
             "step": t.reason.step, "line": t.reason.line}
            for t in report.talks
        ],
        **_figures(report),
        "agreement": _agreement(report.agreement),
        "earlier": _earlier(report.earlier),
    }  # fmt: skip


def _aside(each: Aside) -> dict[str, Any]:
    return {
        "path": each.path, "kind": each.kind, "sentence": each.sentence, "id": each.candidate,
        "case": each.case,
    }  # fmt: skip


def _figures(report: ClassReport) -> dict[str, Any]:
    bands = report.confidence.bands
    return {
        "spread": _spread(report),
        "tens": [{"from": low, "people": n} for low, n in zip(TENS, report.tens, strict=True)],
        "cases": [_case(case) for case in report.cases],
        "reliability": _figure(report.reliability),
        "lost": [{"criterion": c, "points": _round(lost), "of": _round(of)} for c, lost, of in report.lost],
        "taken": [
            {"case": t.case, "truth": list(t.truth), "named": list(t.named), "count": t.count}
            for t in report.taken
        ],
        "wasted": [_often(each) for each in report.wasted],
        "missed": [{**_often(each), "critical": each.critical} for each in report.missed],
        "aims": [
            {"name": a.name, "sessions": a.sessions, "well": a.well, "mean": _round(a.mean)}
            for a in report.aims
        ],
        "confidence": {
            "brier": _figure(report.confidence.score),
            "bands": [
                {"count": b.count, "stated": _round(b.stated, 4), "came_true": _round(b.came_true, 4)}
                for b in bands
            ],
        },
    }


def _person(person: Person) -> dict[str, Any]:
    return {
        "id": person.id, "name": person.name, "mark": _round(person.mark), "passed": person.passed,
        "cases": [_session(outcome) for outcome in person.outcomes],
    }  # fmt: skip


def _session(outcome: Outcome) -> dict[str, Any]:
    grade = outcome.grade
    return {
        "case": grade.case, "mark": _round(grade.total), "passed": grade.passed,
        "end": grade.verdict.how, "right": grade.verdict.right,
        "minutes": _round(grade.minutes), "lost_minutes": _round(outcome.lost_minutes),
        "criteria": {
            mark.criterion: None if mark.share is None
            else [_round(grade.points(mark), 2), _round(grade.out_of(mark), 2)]
            for mark in grade.marks
        },
        "gates": [reason.sentence for reason in grade.gates],
        "attention": [reason.sentence for reason in grade.attention],
        "truth": list(outcome.truth), "named": list(outcome.named), "mode": outcome.mode,
        "session": grade.session, "begun": outcome.begun, "receipt": outcome.receipt, "path": outcome.path,
        "confirmed_by": outcome.confirmed or None,
    }  # fmt: skip


def _case(case: CaseFigures) -> dict[str, Any]:
    return {
        "name": case.name, "title": case.title, "n": len(case.marks), "passed": case.passed,
        "mean": _round(case.mean), "lowest": _round(case.marks[0]), "highest": _round(case.marks[-1]),
        "difficulty": _figure(case.difficulty), "discrimination": _figure(case.discrimination),
    }  # fmt: skip


def _spread(report: ClassReport) -> dict[str, Any] | None:
    s = report.spread
    if s is None:
        return None
    return {
        "lowest": _round(s.least), "lower_quartile": _round(s.lower), "median": _round(s.median),
        "upper_quartile": _round(s.upper), "highest": _round(s.largest),
    }  # fmt: skip


def _often(each: Often) -> dict[str, Any]:
    return {
        "title": each.title, "people": each.people, "times": each.times, "minutes": _round(each.minutes),
    }  # fmt: skip


def _agreement(found: Agreement | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "pairs": [
            {"who": p.who, "case": p.case, "proposed": _round(p.proposed), "instructor": _round(p.instructor)}
            for p in found.pairs
        ],
        "bands": list(found.bands), "kappa": _figure(found.kappa), "difference": _round(found.difference),
        "missing": [{"id": candidate, "case": case} for candidate, case in found.missing],
    }  # fmt: skip


def _earlier(earlier: Earlier | None) -> dict[str, Any] | None:
    if earlier is None:
        return None
    return {
        "class": earlier.title, "rubric": earlier.rubric, "people": earlier.people, "passed": earlier.passed,
        "mean": _round(earlier.mean),
        "cases": [{"name": name, "n": n, "mean": _round(mean)} for name, (n, mean) in earlier.cases.items()],
    }  # fmt: skip


def _figure(figure: Figure) -> dict[str, Any]:
    interval = None if figure.interval is None else [_round(end, 4) for end in figure.interval]
    return {
        "value": _round(figure.value, 4), "count": figure.count, "note": figure.note, "interval": interval,
    }  # fmt: skip


def _round(value: float | None, digits: int = 1) -> float | None:
    return None if value is None else round(value, digits)
