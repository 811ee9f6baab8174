"""The frozen parts of a model. Every part has ``name`` (identifier), ``title`` (for people), ``where``.

Levels, outcomes and values are listed with the quiet one first; for quantities the order is also the
order of severity: of several causes the one that gives the later level wins (noisy-MAX).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from faultiso.base.problems import Where

NOWHERE = Where()

#: name of a condition, fault ("component.fault"), quantity or indication -> accepted values
Match = Mapping[str, tuple[str, ...]]
Chances = Mapping[str, float]

#: Categories of what a fault may lead to, the worst first (MIL-STD-1629A, 1980, par. 4.4.3; from memory)
SeverityClass = Literal["catastrophic", "critical", "marginal", "minor"]
SEVERITIES: Mapping[str, SeverityClass] = {
    "I": "catastrophic",
    "II": "critical",
    "III": "marginal",
    "IV": "minor",
}


@dataclass(frozen=True, slots=True)
class Change:
    """What it takes to bring a condition to one of its values."""

    minutes: float = 0.0
    people: int = 1
    who: str = ""
    equipment: tuple[str, ...] = ()
    access: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    needs: tuple[Match, ...] = ()


@dataclass(frozen=True, slots=True)
class Condition:
    """Something known and settable, without a probability."""

    name: str
    title: str
    values: tuple[str, ...]
    start: str
    changes: Mapping[str, Change] = field(default_factory=dict)
    about: str = ""
    settable: bool = True
    value_titles: Mapping[str, str] = field(default_factory=dict)
    must_restore: bool = False
    also: tuple[str, ...] = ()
    where: Where = NOWHERE


@dataclass(frozen=True, slots=True)
class Situation:
    """A named set of condition values, complete: every condition has a value."""

    name: str
    title: str
    values: Mapping[str, str]
    about: str = ""
    where: Where = NOWHERE


@dataclass(frozen=True, slots=True)
class Intermittent:
    """Conditions that bring a fault out, and its share of visits in them and outside them."""

    brought_out_by: tuple[Match, ...]
    share: float
    otherwise: float = 0.0


@dataclass(frozen=True, slots=True)
class Fault:
    """One way in which a component fails; ``name`` is "component.fault".

    ``rate`` is per flight hour; ``caused_by`` maps another fault to the chance that it causes this one;
    ``severity`` is the worst that it may lead to, "" where nobody has said.
    """

    name: str
    title: str
    component: str
    rate: float
    source: str = ""
    about: str = ""
    intermittent: Intermittent | None = None
    caused_by: Chances = field(default_factory=dict)
    severity: SeverityClass | Literal[""] = ""
    also: tuple[str, ...] = ()
    where: Where = NOWHERE


@dataclass(frozen=True, slots=True)
class Component:
    """A thing that can be replaced or serviced."""

    name: str
    title: str
    replaceable: bool = False
    zone: str = ""
    access: tuple[str, ...] = ()
    code: str = ""
    about: str = ""
    faults: tuple[Fault, ...] = ()
    also: tuple[str, ...] = ()
    where: Where = NOWHERE


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of a decision table: either ``then`` (a level) or ``like`` (another's level) is set."""

    when: Match = field(default_factory=dict)
    then: str = ""
    like: str = ""
    where: Where = NOWHERE


@dataclass(frozen=True, slots=True)
class Response:
    """What a cause gives, in one set of conditions: source value -> {level: probability}.

    What is missing to one is the first level, "no effect". A fault's source value is "present".
    """

    when: Match
    gives: Mapping[str, Chances]


@dataclass(frozen=True, slots=True)
class Cause:
    """A link of a leaky noisy-MAX; ``source`` is a fault or a quantity. First matching response counts."""

    source: str
    responses: tuple[Response, ...]
    where: Where = NOWHERE


@dataclass(frozen=True, slots=True)
class Quantity:
    """A hidden physical state with named levels, the quiet level first.

    If no rule matches, the level is the highest that any cause or the leak gives. ``ranges`` are in
    ``unit``. With ``remember`` it keeps the highest level of earlier moments until an action resets it.
    """

    name: str
    title: str
    levels: tuple[str, ...]
    rules: tuple[Rule, ...] = ()
    causes: tuple[Cause, ...] = ()
    leak: Chances = field(default_factory=dict)
    unit: str = ""
    ranges: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    remember: bool = False
    zone: str = ""
    about: str = ""
    level_titles: Mapping[str, str] = field(default_factory=dict)
    also: tuple[str, ...] = ()
    where: Where = NOWHERE


@dataclass(frozen=True, slots=True)
class Indication:
    """What anyone can see or hear at no cost; ``rules`` always end in a default row.

    ``memory`` says in which way it keeps what it showed: "" (it does not), "latched" (stays until reset)
    or "stored" (a message kept in a memory until cleared). ``delay`` is in seconds and is told to people.
    """

    name: str
    title: str
    kind: Literal["light", "message", "gauge", "sound", "trace", "feel", "button"]
    outcomes: tuple[str, ...]
    rules: tuple[Rule, ...]
    memory: Literal["", "latched", "stored"] = ""
    delay: float = 0.0
    misread: float = 0.001
    place: str = ""
    unit: str = ""
    tolerance: float = 0.0
    ranges: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    about: str = ""
    outcome_titles: Mapping[str, str] = field(default_factory=dict)
    also: tuple[str, ...] = ()
    where: Where = NOWHERE


@dataclass(frozen=True, slots=True)
class LeftBehind:
    """A fault that work may introduce, with its probability."""

    fault: str
    chance: float


@dataclass(frozen=True, slots=True)
class Work:
    """What a check or a repair takes, and what it changes besides.

    ``needs``: alternatives, each a set of condition values in which it can be done (empty: any).
    ``sets``: condition values that stay until restored. ``disturbs``: fault -> chance that touching it
    silences it without curing it. ``swaps``: pairs of components whose faults change places, or a
    component and "spare" (a known good unit). ``resets``: remembered quantities and latched indications.
    ``in_store``: whether the part that it takes is there; without it the work cannot be done.
    """

    minutes: float = 0.0
    people: int = 1
    who: str = ""
    access: tuple[str, ...] = ()
    equipment: tuple[str, ...] = ()
    needs: tuple[Match, ...] = ()
    hazards: tuple[str, ...] = ()
    sets: Mapping[str, str] = field(default_factory=dict)
    disturbs: Chances = field(default_factory=dict)
    swaps: tuple[tuple[str, str], ...] = ()
    may_leave: tuple[LeftBehind, ...] = ()
    resets: tuple[str, ...] = ()
    zone: str = ""
    in_store: bool = True


@dataclass(frozen=True, slots=True)
class Check:
    """Something done to learn something.

    ``rules`` (ending in a default row) say what a perfect check would show; for a check that reads one
    thing this is a single row ``like: thing``. ``miss``: chance that it shows the first outcome although
    another is right; ``false_alarm``: chance that it shows another although the first is right.
    """

    name: str
    title: str
    outcomes: tuple[str, ...]
    rules: tuple[Rule, ...]
    work: Work
    miss: float = 0.0
    false_alarm: float = 0.0
    unit: str = ""
    tolerance: float = 0.0
    ranges: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    about: str = ""
    asks: str = ""
    outcome_titles: Mapping[str, str] = field(default_factory=dict)
    source: str = ""
    also: tuple[str, ...] = ()
    where: Where = NOWHERE


@dataclass(frozen=True, slots=True)
class Verification:
    """How a repair is proved: in which conditions, by which checks, in how many minutes."""

    minutes: float = 0.0
    needs: tuple[Match, ...] = ()
    checks: tuple[str, ...] = ()
    about: str = ""
    inspection: bool = False


@dataclass(frozen=True, slots=True)
class Repair:
    """An action that removes faults; ``fails`` is the chance that it removes none of them."""

    name: str
    title: str
    clears: tuple[str, ...]
    work: Work
    verification: Verification = Verification()
    component: str = ""
    fails: float = 0.0
    price: float = 0.0
    about: str = ""
    also: tuple[str, ...] = ()
    where: Where = NOWHERE


@dataclass(frozen=True, slots=True)
class Caution:
    """A hazard with the text that is shown before the step; ``critical``: its omission fails a case."""

    name: str
    title: str
    text: str
    precaution: str = ""
    critical: bool = False
    source: str = ""
    where: Where = NOWHERE


@dataclass(frozen=True, slots=True)
class Place:
    """A zone, an access panel (with its zone and minutes to open), a piece of equipment (minutes to fetch),
    or a kind of person (no minutes)."""

    name: str
    title: str
    minutes: float = 0.0
    zone: str = ""
    about: str = ""
    also: tuple[str, ...] = ()
    where: Where = NOWHERE


@dataclass(frozen=True, slots=True)
class Link:
    """One step of what feeds what; ``carries`` names the medium (fluid, air, power, signal, shaft)."""

    source: str
    target: str
    carries: str = "fluid"
    where: Where = NOWHERE


@dataclass(frozen=True, slots=True)
class Deferral:
    """A line of the (invented) training deferral sheet."""

    name: str
    title: str
    covers: tuple[str, ...]
    interval: str = ""
    placard: str = ""
    never_with: tuple[str, ...] = ()
    provided: str = ""
    allowed: bool = True
    where: Where = NOWHERE
