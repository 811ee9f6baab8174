"""What is wrong with a case, and what is stated of one that is right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass

from faultiso.base.figures import in_hundred, minutes_words
from faultiso.base.problems import Problem
from faultiso.belief.observed import sign_of
from faultiso.casebook.case import Case
from faultiso.casebook.difficulty import Difficulty
from faultiso.casebook.findings import Findings
from faultiso.casebook.load import Loaded
from faultiso.casebook.misread import Misread
from faultiso.model.system import Model
from faultiso.report.counts import counted
from faultiso.report.page import Block, Heading, KeyValues, Page, Text
from faultiso.report.pages.problems import problem_blocks, problem_record
from faultiso.session.words import outcome_words, set_words


@dataclass(frozen=True)
class Judged:
    """A case file with everything that was found of it; ``problems``: of reading and of checking.

    ``misread``: what its seed misreads, None where that was not asked for.
    """

    file: str
    loaded: Loaded
    problems: tuple[Problem, ...]
    findings: Findings | None = None
    misread: tuple[Misread, ...] | None = None

    @property
    def valid(self) -> bool:
        return all(problem.severity != "error" for problem in self.problems)


def case_check_page(cases: Sequence[Judged]) -> Page:
    """The page of ``case check``: of one file or of many."""
    blocks: list[Block] = []
    for judged in cases:
        if len(cases) > 1:
            blocks.append(Heading(judged.file))
        blocks += problem_blocks(judged.problems, judged.loaded.texts)
        if judged.findings and judged.loaded.case and judged.loaded.model:
            case, model = judged.loaded.case, judged.loaded.model
            stated = [*_stated(judged.findings, case, model), *_misread(judged, model)]
            blocks.append(KeyValues(tuple(stated)))
        blocks.append(Text(_summary(judged), apart=True))
    if len(cases) > 1:
        right = sum(judged.valid for judged in cases)
        blocks.append(
            Text(f"{counted(len(cases), 'case')}: {right} valid, {len(cases) - right} not.", apart=True)
        )
    first = cases[0].loaded if len(cases) == 1 else None
    title = first.case.title if first and first.case else "Cases" if len(cases) > 1 else cases[0].file
    return Page(title, first.model.subject if first and first.model else "", tuple(blocks))


def _stated(findings: Findings, case: Case, model: Model) -> Iterator[tuple[str, str]]:
    yield "complaint, given the truth", f"{findings.complaint_given_truth:.2g}"
    rank = (
        f"explanation {findings.rank}" if findings.rank_is_exact else f"explanation {findings.rank} or later"
    )
    yield "truth, given the complaint", f"{in_hundred(findings.truth_given_complaint)} in 100; {rank}"
    yield _alike(findings, case, model)
    for number, chance in enumerate(findings.pins, 1):
        yield f"pin {number}", f"{in_hundred(chance)} in 100"
    yield "unexplained by the model", f"{in_hundred(findings.unexplained)} in 100"
    if findings.way:
        titles = " and ".join(model.repairs[name].title for name in findings.way.repairs)
        yield "way out", f"{titles}, proved: {minutes_words(findings.way.minutes)}"
    if findings.difficulty:
        yield from _difficulty(findings.difficulty, bool(case.truth))


def _misread(judged: Judged, model: Model) -> Iterator[tuple[str, str]]:
    """Sign by sign what the person at work is shown wrongly, and where: by luck of the seed."""
    if judged.misread is None:
        return
    by_sign: dict[tuple[str, str, str], list[str]] = {}
    for item in judged.misread:
        by_sign.setdefault((item.sign, item.shown, item.right), []).append(_where(item.where, model))
    found = []
    for (name, shown, right), places in by_sign.items():
        sign = sign_of(model, name)
        words = f"{sign.title} {outcome_words(sign, shown)} (right: {outcome_words(sign, right)})"
        found.append(f"{words}, {' and '.join(places)}")
    yield "misread with this seed", "; ".join(found) or "nothing"


def _where(where: str, model: Model) -> str:
    return model.situations[where].title if where in model.situations else where


def _alike(findings: Findings, case: Case, model: Model) -> tuple[str, str]:
    """What nothing tells from the truth, as a sentence where the truth is that nothing is wrong."""
    names = [set_words(model, faults) if faults else "that nothing is wrong" for faults in findings.alike]
    if case.truth or case.beyond_model:
        return "not to be told from the truth", "; ".join(names) or "nothing"
    if not names:
        return "nothing is wrong", "and no single fault of the model would look the same everywhere"
    return "nothing is wrong", f"but no look and no check would tell it from {'; or from '.join(names)}"


def _difficulty(found: Difficulty, wrong: bool) -> Iterator[tuple[str, str]]:
    """The level, and what it comes of."""
    yield "difficulty", f"{found.level}, {found.score:.2f} of 1"
    steps = [step.title + (f" ({step.outcome})" if step.outcome else "") for step in found.way.steps]
    took = f"{minutes_words(found.minutes)}, {counted(found.steps, 'step')}"
    tail = "" if found.way.right else "; and then what is wrong is still to be repaired"
    yield "best plan", f"{took}: {'; '.join([*steps, found.way.end])}{tail}"
    beside = "what is wrong" if wrong else "that nothing is"
    unit = f"{found.lured_to}, {in_hundred(found.lure)} in 100 beside {beside}"
    yield "lure", unit if found.lured_to else "none"


def _summary(judged: Judged) -> str:
    errors = sum(problem.severity == "error" for problem in judged.problems)
    warnings = len(judged.problems) - errors
    tail = f", {counted(warnings, 'warning')}" if warnings else ""
    return f"{counted(errors, 'error')}{tail}." if errors else f"{judged.file} is valid{tail}."


def check_record(judged: Judged) -> dict[str, object]:
    """One file for a JSON document; chances as computed."""
    return {
        "file": judged.file,
        "valid": judged.valid,
        "problems": [problem_record(problem) for problem in judged.problems],
        "findings": _record(judged.findings) if judged.findings else None,
        "misread": None if judged.misread is None else [asdict(item) for item in judged.misread],
    }


def _record(findings: Findings) -> dict[str, object]:
    return {
        "complaint_given_truth": findings.complaint_given_truth,
        "truth_given_complaint": findings.truth_given_complaint,
        "rank": findings.rank,
        "rank_is_exact": findings.rank_is_exact,
        "ambiguity_group": findings.alike,
        "pins": findings.pins,
        "unexplained": findings.unexplained,
        "repairs": findings.way.repairs if findings.way else (),
        "minutes_to_the_end": findings.way.minutes if findings.way else None,
        "difficulty": _difficulty_record(findings.difficulty) if findings.difficulty else None,
    }


def _difficulty_record(found: Difficulty) -> dict[str, object]:
    return {
        "level": found.level,
        "number": found.number,
        "score": found.score,
        "parts": found.parts,
        "minutes": found.minutes,
        "steps": found.steps,
        "plan": [step.name for step in found.way.steps],
        "finds_it": found.way.right,
    }
