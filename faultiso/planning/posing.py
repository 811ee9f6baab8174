"""From a belief to a planning problem: the leading sets of faults, what tells them apart, what mends them.

Stands are the sets of conditions in which something of it can be done; changing from one to another has its
minutes, access once opened and equipment once fetched stay. Checks are taken as independent of each other
once the faults are known.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from faultiso.base.figures import listed
from faultiso.belief.belief import Belief
from faultiso.belief.looks import Look, looks
from faultiso.belief.value import OpenSign
from faultiso.model.dependence import dependences
from faultiso.model.effort import Standing, effort, reach
from faultiso.model.parts import Indication, Match, Place, Work
from faultiso.model.parts import Repair as ModelRepair
from faultiso.model.system import Model
from faultiso.network.network import Array
from faultiso.network.timeline import matches
from faultiso.planning.advice import DEFER_MINUTES, HANDLING_MINUTES
from faultiso.planning.outlook import SERVICEABLE_MINUTES
from faultiso.planning.sequencing.problem import Check, Costs, Deferral, Problem, Repair
from faultiso.planning.sequencing.site import Handling, Setup, Site
from faultiso.planning.watching import worth_watching

MOST_SETS = 12
MOST_CHECKS = 12
MOST_LOOKS = 3  # other situations in which everything is looked at
ENOUGH = 0.99  # of the belief is planned for, if so few sets hold it
LEAST_BITS = (
    0.06  # about the leading sets, that a check must tell; with 0.01 three times the steps save 1 min
)

Conditions = Mapping[str, str]


@dataclass(frozen=True)
class Limits:
    """How much of a belief goes into a problem. ``hour``: the price of an hour, if parts are to count."""

    sets: int = MOST_SETS
    checks: int = MOST_CHECKS
    looks: int = MOST_LOOKS
    hour: float | None = None


def likely_sets(belief: Belief, limits: Limits) -> tuple[frozenset[str], ...]:
    """The leading sets that hold enough, and all that repairs may leave of them; the empty set among them."""
    chosen: dict[frozenset[str], None] = {frozenset(): None}
    covered = 0.0
    pairs = zip(belief.leading.sets, belief.leading.posterior.tolist(), strict=True)
    for faults, chance in list(pairs)[: limits.sets]:
        if covered >= ENOUGH:
            break
        covered += chance
        chosen |= dict.fromkeys(parts_of(faults))
    return tuple(chosen)


def parts_of(faults: frozenset[str]) -> Iterator[frozenset[str]]:
    """The set and every set that is left when some of its faults are gone."""
    ordered = sorted(faults)
    for mask in range((1 << len(ordered)) - 1, -1, -1):
        yield frozenset(name for bit, name in enumerate(ordered) if mask >> bit & 1)


@dataclass(frozen=True, eq=False)
class Posed:
    """A belief as a problem: ``problem``, and what its parts are in the model.

    ``looks``: what all indications would show in other situations, by the name of the check they are here.
    """

    belief: Belief
    sets: tuple[frozenset[str], ...]
    limits: Limits = Limits()
    seen: tuple[Look, ...] = ()

    @property
    def model(self) -> Model:
        return self.belief.model

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The faults of the sets, in the order of their bits."""
        return tuple(sorted({name for chosen in self.sets for name in chosen}))

    @cached_property
    def looks(self) -> dict[str, Look]:
        found = self.seen or (looks(self.belief, self.limits.looks) if self.limits.looks else ())
        return {look.situation: look for look in found if look.gain_bits[0] >= LEAST_BITS}

    @cached_property
    def problem(self) -> Problem:
        bit = {name: 1 << place for place, name in enumerate(self.names)}
        refer = self.model.refer_minutes
        return Problem(
            faults=tuple(_fault_title(self.model, name) for name in self.names),
            states=tuple(sum(bit[name] for name in chosen) for chosen in self.sets),
            prior=self._prior,
            checks=(*self._checks(), *self._changes()),
            repairs=tuple(self._repairs(bit)),
            costs=Costs(
                refer=refer, serviceable=SERVICEABLE_MINUTES, false_verified=2 * refer, hour=self.limits.hour
            ),
            deferrals=tuple(self._deferrals(bit)),
            site=self._stands.site,
        )

    @cached_property
    def _prior(self) -> Array:
        chances = dict(zip(self.belief.leading.sets, self.belief.leading.posterior.tolist(), strict=True))
        prior = np.array([chances.get(chosen, 0.0) for chosen in self.sets])
        return np.asarray(prior / prior.sum())

    @cached_property
    def _told(self) -> list[OpenSign]:
        """The unread signs that tell most for their minutes."""
        told = [sign for sign in self.belief.open.values() if sign.bits >= LEAST_BITS]
        return sorted(told, key=lambda sign: -sign.bits / self._minutes(sign.name))[: self.limits.checks]

    def _minutes(self, name: str) -> float:
        work = self.belief.prospects[name].effort
        return HANDLING_MINUTES + (work.minutes if work else 0.0)

    @cached_property
    def _place(self) -> dict[frozenset[str], int]:
        return {chosen: number for number, chosen in enumerate(self.belief.leading.sets)}

    def _checks(self) -> Iterator[Check]:
        """Unread signs as each set sees them."""
        for sign in self._told:
            part = self.belief.prospects[sign.name].sign
            words = tuple(part.outcome_titles.get(o, o.replace("_", " ")) for o in sign.outcomes)
            given = np.array([_row(sign.spread, self._of(sign.given, chosen)) for chosen in self.sets])
            own = self.model.checks[sign.name].work.minutes if sign.name in self.model.checks else 0.0
            handling = self._stands.of_sign(sign.name)
            yield Check(sign.name, part.title, own + HANDLING_MINUTES, words, given, handling)

    def _of(self, given: Array, chosen: frozenset[str]) -> Array | None:
        place = self._place.get(chosen)
        return None if place is None else given[place]

    def _changes(self) -> Iterator[Check]:
        """Other situations with what is looked at there, each as one thing to do."""
        for name, look in self.looks.items():
            row = {place: i for i, place in enumerate(look.places)}
            rows = [look.of_sets[row[p]] if (p := self._place.get(s)) in row else None for s in self.sets]
            whole = np.array([_row(look.spread, found) for found in rows])
            watch = worth_watching(look, whole, self._prior)
            signs = [self.model.indications[n] for n in watch.indications]
            words = (*(_pattern_words(signs, pattern) for pattern in watch.patterns), "anything else")
            seen = listed([sign.title for sign in signs])
            title = f"look at {seen}: {self.model.situations[name].title}"
            minutes = HANDLING_MINUTES * len(signs)
            yield Check(name, title, minutes, words, watch.given, self._stands.of_look(name))

    def _repairs(self, bit: Mapping[str, int]) -> Iterator[Repair]:
        """What mends some of the faults; of repairs that clear the same ones, the quickest."""
        found: dict[int, Repair] = {}
        for repair in self._mending:
            clears = sum(bit[name] for name in repair.clears if name in bit)
            proof, handling = self._stands.of_repair(repair)
            minutes = repair.work.minutes + repair.verification.minutes + proof
            parts = repair.price if self.limits.hour else 0.0
            option = Repair(
                repair.name, repair.title, minutes, clears, repair.fails, parts=parts, handling=handling
            )
            if clears not in found or self._price(option) < self._price(found[clears]):
                found[clears] = option
        yield from found.values()

    def _price(self, option: Repair) -> float:
        """Minutes, with what the parts are worth in minutes."""
        hour = self.limits.hour
        return option.minutes + (option.parts * 60.0 / hour if hour else 0.0)

    @cached_property
    def _mending(self) -> list[ModelRepair]:
        """Repairs that clear one of the faults and can be done here."""
        found = [r for r in self.model.repairs.values() if set(r.clears) & set(self.names)]
        return [r for r in found if effort(self.model, r.work, self.belief.standing) is not None]

    def _deferrals(self, bit: Mapping[str, int]) -> Iterator[Deferral]:
        for line in self.model.deferrals.values():
            covers = sum(bit[name] for name in line.covers if name in bit)
            if line.allowed and covers:
                yield Deferral(line.name, f"defer: {line.title}", DEFER_MINUTES, covers)

    @cached_property
    def _stands(self) -> _Stands:
        checks = [self.model.checks[sign.name].work for sign in self._told if sign.name in self.model.checks]
        return _Stands(self.belief, checks, self._mending, tuple(self.looks))


class _Stands:
    """The sets of conditions in which a problem's actions are made, known by the conditions that matter."""

    def __init__(
        self,
        belief: Belief,
        checks: Sequence[Work],
        repairs: Sequence[ModelRepair],
        situations: Sequence[str],
    ) -> None:
        self.model, self.standing = belief.model, belief.standing
        works = [*checks, *(repair.work for repair in repairs)]
        self._setups = tuple(dict.fromkeys(name for work in works for name in self._opened(work)))
        needs = [*(work.needs for work in works), *(repair.verification.needs for repair in repairs)]
        looked = [self.model.situations[name].values for name in situations]
        self._relevant = sorted(
            {n for alternatives in needs for match in alternatives for n in match}.union(*looked)
        )
        self._numbers: dict[tuple[str, ...], int] = {}
        self._conditions: list[Conditions] = []
        self.number(self.standing.conditions)
        for work in works:
            self.number(self._reached(work.needs, self.standing.conditions))
        self._proofs = {repair.name: self._proof(repair) for repair in repairs}
        for name in situations:
            self.number(
                self._reached((_exactly(self.model.situations[name].values),), self.standing.conditions)
            )

    def number(self, conditions: Conditions) -> int:
        """The number of the stand with these conditions; a new one if there is none yet."""
        key = tuple(conditions[name] for name in self._relevant)
        if key not in self._numbers:
            self._numbers[key] = len(self._conditions)
            self._conditions.append(conditions)
        return self._numbers[key]

    @cached_property
    def site(self) -> Site:
        """Setups and stands with the minutes between them; how things stand now comes first."""
        setups = tuple(
            Setup(name, self._setup(name).title, self._setup(name).minutes) for name in self._setups
        )
        changes = np.array([[self._minutes(a, b) for b in self._conditions] for a in self._conditions])
        np.fill_diagonal(changes, 0.0)
        titles = tuple(
            ", ".join(f"{n} {v}" for n, v in zip(self._relevant, key, strict=True)) for key in self._numbers
        )
        return Site(setups, titles, changes)

    def of_sign(self, name: str) -> Handling:
        """An indication is read as things stand; a check where its needs are met and it reads the same."""
        check = self.model.checks.get(name)
        if check is None:
            return Handling(begins=(0,))
        there = self._reached(check.work.needs, self.standing.conditions)
        felt = dependences(self.model)[name].conditions
        same = [
            number
            for number, other in enumerate(self._conditions)
            if _met(check.work.needs, other) and all(other[n] == there[n] for n in felt)
        ]
        return Handling(self._bits(check.work), self._unless_all(same))

    def of_look(self, situation: str) -> Handling:
        match = _exactly(self.model.situations[situation].values)
        return Handling(begins=(self.number(self._reached((match,), self.standing.conditions)),))

    def of_repair(self, repair: ModelRepair) -> tuple[float, Handling]:
        """Minutes from where the repair is made to where it is proved, and its handling."""
        minutes, ends = self._proofs[repair.name]
        begins = [n for n, other in enumerate(self._conditions) if _met(repair.work.needs, other)]
        return minutes, Handling(self._bits(repair.work), self._unless_all(begins), ends)

    def _proof(self, repair: ModelRepair) -> tuple[float, int]:
        """Minutes and stand of the verification, after the repair as it is made from here."""
        made = self._reached(repair.work.needs, self.standing.conditions)
        there = self._reached(repair.verification.needs, made)
        minutes = self._minutes(made, there)
        return (minutes if minutes < np.inf else 0.0), self.number(there)

    def _unless_all(self, stands: list[int]) -> tuple[int, ...]:
        return () if len(stands) == len(self._conditions) else tuple(stands)

    def _bits(self, work: Work) -> int:
        return sum(1 << self._setups.index(name) for name in self._opened(work))

    def _opened(self, work: Work) -> list[str]:
        """Access and equipment that the work asks for and that is not at hand yet."""
        at_hand = self.standing.opened | self.standing.fetched
        return [name for name in (*work.access, *work.equipment) if name not in at_hand]

    def _setup(self, name: str) -> Place:
        return self.model.access.get(name) or self.model.equipment[name]

    def _reached(self, needs: tuple[Match, ...], conditions: Conditions) -> Conditions:
        found = reach(self.model, needs, conditions)
        return conditions if found is None else found[1]

    def _minutes(self, here: Conditions, there: Conditions) -> float:
        wanted = {name: (there[name],) for name in self._relevant if there[name] != here[name]}
        standing = Standing(here, self.standing.opened, self.standing.fetched)
        taken = effort(self.model, Work(needs=(wanted,)), standing) if wanted else None
        return 0.0 if not wanted else np.inf if taken is None else taken.minutes


def _exactly(values: Conditions) -> Match:
    return {name: (value,) for name, value in values.items()}


def _met(needs: tuple[Match, ...], conditions: Conditions) -> bool:
    return not needs or any(matches(match, conditions) for match in needs)


def _row(spread: Array, found: Array | None) -> Array:
    """What a set makes of a sign; of a set that the readings exclude nothing is known."""
    total = 0.0 if found is None else float(found.sum())
    return np.asarray(found / total if found is not None and total > 0 else spread / spread.sum())


def _pattern_words(signs: Sequence[Indication], pattern: Sequence[str]) -> str:
    pairs = zip(signs, pattern, strict=True)
    return ", ".join(f"{sign.title} {sign.outcome_titles.get(o, o.replace('_', ' '))}" for sign, o in pairs)


def _fault_title(model: Model, name: str) -> str:
    component, _, _ = name.partition(".")
    return f"{model.components[component].title}: {model.faults[name].title}"
