"""What a person waits for: start-up, the first prompt, and the next question after each answer.

    python -m tests.benchmarks.interactive [--sessions N] [--model NAME]

Sessions are recorded walks by the program's own advice on a planted fault: the colleague answers every sign
by a draw from P(outcome | the planted fault, what was read so far). Each session begins with nothing compiled,
as a new process does. As in ``isolate``, the program works ahead while the person reads and works
(``session/foresight.py``): that time is not counted, and told apart. Times are wall time of one process; the
number of sets of conditions with readings is told beside each figure.
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
from dataclasses import replace

import numpy as np

from faultiso.belief.belief import Belief, Contradiction
from faultiso.belief.evidence import Reading
from faultiso.belief.prospects import Prospect
from faultiso.belief.reasoner import Reasoner, load_model
from faultiso.model.effort import Standing
from faultiso.network.timeline import Timeline, done, start
from faultiso.planning.advice import Advice, Advisor

STEPS = 12


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--sessions", type=int, default=200)
    options.add_argument("--model", default="whinchat-hydraulics")
    chosen = options.parse_args()
    for words in (["--help"], ["rank", chosen.model, "--json"]):
        print(f"faultiso {' '.join(words)}: {1000 * process_seconds(words):.0f} ms (median of 15 processes)")
    print(f"first prompt of isolate {chosen.model}: {1000 * first_prompt_seconds(chosen.model):.0f} ms")
    for ahead in (True, False):
        waits = step_seconds(chosen.model, chosen.sessions, ahead)
        told = "worked ahead" if ahead else "nothing prepared"
        for sets in sorted(waits):
            print(f"next question, {told}, {sets} evidenced sets of conditions: {in_words(waits[sets])}")
        print(
            f"next question, {told}, every step: {in_words([t for times in waits.values() for t in times])}"
        )
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


def in_words(times: list[float]) -> str:
    """Median, 95th percentile, longest."""
    ordered = [1000 * t for t in sorted(times)]
    late = ordered[min(len(ordered) - 1, int(0.95 * len(ordered)))]
    median = statistics.median(ordered)
    return f"median {median:.0f} ms, 95th percentile {late:.0f} ms, longest {ordered[-1]:.0f} ms, {len(times)} steps"


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


def step_seconds(name: str, sessions: int, ahead: bool) -> dict[int, list[float]]:
    """Seconds of every step, by the number of sets of conditions in which something was read."""
    model = load_model(name).model
    found: dict[int, list[float]] = defaultdict(list)
    faults = list(model.faults)
    for number in range(sessions):
        rng = np.random.default_rng(number)
        for sets, seconds in walk(Reasoner(model), faults[number % len(faults)], rng, ahead):
            found[sets].append(seconds)
    return found


def walk(
    reasoner: Reasoner, fault: str, rng: np.random.Generator, ahead: bool
) -> Iterator[tuple[int, float]]:
    """One session; yields after each answer (sets of conditions with readings, seconds to the next question)."""
    model = reasoner.model
    situations = [s.values for s in model.situations.values()]
    timeline = start(situations[rng.integers(len(situations))])
    readings: list[Reading] = []
    belief = Reasoner(model).belief(timeline, readings)
    for sign in rng.permutation(list(model.indications))[:6]:
        readings.append(_answer(belief, str(sign), fault, timeline.now, rng))
    timeline = timeline.then(model.start)
    standing = Standing(model.start)
    if ahead:
        _next(reasoner, timeline, [*readings[:-1], readings[-1]], standing)
    for _ in range(STEPS):
        before = time.perf_counter()
        advised = _next(reasoner, timeline, readings, standing)
        seconds = time.perf_counter() - before
        if advised is None:
            return
        belief, advice = advised
        yield len({reading.moment for reading in readings}), seconds
        names = [action.name for action in advice.actions if action.kind in ("check", "look")]
        names += [name for name, sign in belief.open.items() if sign.bits > 0.02]
        if not names:
            return
        prospect = belief.prospects[names[0]]
        after, moved = _after(prospect, standing, timeline)
        answer = _answer(belief, names[0], fault, min(prospect.timeline.now, after.now), rng)
        if ahead:
            opened = belief.open[names[0]]
            likely = opened.outcomes[int(opened.spread.argmax())]
            _next(reasoner, after, [*readings, replace(answer, outcome=likely)], moved)
        timeline, standing = after, moved
        readings.append(answer)


def _next(
    reasoner: Reasoner, timeline: Timeline, readings: list[Reading], standing: Standing
) -> tuple[Belief, Advice] | None:
    """What is computed between an answer and the next question."""
    belief = reasoner.belief(timeline, readings, standing, reader=1)
    try:
        _ = belief.left_out
        return belief, Advisor(belief).advise()
    except Contradiction:
        return None


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
    return Reading(name, outcome=sign.outcomes[int(rng.choice(len(row), p=row))], moment=moment, draw=1)


if __name__ == "__main__":
    main()
