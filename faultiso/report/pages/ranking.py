"""The answer of ``rank``: faults, sets of faults, the next action and the checks, as data and as a page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from faultiso.base.figures import in_hundred, minutes_words
from faultiso.report.page import Block, Column, Heading, Page, Table, Text

if TYPE_CHECKING:
    from faultiso.belief.belief import Belief
    from faultiso.planning.advice import Advice

LEADERS, CHECKS = 6, 8
WORTH_SHOWING = 0.01


def ranking_record(belief: Belief, advice: Advice) -> dict[str, Any]:
    """What ``rank --json`` prints; names and meaning are promised to scripts."""
    model = belief.model
    return {
        "model": model.name,
        "faults": [
            {"name": name, "component": model.faults[name].component, "probability": p}
            for name, p in belief.faults.items()
        ],
        "components": [{"name": name, "probability": p} for name, p in belief.components.items()],
        "diagnoses": [{"faults": list(d.faults), "probability": d.probability} for d in belief.diagnoses],
        "unlisted": belief.unlisted,
        "certified": belief.certified,
        "none_modelled": belief.none_modelled,
        "surprise_bits": belief.surprise_bits,
        "log2_evidence": belief.log2_evidence,
        "unexplained": belief.unexplained,
        "limitation": belief.limitation,
        "checks": _checks(belief, advice.minutes_saved),
        "next": {
            "action": advice.action.kind,
            "name": advice.action.name,
            "minutes": advice.action.minutes,
            "expected_minutes": advice.action.expected_minutes,
            "reason": advice.reason,
            "holds": advice.holds,
        },
        "looks": [
            {
                "situation": look.situation,
                "minutes": look.minutes,
                "gain_bits": list(look.gain_bits),
                "indications": list(look.indications),
                "patterns": len(look.patterns),
                "pruned": look.pruned,
            }
            for look in advice.looks
        ],
        "repair_order": [
            {
                "name": step.option.repair.name,
                "minutes": step.option.minutes,
                "fixed_after": step.fixed_after,
                "expected_minutes": step.expected_minutes,
            }
            for step in advice.order
        ],
    }


def _checks(belief: Belief, saved: Mapping[str, float]) -> list[dict[str, Any]]:
    return [
        {
            "name": check.name,
            "minutes": check.minutes,
            "gain_bits": list(check.gain_bits),
            "gain_bits_marginal": check.gain_bits_marginal,
            "minutes_saved": saved.get(check.name, 0.0),
            "outcomes": dict(check.outcomes),
        }
        for check in belief.rank_checks()
    ]


def ranking_page(belief: Belief, advice: Advice) -> Page:
    """Leaders, what to do next and why, the best checks."""
    blocks: list[Block] = [
        *_warnings(belief),
        _leaders(belief),
        *_next(belief, advice),
        _table(belief, advice),
    ]
    return Page(belief.model.title, belief.model.subject, tuple(blocks))


def _warnings(belief: Belief) -> list[Block]:
    if belief.unexplained > 0.5:
        return [
            Text(
                "These readings are hardly explained by anything modelled "
                f"({in_hundred(belief.unexplained)} in 100 that a reading is wrong or something unmodelled "
                "acts). "
                "Stop, look at the readings again, and refer to the approved data."
            )
        ]
    return []


def _leaders(belief: Belief) -> Table:
    leaders = [d for d in belief.diagnoses[:LEADERS] if d.probability >= WORTH_SHOWING]
    leaders = leaders or list(belief.diagnoses[:1])
    rows = [(faults_in_words(belief, d.faults), in_hundred(d.probability)) for d in leaders]
    rest = max(1.0 - sum(d.probability for d in leaders), 0.0)
    rows.append(("every other set of faults", in_hundred(rest)))
    return Table((Column("Leading now"), Column("in 100", "number")), tuple(rows), "leading explanations")


def faults_in_words(belief: Belief, faults: tuple[str, ...]) -> str:
    """A set of faults for people: "pump 1, worn" and so on."""
    model = belief.model
    if not faults:
        return "nothing modelled is wrong"
    return " and ".join(
        f"{model.components[model.faults[name].component].title}: {model.faults[name].title}"
        for name in faults
    )


def _next(belief: Belief, advice: Advice) -> list[Block]:
    action = advice.action
    time = f", {minutes_words(action.minutes)}" if action.minutes else ""
    return [
        Heading("Next"),
        Text(f"{action.title}{time}."),
        Text(f"Why: {advice.reason}."),
    ]


def _table(belief: Belief, advice: Advice) -> Table:
    rows = []
    for check in belief.rank_checks()[:CHECKS]:
        saved = advice.minutes_saved.get(check.name, 0.0)
        rows.append((check.title, f"{check.gain_bits[1]:.2f}", f"{saved:+.0f}", minutes_words(check.minutes)))
    columns = (
        Column("Checks that tell most"),
        Column("bits", "number"),
        Column("saves", "number"),
        Column("takes", "minutes"),
    )
    return Table(columns, tuple(rows), "checks by information")
