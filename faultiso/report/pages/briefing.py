"""What a person sees before the first step of a case: the write-up, what was reported, how it stands now."""

from __future__ import annotations

from faultiso.base.notice import IN_TITLE
from faultiso.casebook.case import Case
from faultiso.model.system import Model
from faultiso.report.page import Block, Heading, KeyValues, Page, Text
from faultiso.report.pages.case_show import course_pairs

HOW = "Type a few letters of what you want to do, or help."


def briefing_page(case: Case, model: Model, mode: str) -> Page:
    """The aims are not told: they would give too much away; the debrief has them."""
    head = f"{case.stage}, {mode}. Aircraft or rig: {model.title} ({IN_TITLE[model.subject]})"
    blocks: list[Block] = [Text(head), Heading("Write-up"), Text(f'"{case.write_up}"', indent=2)]
    blocks.append(KeyValues(tuple(course_pairs(case, model))))
    return Page(f'Case {case.name}, "{case.title}"', model.subject, (*blocks, Text(HOW, apart=True)))
