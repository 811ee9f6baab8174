"""What a name can be: values of conditions, levels of quantities, outcomes, through chains of ``like``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from faultiso.language.nodes import Word

Raw = Mapping[str, Any]
FAULT_LEVELS = ("absent", "present")


class Levels:
    """Look-ups over the sections as they were read; what cannot be known (a mistake elsewhere) is None."""

    def __init__(self, raw: Raw) -> None:
        self.conditions: Mapping[str, Raw] = raw.get("conditions", {})
        self.quantities: Mapping[str, Raw] = raw.get("quantities", {})
        self.indications: Mapping[str, Raw] = raw.get("indications", {})
        self.checks: Mapping[str, Raw] = raw.get("checks", {})
        components: Mapping[str, Raw] = raw.get("components", {})
        self.faults = {
            f"{name}.{fault}": (name, record)
            for name, component in components.items()
            for fault, record in component.get("faults", {}).items()
        }

    def of(self, name: str) -> tuple[str, ...] | None:
        """The values, levels or outcomes of a condition, fault, quantity or indication."""
        if name in self.conditions:
            return self.conditions[name].get("values")
        if name in self.faults:
            return FAULT_LEVELS
        if name in self.quantities:
            return self.quantities[name].get("levels")
        return self.outcomes(self.indications[name]) if name in self.indications else None

    def outcomes(self, sign: Raw) -> tuple[str, ...] | None:
        """The outcomes of an indication or check: as given, or those of what it reads and of its rules."""
        for link in self.chain(sign):
            given = link.get("outcomes") or link.get("levels")
            if given:
                return self.with_rules(sign, given)
        source = source_of(self.chain(sign)[-1])
        return self.with_rules(sign, FAULT_LEVELS) if source in self.faults else None

    def with_rules(self, sign: Raw, given: tuple[str, ...]) -> tuple[str, ...]:
        """Outcomes that are not listed are those of what is read, then those of the other rows."""
        if sign.get("outcomes"):
            return given
        others = (rule["then"] for rule in sign.get("rules", ()) if "then" in rule)
        return tuple(dict.fromkeys((*given, *others)))

    def chain(self, sign: Raw) -> list[Raw]:
        """The sign, what it reads or is like, what that reads, ..., ending before anything repeats."""
        links = [sign]
        while True:
            source = source_of(links[-1])
            following = self.quantities.get(source) or self.indications.get(source)
            if following is None or any(following is link for link in links):
                return links
            links.append(following)

    def inherited(self, sign: Raw, key: str) -> Any:
        """The value of ``key`` of the sign, or of the first thing along its chain that has it; or None."""
        return next((link[key] for link in self.chain(sign) if key in link), None)


def source_of(sign: Raw) -> Word:
    """What a sign reads, or the first thing that one of its rules is like; an empty word if nothing."""
    likes = (rule["like"] for rule in sign.get("rules", ()) if "like" in rule)
    word: Word = sign.get("reads") or next(likes, None) or Word("")
    return word
