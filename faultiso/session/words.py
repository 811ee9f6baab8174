"""The words of a model for people: titles of faults, conditions, readings, minutes, chances."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from faultiso.base.figures import capital, in_hundred, minutes_words
from faultiso.base.numbers import show_number
from faultiso.belief.evidence import Reading, nearest_level
from faultiso.belief.observed import sign_of
from faultiso.model.parts import Check, Indication
from faultiso.model.system import Model

__all__ = [
    "answer_words", "capital", "differing", "fault_words", "in_hundred", "looked_for", "minutes_words",
    "outcome_words", "reading_words", "set_words", "settings_words", "value_words",
]  # fmt: skip


def fault_words(model: Model, name: str) -> str:
    """ "piston pump: worn"."""
    fault = model.faults[name]
    return f"{model.components[fault.component].title}: {fault.title}"


def set_words(model: Model, faults: Iterable[str]) -> str:
    """Faults present together; the empty set is "nothing modelled"."""
    return " and ".join(fault_words(model, name) for name in faults) or "nothing modelled"


def value_words(model: Model, condition: str, value: str) -> str:
    """ "start selector: at run"; of what conditions bring about, "contactor: open"."""
    brought_about = model.quantities.get(condition) or model.indications.get(condition)
    if brought_about is not None:
        return f"{brought_about.title}: {value.replace('_', ' ')}"
    return f"{model.conditions[condition].title}: {value_title(model, condition, value)}"


def value_title(model: Model, condition: str, value: str) -> str:
    """ "at run"."""
    return model.conditions[condition].value_titles.get(value, value.replace("_", " "))


def settings_words(model: Model, settings: Mapping[str, str]) -> str:
    return "; ".join(value_words(model, name, value) for name, value in settings.items())


def differing(before: Mapping[str, str], after: Mapping[str, str]) -> dict[str, str]:
    """The conditions that have another value afterwards."""
    return {name: value for name, value in after.items() if before.get(name) != value}


def outcome_words(sign: Indication | Check, outcome: str) -> str:
    """The outcome for people; of a check that looks for a fault "found" and "not found"."""
    if outcome in sign.outcome_titles:
        return sign.outcome_titles[outcome]
    looks_for_fault = tuple(sign.outcomes) == ("absent", "present") and "." in sign.rules[-1].like
    return _FOUND[outcome] if looks_for_fault else outcome.replace("_", " ")


_FOUND = {"absent": "not found", "present": "found"}


def looked_for(model: Model, sign: Indication | Check) -> str:
    """The fault that a check looks for, in words; "" if it reads something else."""
    like = sign.rules[-1].like
    return model.faults[like].title if like in model.faults else ""


def answer_words(sign: Indication | Check, answer: Any) -> str:
    """ "lit", "2,002 psi: reduced", "not known"."""
    if answer is None:
        return "not known"
    if isinstance(answer, int | float):
        level = outcome_words(sign, nearest_level(float(answer), sign))
        return f"{show_number(float(answer), 4)} {sign.unit}: {level}"
    return outcome_words(sign, str(answer))


def reading_words(model: Model, reading: Reading) -> str:
    """ "pressure gauge sagging in flow"."""
    sign = sign_of(model, reading.sign)
    return f"{sign.title} {answer_words(sign, reading.outcome if reading.number is None else reading.number)}"


def sign_title(model: Model, name: str) -> str:
    return sign_of(model, name).title


def subject_words(model: Model, name: str) -> str:
    """What a stated belief is about: a unit, a fault, or that nothing is wrong."""
    if name == "nothing":
        return "nothing is wrong"
    return fault_words(model, name) if name in model.faults else model.components[name].title


def deed_title(model: Model, what: str, name: str) -> str:
    """What is done, or about to be: a check, look, repair or proof; or which conditions are set."""
    match what:
        case "check":
            return model.checks[name].title
        case "look":
            return f"look at {model.indications[name].title}"
        case "repair":
            return model.repairs[name].title
        case "verify":
            return f"verify: {model.repairs[name].title}"
        case "ask":
            return f"ask: {name}"
        case "hint":
            return f"hint {name}"
    return f"{what}: {', '.join(model.conditions[part].title for part in name.split())}"
