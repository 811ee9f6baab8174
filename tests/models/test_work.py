"""The work of the shipped models: checks that can be made, repairs whose verification could fail."""

from __future__ import annotations

import pytest

from faultiso.model.effort import Standing, effort, reach
from faultiso.model.parts import Check, Indication
from faultiso.model.system import Model
from faultiso.network.timeline import matches, start
from faultiso.session.course import begun
from faultiso.session.proving import plan_proof
from tests.models.shipped import NAMES, ground_of, model_of, shows

#: seen through by an inspection of the part only, or hidden until another fault calls on it
HIDDEN = {"lp_switch_2.never_low"}
TELLS = 0.2  # difference of chances at which a sign tells a fault that is still there

REPAIRS = [(name, repair) for name in NAMES for repair in model_of(name).repairs]


def on_the_ground(model: Model) -> list[str]:
    """Situations in which somebody can work: no condition that cannot be set differs from its start."""
    fixed = [condition for condition in model.conditions.values() if not condition.settable]
    return [s.name for s in model.situations.values() if all(s.values[c.name] == c.start for c in fixed)]


@pytest.mark.parametrize("name", NAMES)
def test_every_check_can_be_made_from_every_situation_on_the_ground(name: str) -> None:
    model = model_of(name)
    assert on_the_ground(model)
    impossible = [
        f"{check.name} from {situation}"
        for situation in on_the_ground(model)
        for check in model.checks.values()
        if effort(model, check.work, Standing(model.situations[situation].values)) is None
    ]
    assert not impossible


@pytest.mark.parametrize("name", NAMES)
def test_a_check_is_made_in_the_conditions_that_it_needs(name: str) -> None:
    """Steps to one need must not undo another."""
    model = model_of(name)
    for situation in on_the_ground(model):
        for check in model.checks.values():
            work = effort(model, check.work, Standing(model.situations[situation].values))
            assert work is not None
            after = {**work.standing.conditions}
            for changed in check.work.sets:
                after.pop(changed)
            met = [all(after.get(c, v[0]) in v for c, v in need.items()) for need in check.work.needs]
            assert any(met) or not met, f"{check.name} from {situation}"


@pytest.mark.parametrize(("name", "repair"), REPAIRS)
def test_the_verification_would_see_a_fault_that_is_still_there(name: str, repair: str) -> None:
    model = model_of(name)
    proof = model.repairs[repair].verification
    way = reach(model, proof.needs, model.start)
    assert way is not None
    base = way[1]
    signs: list[tuple[Indication | Check, dict[str, str]]] = [(i, base) for i in model.indications.values()]
    for check in proof.checks:
        work = effort(model, model.checks[check].work, Standing(base))
        assert work is not None, f"{check} cannot be made after {repair}"
        signs.append((model.checks[check], dict(work.standing.conditions)))
    for fault in set(model.repairs[repair].clears) - HIDDEN:
        best = 0.0
        for sign, conditions in signs:
            timeline = start(conditions)
            with_it, without = (
                shows(ground_of(name), sign, timeline, 0, faults)
                for faults in (frozenset([fault]), frozenset[str]())
            )
            best = max(best, *(abs(with_it[o] - without[o]) for o in sign.outcomes))
        assert best >= TELLS, f"{repair} is not proved: {fault} would not show"


@pytest.mark.parametrize("name", NAMES)
def test_every_fault_is_cleared_by_a_repair_and_every_hazard_is_used(name: str) -> None:
    model = model_of(name)
    assert set(model.faults) == {fault for repair in model.repairs.values() for fault in repair.clears}
    works = [check.work for check in model.checks.values()] + [r.work for r in model.repairs.values()]
    used = {hazard for work in works for hazard in work.hazards}
    used |= {h for c in model.conditions.values() for change in c.changes.values() for h in change.hazards}
    assert used == set(model.cautions)


@pytest.mark.parametrize("name", NAMES)
def test_every_sign_of_a_proof_is_read_where_it_can_be(name: str) -> None:
    """Wherever the complaint was seen: the needs of each check are met at its own moment of the proof."""
    model = model_of(name)
    unmet = [
        (repair, check, situation.name)
        for repair in model.repairs
        for situation in model.situations.values()
        if (plan := plan_proof(model, begun(model.start), repair, situation.values, ())) is not None
        for check in model.repairs[repair].verification.checks
        if (needs := model.checks[check].work.needs)
        and not any(matches(match, plan.conditions_of(check)) for match in needs)
    ]
    assert not unmet


TOUCHES = {
    "fluid_on_skin",
    "height",
    "pressure_jet",
    "stored_energy",
    "live_circuit",
    "may_roll",
    "fuel_vapour",
}


def test_nobody_is_sent_to_a_unit_without_a_word_on_the_engines() -> None:
    """Who works at a unit, or looks at it from near, does so with an engine stopped, or running on purpose."""
    model = model_of("whinchat-hydraulics")
    work = [*model.checks.values(), *model.repairs.values()]
    near = [part for part in work if set(part.work.hazards) & TOUCHES or part.work.access]
    assert len(near) > 150
    silent = [
        part.name
        for part in near
        if not part.work.needs or not all({"engine_1", "engine_2"} & set(match) for match in part.work.needs)
    ]
    assert not silent
