"""Every fault of the shipped models looks as the trade expects it to, and is then among the leading three."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml

from faultiso.belief.evidence import Reading
from faultiso.belief.observed import conditions_of, sign_of
from faultiso.belief.prospects import moment_of
from faultiso.model.effort import Standing, effort
from faultiso.model.parts import Indication
from faultiso.model.system import Model
from faultiso.network.timeline import Timeline, start
from tests.models.shipped import ground_of, model_of, reasoner_of, shows

HERE = Path(__file__).parent
LEAST = 0.8  # what the rows of patterns-systems-1-2.yaml ask for, unless they say less and why


def rows_of(file: str) -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load((HERE / file).read_text(encoding="utf-8"))
    return found


def both_tables() -> dict[str, Any]:
    """The rows of both files, those of the second with the chance that they ask for."""
    table, more = rows_of("patterns.yaml"), rows_of("patterns-systems-1-2.yaml")
    for model, parts in more.items():
        table[model]["normal"] += parts["normal"]
        for faults, views in parts["faults"].items():
            assert faults not in table[model]["faults"], f"{faults} is in both files"
            table[model]["faults"][faults] = [{"least": LEAST, **view} for view in views]
    return table


TABLE: dict[str, Any] = both_tables()
EXPECTED = {"shows": 0.5, "may": 0.2}
NORMAL = 0.9
LEADING = 3
SWAPPED = {"at": "at_pressure", "shows": {"swap_transmitter": "normal"}}

FAULT_ROWS = [(model, faults) for model in TABLE for faults in TABLE[model]["faults"]]
NORMAL_ROWS = [(model, row) for model in TABLE for row in range(len(TABLE[model]["normal"]))]


class Job:
    """The views of a row as one timeline with its readings."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self.timeline: Timeline | None = None
        self.readings: list[tuple[Reading, Timeline, float]] = []

    def see(self, view: Mapping[str, Any]) -> None:
        """Add one view: its indications at once, its checks where they can be made."""
        conditions = conditions_of(self.model, view.get("with", {}), view["at"])
        self.timeline = self.timeline.then(conditions) if self.timeline else start(conditions)
        named = [
            (sign, str(outcome), view.get("least", chance) if kind == "shows" else chance)
            for kind, chance in EXPECTED.items()
            for sign, outcome in view.get(kind, {}).items()
        ]
        named.sort(key=lambda item: item[0] not in self.model.indications)
        for sign, outcome, chance in named:
            self._read(sign, outcome, chance, conditions)

    def _read(self, name: str, outcome: str, chance: float, conditions: Mapping[str, str]) -> None:
        sign = sign_of(self.model, name)
        assert outcome in sign.outcomes, f"{name} has no outcome {outcome!r}: {sign.outcomes}"
        assert self.timeline is not None
        if not isinstance(sign, Indication):
            work = effort(self.model, sign.work, Standing(conditions))
            assert work is not None, f"{name} cannot be made from here"
            self.timeline = moment_of(sign, self.timeline, work)
        reading = Reading(name, outcome=outcome, moment=self.timeline.now)
        self.readings.append((reading, self.timeline, chance))


def job(name: str, views: list[Mapping[str, Any]]) -> Job:
    found = Job(model_of(name))
    for view in views:
        found.see(view)
    return found


def chances(name: str, done: Job, faults: frozenset[str]) -> Iterator[tuple[Reading, float, float]]:
    """Each reading with its chance given exactly these faults, and the chance that the table asks for."""
    for reading, timeline, wanted in done.readings:
        sign = sign_of(model_of(name), reading.sign)
        found = shows(ground_of(name), sign, timeline, reading.moment, faults)
        yield reading, found[reading.outcome], wanted


@pytest.mark.parametrize(("name", "faults"), FAULT_ROWS)
def test_the_fault_looks_as_the_trade_expects(name: str, faults: str) -> None:
    done = job(name, TABLE[name]["faults"][faults])
    unlike = [
        f"{reading} {found:.2f}"
        for reading, found, wanted in chances(name, done, frozenset(faults.split(" + ")))
        if found < wanted
    ]
    assert not unlike


@pytest.mark.parametrize(("name", "faults"), FAULT_ROWS)
def test_its_pattern_puts_it_among_the_leading_three(name: str, faults: str) -> None:
    done = job(name, TABLE[name]["faults"][faults])
    assert done.timeline is not None
    belief = reasoner_of(name).belief(done.timeline, [reading for reading, _, _ in done.readings])
    leading = list(belief.faults.items())[:LEADING]
    now = {where_it_is_now(fault, done.timeline) for fault in faults.split(" + ")}
    assert now <= {fault for fault, _ in leading}, leading


def where_it_is_now(fault: str, timeline: Timeline) -> str:
    """The fault's name after the swaps of the timeline: faults go with the unit."""
    component, mode = fault.split(".")
    for moment in timeline.moments:
        for work in moment.before:
            for first, second in work.swaps:
                component = {first: second, second: first}.get(component, component)
    return f"{component}.{mode}"


@pytest.mark.parametrize(("name", "row"), NORMAL_ROWS)
def test_normal_behaviour_needs_no_fault(name: str, row: int) -> None:
    done = job(name, [TABLE[name]["normal"][row]])
    unlike = [f"{r} {found:.2f}" for r, found, _ in chances(name, done, frozenset()) if found < NORMAL]
    assert not unlike


def test_a_spare_takes_the_fault_away_with_the_unit() -> None:
    """The transmitter that sends zero is out after the swap; what is left of it is not in the cart."""
    name = "workshop-power-cart"
    before = job(name, TABLE[name]["faults"]["transmitter.sends_zero"])
    after = job(name, [*TABLE[name]["faults"]["transmitter.sends_zero"], SWAPPED])
    assert before.timeline is not None and after.timeline is not None
    for done, present in ((before, True), (after, False)):
        belief = reasoner_of(name).belief(done.timeline, [reading for reading, _, _ in done.readings])
        assert (belief.faults["transmitter.sends_zero"] > 0.1) is present
    *_, (_, shown, _) = chances(name, after, frozenset(["transmitter.sends_zero"]))
    assert shown > NORMAL


@pytest.mark.parametrize("name", TABLE)
def test_every_fault_has_a_pattern(name: str) -> None:
    assert set(model_of(name).faults) <= set(TABLE[name]["faults"])
