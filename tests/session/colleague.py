"""A colleague who plays the system: knows which faults are planted and tells the truth about every sign.

The truth is the deterministic part of the model, every effect that is more likely than not taken as there.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from faultiso.model.expected import expected
from faultiso.model.parts import Check
from faultiso.model.system import Model
from faultiso.session.course import carry_out
from faultiso.session.isolation import Isolation, Lines, begin

FALSE_NAMES = frozenset[str]()


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

    def __post_init__(self) -> None:
        self.sure = likely_as_certain(self.model)
        self._reports = list(self.reports)

    def truth(self, conditions: Mapping[str, str]) -> dict[str, str]:
        return expected(self.sure, conditions, self.faults)

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
                self.faults -= set(self.model.repairs[state.pick.name].clears) if state.pick else set()
                return "chapter 29"
            case "inspection":
                return "1"
            case "outcome":
                assert state.pick is not None
                return self.told(state.pick.name, self._conditions(session), state.pick.what == "report")
            case "proof":
                return self.told(state.proving[0], state.course.conditions, False)
        return ""

    def _conditions(self, session: Isolation) -> Mapping[str, str]:
        state = session.desk.state
        assert state.pick is not None
        part = self.model.checks.get(state.pick.name)
        if part is None:
            return state.course.conditions
        carried = carry_out(self.model, state.course, part)
        assert carried is not None
        return carried.read.conditions

    def told(self, sign: str, conditions: Mapping[str, str], report: bool) -> str:
        if sign in self.unknown or (self.always_unknown and not report):
            return "nk"
        truth = self.lies.pop(sign) if sign in self.lies else self.truth(conditions)[sign]
        if isinstance(self.model.checks.get(sign), Check):
            swapped = self.model.checks[sign].work.swaps
            gone = {f.name for pair in swapped for unit in pair if unit != "spare" for f in self.model.components[unit].faults}
            if gone and sign not in self.lies:
                truth = expected(self.sure, conditions, self.faults - gone)[sign]
        if self.number is not None and (written := self.number(sign, truth)):
            return written
        part = self.model.indications.get(sign) or self.model.checks[sign]
        return part.outcome_titles.get(truth, truth.replace("_", " "))


def isolated(model: Model, colleague: Colleague) -> Isolation:
    """A whole isolation, worked to its end by taking what is proposed."""
    return colleague.work(begin(model, Lines()))
