"""A model with one more check for each quantity: read without error, at no minutes but those to get there.

No such instrument exists; what it would save says how many minutes a real one may take.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from faultiso.appraisal.signatures import Sign, Signatures
from faultiso.model.effort import steps_between
from faultiso.model.parts import Check, Match, Quantity, Rule, Work
from faultiso.model.system import Model

MARK = "reading of "  # no identifier of a model has a blank in it


def with_readings(model: Model, needs: Mapping[str, Mapping[str, str]] | None = None) -> Model:
    """The model with a reading of each quantity, or of those in ``needs``, in these conditions only."""
    chosen: dict[str, tuple[Match, ...]] = dict.fromkeys(model.quantities, ())
    if needs is not None:
        chosen = {name: (_exactly(values),) for name, values in needs.items()}
    more = {MARK + name: _reading(model.quantities[name], where) for name, where in chosen.items()}
    return replace(model, checks={**model.checks, **more})


def _reading(quantity: Quantity, needs: tuple[Match, ...]) -> Check:
    return Check(
        name=MARK + quantity.name,
        title=f"{MARK}{quantity.title}",
        outcomes=quantity.levels,
        rules=(Rule(like=quantity.name),),
        work=Work(needs=needs),
    )


def _exactly(values: Mapping[str, str]) -> Match:
    return {name: (value,) for name, value in values.items()}


def is_reading(sign: Sign) -> bool:
    return sign.name.startswith(MARK)


def telling_conditions(signatures: Signatures) -> dict[str, Mapping[str, str]]:
    """For each quantity that tells something: where it tells most, of the situations that can be set from the
    start; by the rate of the faults times how far it tells each from nothing wrong."""
    model = signatures.model
    settings = {name: situation.values for name, situation in model.situations.items()} or {"": model.start}
    reached = {name for name, values in settings.items() if steps_between(model, model.start, values)}
    best: dict[str, tuple[float, str]] = {}
    for sign in signatures.signs:
        if not is_reading(sign) or sign.situation not in reached:
            continue
        worth = float(signatures.rates @ sign.moved)
        name = sign.name.removeprefix(MARK)
        if worth > best.get(name, (0.0, ""))[0] * (1 + 1e-9):
            best[name] = (worth, sign.situation)
    return {name: settings[situation] for name, (_, situation) in best.items()}
