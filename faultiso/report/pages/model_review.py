"""The checklist of a review, to be ticked on paper or in an editor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import PurePath

from faultiso.drafting.checklist import Point, Question
from faultiso.model.system import Model
from faultiso.report.counts import counted
from faultiso.report.page import Block, Heading, Items, KeyValues, Page, Text

BOX = "[ ]"
_ALWAYS = (
    "The rates: are their ratios believable to somebody who knows such systems?",
    "Every light and gauge: is it said when it can not speak?",
    "Every step that can hurt: does its caution come before it?",
    "No figure, name or text is that of a real aircraft, maker or operator.",
)


def review_page(model: Model, questions: Sequence[Question], cases: int) -> Page:
    """Who and what, then every question with its places; ``cases``: how many cases were looked at."""
    review = model.review
    who = (
        ("file", model.file),
        ("version", review.version),
        ("state", review.state),
        ("author", review.author or "not named"),
        ("reviewer", review.reviewer or "not named: another person than the author"),
        ("text", f"SHA-256 {model.digest[:16]}"),
        ("looked at", f"the model and {counted(cases, 'case')} of it"),
    )
    points = sum(len(question.points) for question in questions)
    blocks: list[Block] = [
        KeyValues(tuple((name, value) for name, value in who if value)),
        Heading("Whatever the model"),
        Items(tuple(f"{BOX} {sentence}" for sentence in _ALWAYS)),
    ]
    for question in questions:
        blocks += [
            Heading(question.text),
            Items(tuple(_line(point, model.file) for point in question.points)),
        ]
    blocks.append(
        Text(f"{counted(points, 'place')} to look at. Reviewed by, on: ____________________", apart=True)
    )
    return Page(f"Review of {model.title}", model.subject, tuple(blocks))


def _line(point: Point, file: str) -> str:
    """Line and column; the file too where it is an included one."""
    where = point.where
    place = replace(where, file="" if where.file == file else PurePath(where.file).name)
    return f"{BOX} {place}  {point.text}"


def review_record(model: Model, questions: Sequence[Question], cases: int) -> dict[str, object]:
    """The same for a JSON document."""
    review = model.review
    return {
        "file": model.file,
        "digest": model.digest,
        "author": review.author,
        "reviewer": review.reviewer,
        "state": review.state,
        "version": review.version,
        "cases": cases,
        "questions": [
            {
                "name": question.short,
                "text": question.text,
                "points": [_point(point) for point in question.points],
            }
            for question in questions
        ],
    }


def _point(point: Point) -> dict[str, object]:
    where = point.where
    return {"file": where.file, "line": where.line, "column": where.column, "text": point.text}
