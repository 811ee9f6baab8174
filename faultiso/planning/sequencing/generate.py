"""Made-up problems, the same for the same seed: for tests and measurements."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from faultiso.planning.sequencing.problem import Array, Check, Costs, Deferral, Goal, Problem, Repair
from faultiso.planning.sequencing.site import Handling, Setup, Site


@dataclass(frozen=True)
class Kind:
    """What problems to make.

    ``noise``: mean chance of a wrong reading; ``together``: most faults at once; ``cost_spread``: largest
    minutes over smallest; ``dependent``: chance that a repair clears a second fault; ``fails``: chance that
    a repair removes nothing; ``nothing_wrong``: probability of no fault; ``rate_spread``: standard
    deviation of the logarithm of the odds; ``looked_at``: chance that a repair takes 10 minutes more where a
    fault is found; ``setups``: accesses and equipment that actions may ask for; ``stands``: sets of
    conditions in which they may have to be made, a fifth of the changes between them impossible where all is
    to be fixed; ``deferrals``: lines of a deferral sheet.
    """

    goal: Goal = "fix"
    faults: int = 4
    checks: int = 3
    noise: float = 0.0
    together: int = 1
    cost_spread: float = 10.0
    dependent: float = 0.0
    fails: float = 0.0
    false_verified: float = 0.0
    looked_at: float = 0.0
    nothing_wrong: float = 0.1
    rate_spread: float = 1.0
    refer: float = 300.0
    setups: int = 0
    stands: int = 1
    deferrals: int = 0


def generate(kind: Kind, seed: int) -> Problem:
    """A problem of a kind."""
    random = np.random.default_rng(seed)
    sets = [s for n in range(1, kind.together + 1) for s in combinations(range(kind.faults), n)]
    states = (0, *(sum(1 << f for f in chosen) for chosen in sets))
    plain = Problem(
        faults=tuple(f"fault {f + 1}" for f in range(kind.faults)),
        states=states,
        prior=_prior(kind, states, random),
        checks=tuple(_check(kind, states, c, random) for c in range(kind.checks)),
        repairs=tuple(_repair(kind, f, random) for f in range(kind.faults)),
        goal=kind.goal,
        costs=Costs(refer=kind.refer, false_verified=3 * kind.refer, deferred=kind.refer / 3),
    )
    return _on_site(kind, plain, random)


def _on_site(kind: Kind, plain: Problem, random: np.random.Generator) -> Problem:
    """The same where actions ask for setups and stands, and some faults may be deferred."""
    if kind.setups == 0 and kind.stands == 1 and kind.deferrals == 0:
        return plain
    setups = [
        Setup(f"setup {k + 1}", f"setup {k + 1}", float(random.integers(3, 20))) for k in range(kind.setups)
    ]
    changes = random.integers(1, 30, (kind.stands, kind.stands)).astype(float)
    if kind.goal == "fix":
        changes[random.random(changes.shape) < 0.2] = np.inf
    np.fill_diagonal(changes, 0.0)
    stands = tuple(f"stand {k + 1}" for k in range(kind.stands))
    lines = tuple(
        Deferral(f"line {d + 1}", f"line {d + 1}", 10.0, int(random.integers(1, 1 << kind.faults)))
        for d in range(kind.deferrals)
    )
    return replace(
        plain,
        checks=tuple(replace(check, handling=_handling(kind, random)) for check in plain.checks),
        repairs=tuple(replace(repair, handling=_handling(kind, random)) for repair in plain.repairs),
        deferrals=lines if kind.goal == "fix" else (),
        site=Site(tuple(setups), stands, changes),
    )


def _handling(kind: Kind, random: np.random.Generator) -> Handling:
    """Each setup is asked for by a third of the actions; each stand does for half of them."""
    asked = sum(1 << k for k in range(kind.setups) if random.random() < 1 / 3)
    begins = tuple(stand for stand in range(kind.stands) if random.random() < 1 / 2)
    ends = int(random.integers(kind.stands)) if random.random() < 1 / 2 else None
    return Handling(asked, begins, ends)


def _prior(kind: Kind, states: tuple[int, ...], random: np.random.Generator) -> Array:
    """Odds of each fault spread log-normally; several at once as if independent."""
    odds = 0.1 * np.exp(kind.rate_spread * random.standard_normal(kind.faults))
    weights = np.array([np.prod([o for f, o in enumerate(odds) if s >> f & 1]) for s in states])
    weights[0] = 0.0
    weights *= (1.0 - kind.nothing_wrong) / weights.sum()
    weights[0] = kind.nothing_wrong
    return weights


def _minutes(kind: Kind, random: np.random.Generator, least: float) -> float:
    return round(float(least * kind.cost_spread ** random.random()), 1)


def _check(kind: Kind, states: tuple[int, ...], number: int, random: np.random.Generator) -> Check:
    """It fails where any of the faults that it feels is there; missed and falsely shown now and then."""
    felt = sum(1 << f for f in range(kind.faults) if random.random() < 0.5) or 1 << number % kind.faults
    miss, alarm = np.minimum(kind.noise * random.exponential(size=2), 0.45)
    fails = np.array([1.0 - miss if s & felt else alarm for s in states])
    given = np.stack([1.0 - fails, fails], axis=1)
    name = f"check {number + 1}"
    return Check(name, name, _minutes(kind, random, 3.0), ("passes", "fails"), given)


def _repair(kind: Kind, fault: int, random: np.random.Generator) -> Repair:
    clears = 1 << fault
    if random.random() < kind.dependent:
        clears |= 1 << int(random.integers(kind.faults))
    name = f"repair {fault + 1}"
    extra = 10.0 if random.random() < kind.looked_at else 0.0
    return Repair(name, name, _minutes(kind, random, 15.0), clears, kind.fails, kind.false_verified, extra)
