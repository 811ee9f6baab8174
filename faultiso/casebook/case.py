"""The frozen parts of a case. What is hidden from the person at work: ``truth``, ``seed``, ``pins``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from faultiso.base.problems import Where
from faultiso.model.parts import NOWHERE
from faultiso.model.system import Review

Stage = Literal["first week", "basic", "intermediate", "advanced", "examination"]
End = Literal["rectified", "deferred", "no fault found", "refer"]

STAGES: tuple[Stage, ...] = ("first week", "basic", "intermediate", "advanced", "examination")
ENDS: tuple[End, ...] = ("rectified", "deferred", "no fault found", "refer")
Level = Literal["easy", "middling", "hard", "very hard"]

LEVELS: tuple[Level, ...] = ("easy", "middling", "hard", "very hard")
KINDS = (
    "single", "double", "false indication", "inhibited", "power loss", "condition dependent", "intermittent",
    "latched", "nothing wrong", "misleading complaint", "beyond the model", "leaves something behind",
)  # fmt: skip
#: who else than the system can be asked
VOICES = ("crew", "log", "uplift", "colleague")


@dataclass(frozen=True, slots=True)
class Setting:
    """A situation of the model ("" = now, where a case says so), and the conditions that differ from it."""

    situation: str
    differs: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Seen:
    """What the crew reported of one visit: sign -> outcome, number with its unit, or "nk".

    ``others``: "normal" if all other indications were looked at and were as they should be.
    """

    setting: Setting
    reports: Mapping[str, str]
    others: Literal["normal", "unknown"] = "unknown"


@dataclass(frozen=True, slots=True)
class Pin:
    """Readings that are fixed by hand for the person at work: sign -> outcome, or number with its unit."""

    setting: Setting
    shows: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Aim:
    """What is learned: a short name that many cases share, a sentence, and the place in the syllabus."""

    name: str
    text: str
    syllabus: str = ""


@dataclass(frozen=True)
class Case:
    """A case as it was written; names refer to its model.

    ``truth``: the faults that are present, none meaning that nothing is wrong. ``says``: who is asked
    (a check of the model, or one of VOICES) -> what is answered. ``model_version`` and ``model_digest`` (the
    beginning of one) name the model that the case was tried with. ``digest`` is the SHA-256 of the text.
    ``no_spare``: repairs for which no part is in the store.
    ``difficulty``: as it is stated; ``difficulty.py`` computes it. ``places``: see ``place``.
    """

    name: str
    title: str
    model: str
    stage: Stage
    kinds: tuple[str, ...]
    write_up: str
    seen: tuple[Seen, ...]
    now: Setting
    truth: tuple[str, ...]
    seed: int
    right_end: End
    pins: tuple[Pin, ...] = ()
    beyond_model: bool = False
    says: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    aims: tuple[Aim, ...] = ()
    approved_data: str = ""
    prescribed_order: tuple[str, ...] = ()
    no_spare: tuple[str, ...] = ()
    critical_precautions: tuple[str, ...] = ()
    hints: tuple[str, ...] = ()
    good_solution: str = ""
    notes: str = ""
    review: Review = field(default_factory=Review)
    model_version: str = ""
    model_digest: str = ""
    difficulty: Level | None = None
    file: str = ""
    digest: str = ""
    places: Mapping[str, Where] = field(default_factory=dict, repr=False)

    def __repr__(self) -> str:
        """Its name alone: a message or a record must not give a truth away by accident."""
        return f"{type(self).__name__}({self.name!r})"

    def place(self, *path: str | int) -> Where:
        """Where something stands: ``place("pins", 0, "shows", "pump_1_caution")``.

        Where a single item stands without brackets, or nothing is written, the place of what holds it.
        """
        for length in range(len(path), 0, -1):
            found = self.places.get(".".join(map(str, path[:length])))
            if found:
                return found
        return self.places.get("", NOWHERE)
