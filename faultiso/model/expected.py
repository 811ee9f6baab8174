"""What everything shows when nothing, or exactly what is named, is wrong: rules followed, no chance drawn."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from faultiso.model.parts import Cause, Chances, Match, Quantity, Rule
from faultiso.model.system import Model

PRESENT, ABSENT = "present", "absent"
MOST_KNOWN = 1_000  # sets of conditions that are remembered with the model
#: Chances that a person wrote as parts of 1 may miss it by the last digit.
_CERTAIN = 1.0 - 1e-9


def expected(
    model: Model, conditions: Mapping[str, str], faults: Collection[str] = frozenset()
) -> dict[str, str]:
    """Name -> level or outcome of every quantity, indication and check (as a perfect check would show it).

    ``conditions``: a value for each condition (what is missing is at its start); ``faults``: those that are
    present. No leak acts, nothing is misread, and nothing is remembered, latched or stored from before. A
    cause acts only as far as it is certain: it gives the highest level that it reaches or passes with
    probability 1. An intermittent fault acts where its share of visits is 1.
    """
    if faults:
        return _Evaluation(model, {**model.start, **conditions}, faults).everything()
    known: dict[object, dict[str, str]] = model.__dict__.setdefault("_expected", {})
    key = tuple(sorted(conditions.items()))
    if key not in known:
        if len(known) >= MOST_KNOWN:
            known.clear()
        known[key] = _Evaluation(model, {**model.start, **conditions}, faults).everything()
    return dict(known[key])


def matches(match: Match, values: Mapping[str, str]) -> bool:
    """Whether every name of the match has one of the accepted values."""
    return all(values.get(name) in accepted for name, accepted in match.items())


class _Evaluation:
    """Values on demand, each worked out once."""

    def __init__(self, model: Model, conditions: Mapping[str, str], faults: Collection[str]) -> None:
        self._model = model
        self._conditions = conditions
        self._known = dict(conditions)
        for fault in model.faults.values():
            self._known[fault.name] = PRESENT if fault.name in faults and self._acts(fault.name) else ABSENT

    def everything(self) -> dict[str, str]:
        names = [*self._model.quantities, *(sign.name for sign in self._model.signs())]
        return {name: self.value(name) for name in names}

    def _acts(self, fault: str) -> bool:
        intermittent = self._model.faults[fault].intermittent
        if intermittent is None:
            return True
        out = any(matches(match, self._conditions) for match in intermittent.brought_out_by)
        return (intermittent.share if out else intermittent.otherwise) >= _CERTAIN

    def value(self, name: str) -> str:
        if name not in self._known:
            self._known[name] = self._work_out(name)
        return self._known[name]

    def _work_out(self, name: str) -> str:
        quantity = self._model.quantities.get(name)
        if quantity is not None:
            decided = self._decide(quantity.rules)
            return self._caused(quantity) if decided is None else decided
        sign = self._model.indications.get(name) or self._model.checks[name]
        decided = self._decide(sign.rules)
        return sign.outcomes[0] if decided is None else decided

    def _decide(self, rules: Sequence[Rule]) -> str | None:
        """What the first matching row says; None if no row matches."""
        for rule in rules:
            if all(self.value(key) in accepted for key, accepted in rule.when.items()):
                return rule.then or self.value(rule.like)
        return None

    def _caused(self, quantity: Quantity) -> str:
        """The highest level that any cause gives for certain."""
        reached = [self._certain_level(quantity.levels, self._chances(cause)) for cause in quantity.causes]
        return quantity.levels[max(reached, default=0)]

    def _chances(self, cause: Cause) -> Chances:
        for response in cause.responses:
            if matches(response.when, self._conditions):
                return response.gives.get(self.value(cause.source), {})
        return {}

    @staticmethod
    def _certain_level(levels: Sequence[str], chances: Chances) -> int:
        """Index of the highest level that is reached or passed with probability 1."""
        sure = 0.0
        for i in range(len(levels) - 1, 0, -1):
            sure += chances.get(levels[i], 0.0)
            if sure >= _CERTAIN:
                return i
        return 0
