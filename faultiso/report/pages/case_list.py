"""The cases there are. What kind a case is, its aims and its end would give it away, so none stands here."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from faultiso.casebook.case import STAGES
from faultiso.casebook.load import Loaded
from faultiso.report.page import Block, Column, Heading, Page, Table, Text

NOT_STATED = "not stated"
_COLUMNS = (Column("name"), Column("title"), Column("stage"), Column("difficulty"))
_INVALID = "not valid: see faultiso case check"


def case_list_page(cases: Mapping[str, Loaded]) -> Page:
    """A table for each system, first stages first; difficulty as stated, for to compute it takes seconds."""
    if not cases:
        return Page("Cases", blocks=(Text("There are no cases yet."),))
    systems = sorted({_system(loaded) for loaded in cases.values()}, key=lambda title: (not title, title))
    blocks: list[Block] = [block for system in systems for block in _of_system(system, cases)]
    drafts = [name for name, loaded in cases.items() if loaded.case and loaded.case.review.state == "draft"]
    if drafts:
        blocks.append(Text("Not reviewed yet: " + ", ".join(drafts) + ".", quiet=True))
    if any(loaded.case and not loaded.case.difficulty for loaded in cases.values()):
        blocks.append(Text(f"{NOT_STATED}: faultiso case check, with the name of the case, computes it"))
    example = Text(f"For example: faultiso case show {next(iter(cases))}")
    return Page("Cases", blocks=(*blocks, example))


def _of_system(system: str, cases: Mapping[str, Loaded]) -> tuple[Heading, Table]:
    chosen = {name: loaded for name, loaded in cases.items() if _system(loaded) == system}
    heading = system or "Not valid"
    rows = [_row(name, chosen[name]) for name in sorted(chosen, key=_order(chosen))]
    return Heading(heading), Table(_COLUMNS, tuple(rows), about=f"cases of {heading}")


def _order(cases: Mapping[str, Loaded]) -> Callable[[str], tuple[int, str]]:
    def by_stage(name: str) -> tuple[int, str]:
        case = cases[name].case
        return (STAGES.index(case.stage) if case else len(STAGES), name)

    return by_stage


def _system(loaded: Loaded) -> str:
    return loaded.model.title if loaded.case and loaded.model else ""


def _row(name: str, loaded: Loaded) -> tuple[str, ...]:
    case = loaded.case
    if case is None or loaded.model is None:
        return (name, _INVALID, "", "")
    return (name, case.title, case.stage, case.difficulty or NOT_STATED)


def case_list_record(name: str, loaded: Loaded) -> dict[str, object]:
    """One case for a JSON document."""
    case, model = loaded.case, loaded.model
    if case is None or model is None:
        return {"name": name, "valid": False}
    return {
        "name": name,
        "valid": True,
        "title": case.title,
        "stage": case.stage,
        "difficulty": case.difficulty or None,
        "model": model.name,
        "state": case.review.state,
        "version": case.review.version,
    }
