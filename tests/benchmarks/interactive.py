"""What a person waits for: start-up, the first prompt, and the next question after each answer.

    python -m tests.benchmarks.interactive [--sessions N] [--model NAME]

Sessions are recorded walks by the program's own advice on a planted fault: the colleague answers every sign
by a draw from P(outcome | the planted fault, what was read so far). Times are wall time of one process on
this machine; the number of sets of conditions with readings is told beside each figure.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from faultiso.belief.belief import Belief, Contradiction
from faultiso.belief.evidence import Reading
from faultiso.belief.prospects import Prospect
from faultiso.belief.reasoner import Reasoner, load_model
from faultiso.model.effort import Standing
from faultiso.network.timeline import Timeline, done, start
from faultiso.planning.advice import Advisor

STEPS = 12


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--sessions", type=int, default=200)
    options.add_argument("--model", default="whinchat-hydraulics")
    chosen = options.parse_args()
    for words in (["--help"], ["rank", chosen.model, "--json"]):
        print(f"faultiso {' '.join(words)}: {1000 * process_seconds(words):.0f} ms (median of 15 processes)")
    print(f"first prompt of isolate {chosen.model}: {1000 * first_prompt_seconds(chosen.model):.0f} ms")
    waits = step_seconds(chosen.model, chosen.sessions)
    for sets in sorted(waits):
        times = sorted(waits[sets])
        late = times[min(len(times) - 1, int(0.95 * len(times)))]
        print(
            f"next question with {sets} evidenced sets of conditions: median {1000 * statistics.median(times):.0f} ms, "
            f"95th percentile {1000 * late:.0f} ms, longest {1000 * times[-1]:.0f} ms, {len(times)} steps"
        )
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


def process_seconds(words: list[str], runs: int = 15) -> float:
    """Median wall time of a whole process."""
    found = []
    for _ in range(runs + 1):
        before = time.perf_counter()
        subprocess.run([sys.executable, "-m", "faultiso", *words], capture_output=True, check=True)
        found.append(time.perf_counter() - before)
    return statistics.median(found[1:])


def first_prompt_seconds(model: str, runs: int = 15) -> float:
    """Median time from the start of the process to the first question on a terminal."""
    found = []
    for _ in range(runs + 1):
        found.append(_until_prompt(model))
    return statistics.median(found[1:])


def _until_prompt(model: str) -> float:
    import pty

    parent, child = pty.openpty()
    environment = {**os.environ, "TERM": "dumb", "FAULTISO_HOME": "/nonexistent-home-of-a-benchmark"}
    environment.pop("FAULTISO_HOME")
    before = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "faultiso", "isolate", model],
        stdin=child, stdout=child, stderr=child, env=environment, close_fds=True,
    )  # fmt: skip
    os.close(child)
    seen = b""
    while b"> " not in seen:
        part = os.read(parent, 65536)
        if not part:
            break
        seen += part
    waited = time.perf_counter() - before
    process.kill()
    process.wait()
    os.close(parent)
    return waited


def step_seconds(name: str, sessions: int) -> dict[int, list[float]]:
    """Seconds of every step, by the number of sets of conditions in which something was read."""
    reasoner = load_model(name)
    found: dict[int, list[float]] = defaultdict(list)
    faults = list(reasoner.model.faults)
    for number in range(sessions):
        rng = np.random.default_rng(number)
        for sets, seconds in walk(reasoner, faults[number % len(faults)], rng):
            found[sets].append(seconds)
    return found


def walk(reasoner: Reasoner, fault: str, rng: np.random.Generator) -> Iterator[tuple[int, float]]:
    """One session; yields after each answer (sets of conditions with readings, seconds to the next question)."""
    model = reasoner.model
    situations = [s.values for s in model.situations.values()]
    timeline = start(situations[rng.integers(len(situations))])
    readings: list[Reading] = []
    belief = reasoner.belief(timeline, readings)
    for sign in rng.permutation(list(model.indications))[:6]:
        readings.append(_answer(belief, str(sign), fault, timeline.now, rng))
    timeline = timeline.then(model.start)
    standing = Standing(model.start)
    for _ in range(STEPS):
        before = time.perf_counter()
        belief = reasoner.belief(timeline, readings, standing, reader=1)
        try:
            actions = Advisor(belief).advise().actions
        except Contradiction:
            return
        yield len({reading.moment for reading in readings}), time.perf_counter() - before
        names = [action.name for action in actions if action.kind in ("check", "look")]
        if not names:
            names = [name for name, sign in belief.open.items() if sign.bits > 0.02]
        if not names:
            return
        name = names[0]
        prospect = belief.prospects[name]
        answer = _answer(belief, name, fault, prospect.timeline.now, rng)
        timeline, standing = _after(prospect, standing, timeline)
        readings.append(
            Reading(name, outcome=answer.outcome, moment=min(answer.moment, timeline.now), draw=1)
        )


def _after(prospect: Prospect, standing: Standing, timeline: Timeline) -> tuple[Timeline, Standing]:
    if prospect.effort is None:
        return timeline, standing
    at = prospect.timeline.after_work(done(prospect.sign.name, prospect.sign.work))  # type: ignore[union-attr]
    return at, prospect.effort.standing


def _answer(belief: Belief, name: str, fault: str, moment: int, rng: np.random.Generator) -> Reading:
    sign = belief.open[name]
    alone = frozenset((fault,))
    place = belief.leading.sets.index(alone) if alone in belief.leading.sets else 0
    row = sign.given[place] / sign.given[place].sum()
    return Reading(name, outcome=sign.outcomes[int(rng.choice(len(row), p=row))], moment=moment)


if __name__ == "__main__":
    main()
