"""Outcomes made by hand, and classes of them drawn from a seed."""

from __future__ import annotations

import random
from collections.abc import Sequence

from faultiso.assessment.grade import Grade, Mark, Reason
from faultiso.assessment.outcome import Finding, Outcome
from faultiso.assessment.rubric import shipped_rubric
from faultiso.assessment.verdict import Removed, Verdict

RUBRIC = shipped_rubric()
TRUTH = {
    "first-light": "low-pressure switch 1",
    "dry-brake": "isolation relay",
    "slow-flaps": "flap restrictor",
}
OTHER = "engine pump 1"


def outcome(
    candidate: str,
    case: str = "first-light",
    mark: float = 80.0,
    *,
    gates: Sequence[str] = (),
    attention: Sequence[str] = (),
    named: Sequence[str] | None = None,
    silent: Sequence[tuple[str, float]] = (),
    wasted: Sequence[tuple[str, float]] = (),
    missed: Sequence[tuple[str, bool]] = (),
    good_unit: bool = False,
    stated: Sequence[tuple[float, bool]] = (),
    title: str = "Caution stays on",
    aims: Sequence[str] = ("inhibits",),
    path: str = "",
) -> Outcome:
    """One session with that mark in per cent: every criterion has the same share."""
    reason = Reason("you removed it on one reading, at 31 in 100", 6, 27)
    marks = [
        Mark(
            name,
            None if name == "write_up" else mark / 100,
            (reason,) if name == "evidence" else (),
            1.0,
            name == "write_up",
        )
        for name in RUBRIC.weights
    ]
    truth = (TRUTH.get(case, OTHER),)
    repaired = truth if named is None else tuple(named)
    removed = (Removed("replace_it", 5, False),) if good_unit else ()
    verdict = Verdict("rectified and verified", repaired == truth, (), (), removed)
    grade = Grade(
        case, candidate, f"s-{candidate}-{case}", RUBRIC.name, tuple(marks), RUBRIC.weights, RUBRIC.pass_mark,
        verdict, 60.0, tuple(map(Reason, gates)), tuple(map(Reason, attention)), tuple(stated),
    )  # fmt: skip
    looked = tuple(Finding(what, minutes, 3) for what, minutes in silent)
    return Outcome(
        grade=grade,
        case_title=title,
        stage="first week",
        aims=tuple(aims),
        mode="quiet",
        truth=truth,
        named=repaired,
        silent=looked,
        wasted=(*looked, *(Finding(what, minutes, 4) for what, minutes in wasted)),
        missed=tuple(missed),
        lost_minutes=10.0,
        path=path or f"{candidate or 'x'}-{case}.jsonl",
    )


def a_class(people: int, seed: int = 1, cases: Sequence[str] = tuple(TRUTH)) -> list[Outcome]:
    """Some people who work some of the cases, the able ones better."""
    draw = random.Random(seed)
    return [
        _drawn(draw, str(number), case, skill)
        for number in range(1, people + 1)
        for skill in (draw.gauss(68, 14),)
        for case in cases
        if draw.random() < 0.85
    ]


def _drawn(draw: random.Random, number: str, case: str, skill: float) -> Outcome:
    mark = min(max(skill + draw.gauss(0, 9), 0.0), 100.0)
    silent = [("pump 1 caution, engine stopped", 14.0)] if draw.random() < 0.4 else []
    wasted = [("level of reservoir 1 by the rod", 6.0)] if draw.random() < 0.3 else []
    missed = (
        [("propeller arc", True)]
        if draw.random() < 0.1
        else [("fluid under pressure", False)]
        if draw.random() < 0.3
        else []
    )
    said = draw.choice([0.1, 0.3, 0.5, 0.7, 0.9, 0.95])
    return outcome(
        number, case, mark,
        gates=["propeller arc not named before step 4"] if missed == [("propeller arc", True)] else [],
        attention=["disputes pump 1 caution, line 33"] if draw.random() < 0.05 else [],
        named=None if draw.random() < mark / 100 else [OTHER],
        silent=silent, wasted=wasted, missed=missed,
        stated=[(said, draw.random() < said * 0.8)],
        aims=["inhibits"] if case == "first-light" else ["power", "evidence"],
    )  # fmt: skip
