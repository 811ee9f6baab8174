"""Pieces of a model in the words of its file: matches, rows, chances, ranges, what work takes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from faultiso.base.figures import minutes_words
from faultiso.model.expected import expected
from faultiso.model.parts import Cause, Check, Indication, Match, Quantity, Repair, Rule, Work
from faultiso.model.system import Model

OTHERWISE = "otherwise"


def number(value: float) -> str:
    """A figure with commas between thousands, without needless zeros."""
    return f"{value:,.10g}"


def span(low: float, high: float) -> str:
    """A range: "1,900-2,100", and "-5 to 5" where a minus sign could be misread."""
    return f"{number(low)} to {number(high)}" if low < 0 else f"{number(low)}-{number(high)}"


def levels_in_words(levels: Sequence[str], ranges: Mapping[str, tuple[float, float]]) -> str:
    """ "normal 1,900-2,100, low 300-1,850, stuck"."""
    return ", ".join(f"{level} {span(*ranges[level])}" if level in ranges else level for level in levels)


def test_in_words(name: str, accepted: Sequence[str], model: Model) -> str:
    """One test of a row: "motor stopped", "pump.worn", "no pump.worn", "pressure low or none"."""
    if name in model.faults and len(accepted) == 1:
        return name if accepted[0] == "present" else f"no {name}"
    return f"{name} {' or '.join(accepted)}"


def match_in_words(match: Match, model: Model) -> str:
    """All tests of a row; "otherwise" for a row without any."""
    tests = [test_in_words(name, accepted, model) for name, accepted in match.items()]
    return " and ".join(tests) or OTHERWISE


def matches_in_words(alternatives: Sequence[Match], model: Model) -> str:
    """ "engine idle; or cart on"."""
    return "; or ".join(match_in_words(match, model) for match in alternatives)


def row_result(rule: Rule) -> str:
    """What a row gives: a level, or "as pressure"."""
    return rule.then or f"as {rule.like}"


def is_inhibit(rule: Rule, part: Indication, model: Model) -> bool:
    """Whether a row keeps an indication quiet by conditions alone, whatever is wrong."""
    return (
        bool(rule.when)
        and rule.then == part.outcomes[0]
        and all(key in model.conditions for key in rule.when)
    )


def normal_values(model: Model, situation: str) -> dict[str, str]:
    """Conditions of a situation, faults absent, and everything else as it is with nothing wrong."""
    conditions = {**model.start, **model.situations[situation].values}
    return conditions | dict.fromkeys(model.faults, "absent") | expected(model, conditions)


def inhibits_before(part: Quantity | Indication | Check, source: str, model: Model) -> list[Match]:
    """Rows of conditions alone that come before the first row that looks at ``source``."""
    found: list[Match] = []
    for rule in part.rules:
        if source in rule.when or rule.like == source:
            return found
        if rule.when and all(key in model.conditions for key in rule.when):
            found.append(rule.when)
    return found


def reads(part: Quantity | Indication | Check, source: str) -> bool:
    """Whether a row of the table looks at ``source``."""
    return any(source in rule.when or rule.like == source for rule in part.rules)


def chance_of(cause: Cause, level: str, model: Model) -> str:
    """How strongly a cause gives a level: "pump.worn (0.9)", "inlet starved (0.7)"; "" if never."""
    answers: dict[str, list[str]] = {}
    for response in cause.responses:
        for value, gives in response.gives.items():
            if gives.get(level, 0.0) > 0.0:
                given = f" with {match_in_words(response.when, model)}" if response.when else ""
                answers.setdefault(value, []).append(f"{number(gives[level])}{given}")
    return ", ".join(
        f"{cause.source if value == 'present' else f'{cause.source} {value}'} ({', else '.join(chances)})"
        for value, chances in answers.items()
    )


def seen_by(name: str, model: Model) -> list[str]:
    """The indications and checks that look at something, with what hides it and what they take."""
    found = []
    for sign in model.signs():
        if reads(sign, name):
            hidden = inhibits_before(sign, name, model)
            silent = f" (not with {matches_in_words(hidden, model)})" if hidden else ""
            took = f" {minutes_words(sign.work.minutes)}" if isinstance(sign, Check) else ""
            found.append(f"{sign.name}{took}{silent}")
    return found


def work_pairs(work: Work, model: Model) -> list[tuple[str, str]]:
    """What a check or a repair takes and leaves, as names with what belongs to them."""
    people = f", {work.people} people" if work.people > 1 else ""
    pairs = [
        (
            "takes",
            f"{minutes_words(work.minutes)}{people}{f', {_title(work.who, model)}' if work.who else ''}",
        ),
        ("done with", matches_in_words(work.needs, model)),
        ("access", places(work.access, model)),
        ("equipment", places(work.equipment, model)),
        ("hazards", ", ".join(_title(name, model) for name in work.hazards)),
        ("leaves set", ", ".join(f"{name} {value}" for name, value in work.sets.items())),
        ("may silence", ", ".join(f"{name} ({number(p)})" for name, p in work.disturbs.items())),
        ("swaps", ", ".join(f"{a} with {b}" for a, b in work.swaps)),
        ("may leave", ", ".join(f"{left.fault} ({number(left.chance)})" for left in work.may_leave)),
        ("resets", ", ".join(work.resets)),
    ]
    return filled(pairs)


def places(names: Iterable[str], model: Model) -> str:
    """Panels and equipment by their titles, with the minutes that they take once."""
    known = {**model.access, **model.equipment}
    return ", ".join(
        f"{known[name].title} ({minutes_words(known[name].minutes)})" if name in known else name
        for name in names
    )


def _title(name: str, model: Model) -> str:
    for known in (model.cautions, model.people, model.zones):
        if name in known:
            return known[name].title
    return name


def zone_title(name: str, model: Model) -> str:
    """The zone's title; "no zone given" for none."""
    return model.zones[name].title if name in model.zones else name or "no zone given"


def filled(pairs: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """The pairs that have something to say."""
    return [(name, text) for name, text in pairs if text]


def proof_of(repair: Repair, model: Model) -> str:
    """How a repair is proved, in one line."""
    proof = repair.verification
    parts = [
        minutes_words(proof.minutes) if proof.minutes else "",
        f"with {matches_in_words(proof.needs, model)}" if proof.needs else "",
        f"by {', '.join(proof.checks)}" if proof.checks else "",
        "independent inspection" if proof.inspection else "",
        proof.about,
    ]
    return ", ".join(part for part in parts if part)
