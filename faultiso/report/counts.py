"""How many there are, in words: "1 fault", "2 quantities"."""

from __future__ import annotations

from faultiso.model.system import Model


def counted(number: int, word: str) -> str:
    """The number with its word, in the plural unless it is one."""
    plural = word[:-1] + "ies" if word.endswith("y") else word + "s"
    return f"{number:,} {word if number == 1 else plural}"


def sizes(model: Model) -> dict[str, int]:
    """How many of each part the model has, by the word for one of them."""
    return {
        "condition": len(model.conditions),
        "component": len(model.components),
        "fault": len(model.faults),
        "quantity": len(model.quantities),
        "indication": len(model.indications),
        "check": len(model.checks),
        "repair": len(model.repairs),
    }
