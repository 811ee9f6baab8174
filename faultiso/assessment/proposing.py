"""From what was handed in to proposals in a file of marks; what gets none is told."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from faultiso.assessment.moderation import Marks
from faultiso.assessment.regrading import Grader, judged
from faultiso.assessment.submissions import Refused, Submission
from faultiso.base.problems import FaultisoError


@dataclass(frozen=True)
class Left:
    """A file for which nothing was proposed. ``settled``: there is nothing more to do about it."""

    sentence: str
    settled: bool = False


def proposed(
    marks: Marks, handed_in: Iterable[Submission | Refused], grader: Grader, rubric: str
) -> Iterator[Left]:
    """Add a proposal for each finished session; what is given are the files that get none."""
    for each in handed_in:
        if isinstance(each, Refused):
            yield Left(str(each), settled=each.kind == "second copy")
        elif not each.finished:
            yield Left(f"{each.called}: {each.unfinished}; no mark.", settled=True)
        else:
            try:
                marks.propose(each, judged(grader, each), rubric)
            except FaultisoError as error:
                yield Left(f"{each.called}: {error}")
