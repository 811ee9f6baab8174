"""A colleague who plays the system: knows which faults are planted and tells the truth about every sign.

The truth is the deterministic part of the model, every effect that is more likely than not taken as there.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from faultiso.model.expected import expected
from faultiso.model.parts import Rule
from faultiso.model.system import Model
from faultiso.session.course import carry_out
from faultiso.session.isolation import Isolation, Lines, begin


def likely_as_certain(model: Model) -> Model:
    """The model with every effect that is more likely than not made certain, every other one impossible."""

    def certain(chances: Mapping[str, float]) -> dict[str, float]:
        if not chances or sum(chances.values()) < 0.5:
            return {}
        return {max(chances, key=lambda level: chances[level]): 1.0}

    quantities = {}
    for name, quantity in model.quantities.items():
        causes = tuple(
            replace(
                cause,
                responses=tuple(
                    replace(response, gives={value: certain(c) for value, c in response.gives.items()})
                    for response in cause.responses
                ),
            )
            for cause in quantity.causes
        )
        quantities[name] = replace(quantity, causes=causes)
    components = {
        name: replace(
            component,
            faults=tuple(
                replace(f, intermittent=replace(f.intermittent, share=1.0)) if f.intermittent else f
                for f in component.faults
            ),
        )
        for name, component in model.components.items()
    }
    return replace(model, quantities=quantities, components=components)


@dataclass
class Colleague:
    """Answers each question of an isolation; ``lines`` is what was typed, ``lies`` what is told wrongly once."""

    model: Model
    faults: set[str]
    situation: str
    reports: Sequence[str]
    others: str = "2"
    now: str = ""
    lies: dict[str, str] = field(default_factory=dict)
    unknown: Collection[str] = ()
    always_unknown: bool = False
    number: Callable[[str, str], str] | None = None
    lines: list[str] = field(default_factory=list)
    memory: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.sure = likely_as_certain(self.model)
        self._reports = list(self.reports)

    def truth(self, conditions: Mapping[str, str], gone: Collection[str] = ()) -> dict[str, str]:
        """What everything shows in these conditions, what is remembered from before included."""
        shown = expected(self._with_memory(), conditions, self.faults - set(gone))
        for name in self._remembers():
            part = self.model.quantities.get(name) or self.model.indications[name]
            order = part.levels if name in self.model.quantities else part.outcomes
            self.memory[name] = max(self.memory.get(name, order[0]), shown[name], key=order.index)
        return shown

    def _remembers(self) -> list[str]:
        latched = [i.name for i in self.model.indications.values() if i.memory]
        return [q.name for q in self.model.quantities.values() if q.remember] + latched

    def _with_memory(self) -> Model:
        """The model with everything that is remembered at its worst so far held there."""
        quantities, indications = dict(self.sure.quantities), dict(self.sure.indications)
        for name, level in self.memory.items():
            parts = quantities if name in quantities else indications
            order = parts[name].levels if name in quantities else parts[name].outcomes
            if level != order[0]:
                parts[name] = replace(parts[name], rules=(Rule(then=level),))
        return replace(self.sure, quantities=quantities, indications=indications)

    def _done(self, name: str) -> None:
        """A repair or a check was made: what it clears is gone, what it resets is forgotten."""
        part = self.model.repairs.get(name) or self.model.checks[name]
        self.faults -= set(getattr(part, "clears", ()))
        for reset in part.work.resets:
            self.memory.pop(reset, None)

    def work(self, session: Isolation, most: int = 120) -> Isolation:
        """Answer until the session is over, taking what is proposed."""
        for _ in range(most):
            if session.over:
                return session
            line = self.answer(session)
            self.lines.append(line)
            session.take(line)
        raise AssertionError(f"not over after {most} lines: {self.lines[-12:]}")

    def answer(self, session: Isolation) -> str:
        state = session.desk.state
        match session.question().name:
            case "seen":
                return self.model.situations[self.situation].title
            case "now":
                return self.model.situations[self.now].title if self.now else ""
            case "reports":
                return self._reports.pop(0) if self._reports else ""
            case "others":
                return self.others
            case "ready":
                return "ready"
            case "reference":
                assert state.pick is not None
                self._done(state.pick.name)
                return "chapter 29"
            case "inspection":
                return "1"
            case "outcome":
                assert state.pick is not None
                return self.told(state.pick.name, self._conditions(session), state.pick.what == "report")
            case "proof":
                plan = state.repairs[-1].plan
                assert plan is not None
                return self.told(state.proving[0], plan.conditions_of(state.proving[0]), False)
        return ""

    def _conditions(self, session: Isolation) -> Mapping[str, str]:
        state = session.desk.state
        assert state.pick is not None
        part = self.model.checks.get(state.pick.name)
        self.truth(state.course.conditions)  # a visit leaves its mark whether or not anything is read
        if part is None:
            return state.course.conditions
        carried = carry_out(self.model, state.course, part)
        assert carried is not None
        return carried.read.conditions

    def told(self, sign: str, conditions: Mapping[str, str], report: bool) -> str:
        if sign in self.unknown or (self.always_unknown and not report):
            return "nk"
        swaps = self.model.checks[sign].work.swaps if sign in self.model.checks else ()
        units = {unit for pair in swaps for unit in pair if unit != "spare"}
        shown = self.truth(conditions, {f.name for u in units for f in self.model.components[u].faults})
        truth = self.lies.pop(sign) if sign in self.lies else shown[sign]
        if sign in self.model.checks:
            self._done(sign)
        if self.number is not None and (written := self.number(sign, truth)):
            return written
        part = self.model.indications.get(sign) or self.model.checks[sign]
        return part.outcome_titles.get(truth, truth.replace("_", " "))


def isolated(model: Model, colleague: Colleague) -> Isolation:
    """A whole isolation, worked to its end by taking what is proposed."""
    return colleague.work(begin(model, Lines()))
