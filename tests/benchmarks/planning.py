"""How planning does on made-up problems: exact solver against size, what lookahead loses, what shops' policies cost.

    python -m tests.benchmarks.planning [--problems N] [--only sizes|loss|policies]

Losses are exact: every outcome of a policy is followed. A plan of a limited search is one that was stopped after
so many steps. The policies' table is simulated, all policies on the same draws, with 95 per cent intervals.
"""

from __future__ import annotations

import argparse
import time

import numpy as np

from faultiso.base.problems import TooLarge
from faultiso.planning.advice import Advisor
from faultiso.planning.charting import chart_plan
from faultiso.planning.sequencing.generate import Kind, generate
from faultiso.planning.sequencing.moves import Moves
from faultiso.planning.sequencing.policies import (
    Follow,
    Policy,
    SymptomTable,
    cheapest_check_first,
    expected_minutes,
    most_probable_first,
    one_step,
)
from faultiso.planning.sequencing.problem import Array
from faultiso.planning.sequencing.search import Search, solve
from faultiso.planning.sequencing.simulate import Mean, mean, simulate

LOSS_KINDS = {
    "isolate, noise-free": Kind("isolate", faults=6, checks=6),
    "isolate, noisy": Kind("isolate", faults=4, checks=4, noise=0.1),
    "fix, noise-free": Kind(faults=5, checks=4),
    "fix, noisy": Kind(faults=5, checks=4, noise=0.1),
    "fix, several faults": Kind(faults=4, checks=3, noise=0.05, together=2),
    "fix, dependent repairs": Kind(faults=4, checks=3, noise=0.05, together=2, dependent=0.5),
    "fix, repairs that fail": Kind(faults=3, checks=3, noise=0.05, together=2, fails=0.1),
    "fix, cheap referral": Kind(faults=5, checks=4, noise=0.1, refer=60.0),
    "fix, wide costs": Kind(faults=5, checks=4, noise=0.1, cost_spread=100.0),
}
SIZES = (
    *(Kind("isolate", faults=n - 1, checks=n) for n in (8, 12, 16, 20)),
    *(Kind(faults=n, checks=n) for n in (4, 6, 8, 10)),
    *(Kind(faults=n, checks=n, noise=0.1) for n in (3, 4, 5, 6)),
    *(Kind(faults=n, checks=n, noise=0.05, together=2) for n in (3, 4, 5)),
)
LIMITED = (20, 100)


def sizes(megabytes: float) -> None:
    print("exact solver | states | checks | repairs | minutes | beliefs | seconds")
    for kind in SIZES:
        problem, start = generate(kind, 1), time.perf_counter()
        noise = "noisy" if kind.noise else "noise-free"
        words = f"{kind.goal}, {noise}, up to {kind.together} fault(s)"
        try:
            search = solve(problem, megabytes=megabytes)
            found = f"{search.root.high:.2f} | {search.nodes:,}"
        except TooLarge as too_large:
            found = f"{str(too_large)[:100]}... |"
        seconds = time.perf_counter() - start
        count = f"{len(problem.states)} | {kind.checks} | {len(problem.repairs)}"
        print(f"{words} | {count} | {found} | {seconds:.2f}", flush=True)


def loss_of(kind: Kind, seed: int) -> list[float]:
    """Share by which one step of lookahead, and searches stopped early, cost more than the best plan."""
    problem = generate(kind, seed)
    best = solve(problem).root.high
    costs = [expected_minutes(Moves(problem), one_step)]
    search = Search(problem)
    for steps in LIMITED:
        for _ in range(steps):
            search.step()
        costs.append(search.root.high)
    return [max(0.0, cost / best - 1.0) if best > 0 else 0.0 for cost in costs]


def losses(problems: int) -> None:
    names = ["one step", *(f"search of {sum(LIMITED[: n + 1])} steps" for n in range(len(LIMITED)))]
    print("what lookahead loses, in per cent: median / 90th percentile / worst (seed)")
    print("kind | " + " | ".join(names))
    everything = []
    for name, kind in LOSS_KINDS.items():
        found = np.array([loss_of(kind, seed) for seed in range(problems)])
        everything.append(found)
        print(f"{name} | " + " | ".join(_spread(column) for column in found.T), flush=True)
    print("all | " + " | ".join(_spread(column) for column in np.concatenate(everything).T))


def _spread(losses: Array) -> str:
    middle, late = np.percentile(100 * losses, [50, 90])
    return f"{middle:.2f} / {late:.2f} / {100 * losses.max():.2f} ({int(losses.argmax())})"


def policies(plays: int) -> None:
    for name in ("fix, noisy", "fix, several faults"):
        problem = generate(LOSS_KINDS[name], 1)
        search = solve(problem)
        order = tuple(range(len(problem.checks)))
        tried: dict[str, Policy] = {
            "best plan": Follow(search.choices()),
            "one step of lookahead": one_step,
            "most probable first": most_probable_first,
            "cheapest check first": cheapest_check_first,
            "symptom table top down": SymptomTable(order),
        }
        played = simulate(problem, tried, plays, seed=1)
        print(f"{name}: best {search.root.high:.2f} minutes; {plays:,} plays, 95 % intervals")
        print("policy | expected minutes | exact | good units removed | referred")
        for policy, result in played.items():
            exact = expected_minutes(Moves(problem), tried[policy])
            cells = [_words(mean(sample)) for sample in (result.minutes, result.serviceable, 1 - result.done)]
            print(f"{policy} | {cells[0]} | {exact:.2f} | {cells[1]} | {cells[2]}")


def _words(found: Mean) -> str:
    return f"{found.value:.2f} ({found.low:.2f} to {found.high:.2f})"


def demo(seconds: float) -> None:
    """The next action and a chart of the demo aircraft, for each of its commonest complaints."""
    from tests.benchmarks.charts import beliefs

    print("demo | next action, s | with other situations, s | chart: minutes, gap, seconds")
    for name, belief in beliefs()[:10]:
        started = time.perf_counter()
        Advisor(belief).advise()
        one = time.perf_counter()
        Advisor(belief).advise(4)
        looked = time.perf_counter()
        plan = chart_plan(belief, seconds).certificate
        took = time.perf_counter() - looked
        cells = f"{one - started:.2f} | {looked - one:.2f}"
        print(f"{name} | {cells} | {plan.expected_minutes:.0f}, {plan.gap:.1%}, {took:.1f}", flush=True)


def main() -> None:
    cli = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    cli.add_argument("--problems", type=int, default=56, help="problems of each kind")
    cli.add_argument("--plays", type=int, default=10_000)
    cli.add_argument("--megabytes", type=float, default=256.0)
    cli.add_argument("--seconds", type=float, default=10.0, help="for each chart of the demo")
    cli.add_argument("--only", choices=["sizes", "loss", "policies", "demo"])
    options = cli.parse_args()
    if options.only in (None, "demo"):
        demo(options.seconds)
    if options.only in (None, "sizes"):
        sizes(options.megabytes)
    if options.only in (None, "loss"):
        losses(options.problems)
    if options.only in (None, "policies"):
        policies(options.plays)


if __name__ == "__main__":
    main()
