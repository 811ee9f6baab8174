"""What changed between two models, as a page and as a record."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict

from faultiso.base.figures import in_hundred
from faultiso.drafting.comparing.answers import Answer, Beside
from faultiso.drafting.comparing.difference import Difference, Figure, Moved, Said
from faultiso.model.system import Model
from faultiso.report.counts import counted
from faultiso.report.page import Block, Column, Heading, Items, KeyValues, Page, Table, Text

MOST_SAID = 40  # on a screen


def diff_page(
    old: Model, new: Model, found: Difference, answers: Sequence[Beside], most: int = MOST_SAID
) -> Page:
    """What came, went and changed; of the answers only what moved. ``most``: how much of each is listed."""
    both = (("older", old), ("newer", new))
    blocks: list[Block] = [
        KeyValues(
            tuple((which, f"{model.file}, {model.name} {model.review.version}") for which, model in both)
        )
    ]
    if found.nothing:
        blocks.append(Text("Both models say the same.", apart=True))
    blocks += _structure(found)
    blocks += _figures(found.figures, most)
    if found.said:
        blocks += [Heading("Said otherwise"), Items(tuple(map(_said, found.said[:most])))]
        blocks += _more(len(found.said) - most)
    blocks += _answers(answers)
    return Page("What changed", new.subject, tuple(blocks))


def _structure(found: Difference) -> Iterable[Block]:
    pairs = [
        *(("added", words) for words in _by_section(found.added)),
        *(("removed", words) for words in _by_section(found.removed)),
        *(("renamed", words) for words in _by_section(found.renamed)),
    ]
    if pairs:
        yield Heading("Parts")
        yield KeyValues(tuple(pairs))


def _by_section(parts: Sequence[Moved]) -> Iterable[str]:
    for section in dict.fromkeys(part.section for part in parts):
        here = [part for part in parts if part.section == section]
        words = [f"{part.name} is now {part.new_name}" if part.new_name else part.name for part in here]
        yield f"{section} ({len(here)}): {', '.join(words)}"


def _more(left: int) -> Iterable[Block]:
    if left > 0:
        yield Text(f"{left} more; --html and --json have all of them.")


def _figures(figures: Sequence[Figure], most: int) -> Iterable[Block]:
    if figures:
        yield Heading("Figures")
        columns = (
            Column("part"), Column("what"), Column("older", "number"), Column("newer", "number"),
            Column("ratio", "number"),
        )  # fmt: skip
        rows = tuple(
            (
                figure.name or "the model",
                figure.what,
                _number(figure.old),
                _number(figure.new),
                _ratio(figure.ratio),
            )
            for figure in figures[:most]
        )
        yield Table(columns, rows, "figures that changed")
        yield from _more(len(figures) - most)


def _number(value: float | None) -> str:
    return "-" if value is None else f"{value:.6g}"


def _ratio(value: float | None) -> str:
    return "-" if value is None else f"{value:.4g}"


def _said(said: Said) -> str:
    part = f"{said.name}, " if said.name else ""
    if not said.old:
        return f"{part}{said.what}: {said.new} (new)"
    if not said.new:
        return f"{part}{said.what}: {said.old} (no more)"
    return f"{part}{said.what}: {said.old}; now: {said.new}"


def _answers(answers: Sequence[Beside]) -> Iterable[Block]:
    yield Heading("Answers")
    moved = [each for each in answers if each.moved]
    neither = sum(bool(each.old.trouble and each.new.trouble) for each in answers)
    unasked = f" {counted(neither, 'case')} of these could be asked of neither." if neither else ""
    count = f"{counted(len(answers), 'case')}: {len(moved)} moved, {len(answers) - len(moved)} did not."
    yield Text(count + unasked)
    for each in moved:
        yield Heading(each.case, 2)
        yield KeyValues(tuple(_beside(each)))


def _beside(each: Beside) -> Iterable[tuple[str, str]]:
    if each.old.trouble or each.new.trouble:
        yield "older", _answer(each.old)
        yield "newer", _answer(each.new)
        return
    if each.fault_moved or each.chance_moved:
        yield "older", _likeliest(each.old)
        yield "newer", _likeliest(each.new)
    if each.action_moved:
        yield "next, older", each.old.action_title
        yield "next, newer", each.new.action_title


def _answer(answer: Answer) -> str:
    return f"no answer: {answer.trouble}" if answer.trouble else _likeliest(answer)


def _likeliest(answer: Answer) -> str:
    return f"{answer.title}, {in_hundred(answer.chance)} in 100"


def diff_record(old: Model, new: Model, found: Difference, answers: Sequence[Beside]) -> dict[str, object]:
    """All of it for a JSON document; of the answers only what moved, and how many did not."""
    return {
        "older": {"name": old.name, "file": old.file, "digest": old.digest},
        "newer": {"name": new.name, "file": new.file, "digest": new.digest},
        "same": found.nothing,
        "added": [_part(part) for part in found.added],
        "removed": [_part(part) for part in found.removed],
        "renamed": [_part(part) | {"new_name": part.new_name} for part in found.renamed],
        "figures": [_plain(figure) | {"ratio": figure.ratio} for figure in found.figures],
        "said": [_plain(said) for said in found.said],
        "cases": len(answers),
        "moved": [asdict(each) for each in answers if each.moved],
    }


def _part(part: Moved) -> dict[str, object]:
    return {"section": part.section, "name": part.name, "line": part.where.line}


def _plain(change: Figure | Said) -> dict[str, object]:
    return {
        "section": change.section, "name": change.name, "what": change.what, "old": change.old,
        "new": change.new, "line": change.where.line,
    }  # fmt: skip
