"""What a person sees before the first step of a case: the write-up, what was reported, how it stands now."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Protocol

from faultiso.base.notice import IN_TITLE, Subject
from faultiso.report.page import Block, Heading, KeyValues, Page, Text

if TYPE_CHECKING:
    from faultiso.casebook.case import Case
    from faultiso.model.system import Model

HOW = "Type a few letters of what you want to do, or help."


class Headed(Protocol):
    """A case, or a glance at one."""

    @property
    def name(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def stage(self) -> str: ...
    @property
    def write_up(self) -> str: ...


def head_page(case: Headed, system: str, subject: Subject, mode: str) -> Page:
    """Title and write-up, which a glance at the files can tell; ``system``: the title of the model.

    The aims are not told: they would give too much away; the debrief has them.
    """
    head = f"{case.stage}, {mode}. Aircraft or rig: {system} ({IN_TITLE[subject]})"
    blocks: list[Block] = [Text(head), Heading("Write-up"), Text(f'"{case.write_up}"', indent=2)]
    return Page(f'Case {case.name}, "{case.title}"', subject, tuple(blocks))


def course_blocks(case: Case, model: Model) -> tuple[Block, ...]:
    """What follows the head: what was reported in which conditions, and how things stand now."""
    from faultiso.report.pages.case_show import course_pairs  # the head is told before it is imported

    return KeyValues(tuple(course_pairs(case, model))), Text(HOW, apart=True)


def briefing_page(case: Case, model: Model, mode: str) -> Page:
    """All of it on one page."""
    page = head_page(case, model.title, model.subject, mode)
    return replace(page, blocks=(*page.blocks, *course_blocks(case, model)))
