"""Confirming marks without questions: whose they are, what is set before, what is left for a look."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from faultiso.assessment.moderation import Marks, to_look_at
from faultiso.assessment.roster import candidate_key
from faultiso.assessment.standing import Standing
from faultiso.base.nearest import listed, nearest
from faultiso.base.problems import UsageError
from faultiso.base.text import one_line


def chosen(marks: Marks, candidate: str = "", case: str = "") -> list[Standing]:
    """The sessions of a candidate and of a case, "" being any; UsageError if there is none."""
    all_ = list(marks.standing.values())
    found = [
        each
        for each in all_
        if candidate_key(candidate) in ("", candidate_key(each.candidate))
        and case.strip().casefold() in ("", each.case.casefold())
    ]
    if not found:
        raise UsageError(f"{marks.path.name}: {_nobody(all_, candidate, case)}")
    return found


def _nobody(all_: Sequence[Standing], candidate: str, case: str) -> str:
    numbers = sorted({each.candidate for each in all_})
    cases = sorted({each.case for each in all_})
    if not all_:
        return "nothing was proposed yet."
    if candidate and candidate_key(candidate) not in map(candidate_key, numbers):
        return f'no candidate "{one_line(candidate, 40)}"; there are {listed(numbers, "and")}.'
    if case in cases:
        return f'no marks of "{case}" for this candidate.'
    close = nearest(case, cases)
    hint = f"; nearest: {close}" if close else ""
    return f'no marks of "{one_line(case, 60)}" for this candidate{hint}.'


def set_and_confirm(
    marks: Marks, about: Sequence[Standing], settings: Iterable[str], because: str, by: str
) -> Standing:
    """Set points of the one session, then confirm it. UsageError if one cannot be set; then none is."""
    if len(about) != 1:
        sessions = listed([f"{each.candidate} {each.case}" for each in about], "and")
        raise UsageError(f"--set is about one session; these are {sessions}: add CANDIDATE or --case CASE.")
    seal = about[0].seal
    wanted = [_setting(text) for text in settings]
    for criterion, points in wanted:
        marks.judge(seal, criterion, points, because, by)
    for criterion, points in wanted:
        marks.change(seal, criterion, points, because, by)
    return marks.confirm(seal, by)


def _setting(text: str) -> tuple[str, float]:
    """ "evidence=4"."""
    name, sign, number = text.partition("=")
    try:
        if not sign:
            raise ValueError
        return name, float(number)
    except ValueError:
        raise UsageError(
            f'--set "{one_line(text, 60)}": expected CRITERION=POINTS, say evidence=4.'
        ) from None


def confirm_all(marks: Marks, about: Iterable[Standing], by: str, unseen: bool) -> list[str]:
    """Confirm what is open; unless ``unseen``, what has to be looked at first is left, and told."""
    left = []
    for each in to_look_at(about):
        if not unseen and (each.attention or each.gates):
            why = (*(f"failed by a gate: {gate}" for gate in each.gates), *each.attention)
            left.append(f"left for a look: {each.called}: {one_line('; '.join(why), 300)}")
        else:
            marks.confirm(each.seal, by)
    return left
