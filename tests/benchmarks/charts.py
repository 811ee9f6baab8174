"""Charts of the demo aircraft's commonest complaints: minutes, bounds, gaps, other rates, and shop policies.

    python -m tests.benchmarks.charts [--seconds S] [--plays N] [--charts N]

The complaints are those of the tests, the ones that the model holds most probable first; each is charted from
the aircraft as it stands parked. "gap": what a better plan could save at most, certified. Rates times and over
three: the same problem with the odds of every fault moved, planned anew; told is what the first step becomes,
and what following the first plan would cost more there. Policies of a shop are played on the same draws.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from faultiso.belief.belief import Belief
from faultiso.planning.charting import pose
from faultiso.planning.posing import ENOUGH, Posed
from faultiso.planning.sequencing.bounds.certificate import certify
from faultiso.planning.sequencing.moves import Move
from faultiso.planning.sequencing.policies import (
    Follow,
    Policy,
    SymptomTable,
    cheapest_check_first,
    most_probable_first,
    one_step,
)
from faultiso.planning.sequencing.problem import Problem
from faultiso.planning.sequencing.search import Search, search_for
from faultiso.planning.sequencing.simulate import Played, mean, simulate
from tests.models.shipped import reasoner_of
from tests.models.test_patterns import job, rows_of

NAME = "whinchat-hydraulics"
ROWS = rows_of("patterns-systems-1-2.yaml")[NAME]["complaints"]
RATES = 3.0
SHOP = ("most probable first", "cheapest check first", "symptom table top down")


def beliefs() -> list[tuple[str, Belief]]:
    """Each complaint, the commonest first."""
    found = []
    reasoner = reasoner_of(NAME)
    start = {c.name: c.start for c in reasoner.model.conditions.values()}
    for complaint, row in ROWS.items():
        done = job(NAME, [{"at": at, "shows": shows} for at, shows in row["shown"].items()])
        assert done.timeline is not None
        readings = [reading for reading, _, _ in done.readings]
        found.append((complaint, reasoner.belief(done.timeline.then(start), readings)))
    return sorted(found, key=lambda item: -item[1].log2_evidence)


def scaled(problem: Problem, factor: float) -> Problem:
    """As if the odds of every fault were multiplied by ``factor``."""
    weights = problem.prior * np.array([factor ** s.bit_count() for s in problem.states])
    return replace(problem, prior=weights / weights.sum())


def title(move: Move, problem: Problem) -> str:
    if move.number < 0:
        return "end"
    return (*problem.checks, *problem.repairs)[move.number].title


def first(search: Search) -> Move:
    highs = search.highs(search.root)
    assert search.root.moves is not None
    return search.root.moves[highs.index(min(highs))]


def policies(search: Search, posed: Posed) -> dict[str, Policy]:
    order = {name: place for place, name in enumerate((*posed.model.indications, *posed.model.checks))}
    checks = posed.problem.checks
    table = sorted(range(len(checks)), key=lambda c: order.get(checks[c].name, len(order)))
    return {
        "chart": Follow(search.choices()),
        "one step": one_step,
        SHOP[0]: most_probable_first,
        SHOP[1]: cheapest_check_first,
        SHOP[2]: SymptomTable(tuple(table)),
    }


def chart(complaint: str, belief: Belief, seconds: float, plays: int) -> Mapping[str, Played]:
    posed = pose(belief)
    problem, started = posed.problem, time.perf_counter()
    search = search_for(problem, seconds * 2 / 3)
    low, bound = certify(search, seconds / 3)
    took, high = time.perf_counter() - started, search.root.high
    missing = int((np.cumsum(np.sort(belief.leading.posterior)[::-1]) < ENOUGH).sum())
    sets = f"over {missing}" if missing == len(belief.leading.sets) else str(missing + 1)
    kind = "noise-free" if problem.noise_free else "noisy"
    print(f"\n{complaint}: {high:.0f} min, bound {low:.0f} ({bound}), gap {1 - low / high:.1%}, {took:.0f} s")
    print(
        f"  {len(problem.states)} states ({sets} diagnoses cover 99 %), {len(problem.checks)} checks, {kind}"
    )
    print(f"  first: {title(first(search), problem)}")
    for words, factor in (("times", RATES), ("over", 1 / RATES)):
        print(f"  rates {words} three: {_with(scaled(problem, factor), search, seconds / 3)}")
    played = simulate(problem, policies(search, posed), plays, seed=1)
    for name, result in played.items():
        minutes, good = mean(result.minutes), mean(result.serviceable)
        print(
            f"  {name:24} {minutes.value:6.1f} ({minutes.low:.1f} to {minutes.high:.1f}) min, good units "
            f"removed {good.value:.3f} ({good.low:.3f} to {good.high:.3f}), referred {1 - result.done.mean():.1%}"
        )
    return played


def _with(other: Problem, search: Search, seconds: float) -> str:
    """What changes where the rates are others."""
    again = search_for(other, seconds)
    problem = search.moves.problem
    old = simulate(problem, {"": Follow(search.choices())}, 2000, seed=2, truth=other.prior)[""]
    new = simulate(other, {"": Follow(again.choices())}, 2000, seed=2)[""]
    more = mean(old.minutes - new.minutes)
    before, now = title(first(search), problem), title(first(again), other)
    step = "the same first step" if before == now else f"first step becomes {now}"
    return f"{again.root.high:.0f} min, {step}; the old chart costs {more.value:+.1f} ({more.low:+.1f} to {more.high:+.1f}) min"


def summary(every: list[Mapping[str, Played]]) -> None:
    """All charts together, each with the same weight."""
    print("\npolicy | minutes more than the chart (95 %) | good units removed (95 %)")
    for name in every[0]:
        more = mean(np.concatenate([played[name].minutes - played["chart"].minutes for played in every]))
        good = mean(np.concatenate([played[name].serviceable for played in every]))
        print(
            f"{name} | {more.value:+.1f} ({more.low:+.1f} to {more.high:+.1f}) | "
            f"{good.value:.3f} ({good.low:.3f} to {good.high:.3f})"
        )


def main() -> None:
    cli = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    cli.add_argument("--seconds", type=float, default=15.0, help="for each chart")
    cli.add_argument("--plays", type=int, default=2000)
    cli.add_argument("--charts", type=int, default=10)
    options = cli.parse_args()
    summary([chart(c, b, options.seconds, options.plays) for c, b in beliefs()[: options.charts]])


if __name__ == "__main__":
    main()
