"""What a person waits for: start-up, the first prompt, and the next question after each answer.

    python -m tests.benchmarks.interactive [--sessions N] [--model NAME]

Sessions are real isolations of a planted fault in memory, advice taken: a colleague answers every sign by a draw
from P(outcome | the planted fault, what was read so far). Each session begins with nothing compiled, as a new
process does. As in ``isolate``, the program works ahead while the person reads and works
(``session/foresight.py``): that time is not counted; a fifth of the sessions is walked once more with nothing
prepared. A step is from the answer to the next
question of what to do, its text included. Times are wall time of one process; the number of sets of conditions
with readings is told beside each figure.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator

import numpy as np

from faultiso.belief.belief import Contradiction
from faultiso.belief.reasoner import load_model
from faultiso.model.parts import Check, Indication
from faultiso.model.system import Model
from faultiso.session import events as kinds
from faultiso.session.answering import do
from faultiso.session.desk import Desk
from faultiso.session.foresight import foresee
from faultiso.session.isolation import Isolation, Lines, begin
from faultiso.session.views import proposal

STEPS = 12


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--sessions", type=int, default=200)
    options.add_argument("--model", default="whinchat-hydraulics")
    chosen = options.parse_args()
    for words in (["--help"], ["rank", chosen.model, "--json"]):
        print(f"faultiso {' '.join(words)}: {1000 * process_seconds(words):.0f} ms (median of 15 processes)")
    print(f"first prompt of isolate {chosen.model}: {1000 * first_prompt_seconds(chosen.model):.0f} ms")
    for name in ("first-light", "gusty-hill", "hot-cart"):
        head, asked = practice_seconds(name)
        print(f"practice {name}: write-up {1000 * head:.0f} ms, first prompt {1000 * asked:.0f} ms")
    for ahead in (True, False):
        sessions = chosen.sessions if ahead else chosen.sessions // 5
        waits = step_seconds(chosen.model, sessions, ahead)
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
    return statistics.median([_until(b"> ", "isolate", model) for _ in range(runs + 1)][1:])


def practice_seconds(case: str, runs: int = 7) -> tuple[float, float]:
    """Median times from the start of the process to the write-up, and to the first question."""
    with tempfile.TemporaryDirectory() as home:
        found = [
            [_until(text, "practice", case, home=home) for _ in range(runs + 1)][1:]
            for text in (b"Write-up", b"0 min > ")
        ]
    return statistics.median(found[0]), statistics.median(found[1])


def _until(text: bytes, *words: str, home: str = "") -> float:
    """Seconds until the program has written this on a terminal; ``home``: where it keeps its files."""
    import pty

    parent, child = pty.openpty()
    environment = {**os.environ, "TERM": "dumb", **({"FAULTISO_HOME": home} if home else {})}
    before = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "faultiso", *words],
        stdin=child, stdout=child, stderr=child, env=environment, close_fds=True,
    )  # fmt: skip
    os.close(child)
    seen = b""
    while text not in seen:
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
        try:
            for sets, seconds in walk(model, faults[number % len(faults)], rng, ahead):
                found[sets].append(seconds)
        except Contradiction:
            continue
    return found


def walk(model: Model, fault: str, rng: np.random.Generator, ahead: bool) -> Iterator[tuple[int, float]]:
    """One session; yields after each answer (sets of conditions with readings, seconds to the next question)."""
    session = begin(model, Lines())
    desk = session.desk
    _report(session, fault, rng)
    for line in ("2", ""):
        yield _sets(desk), _answered(session, line, ahead)
    for _ in range(STEPS):
        proposed = proposal(desk)
        sign = _sign(model, proposed.name) if proposed.kind in ("look", "check") else None
        if sign is None or sign.name not in desk.belief.open:
            # a repair, an end or a second reading is proposed: look further, for the length of the session
            named = [name for name, sign in desk.belief.open.items() if sign.bits > 0.02]
            if not named:
                return
            sign = _sign(model, named[0])
        assert sign is not None
        answer = _drawn(desk, sign.name, fault, rng)
        do(desk, sign.name)
        while desk.state.pick is not None and not desk.state.pick.ready:
            session.take("ready")
        yield _sets(desk), _answered(session, answer, ahead)


def _report(session: Isolation, fault: str, rng: np.random.Generator) -> None:
    """The complaint: one situation, and what six of the indications show in it."""
    desk, model = session.desk, session.desk.model
    situation = list(model.situations.values())[rng.integers(len(model.situations))]
    desk.record(kinds.SEEN, settings=dict(situation.values), situation=situation.name)
    for name in rng.permutation(list(model.indications))[:6].tolist():
        answer = _drawn(desk, name, fault, rng)
        desk.record(kinds.PICKED, what="report", name=name)
        session.take(answer)
    desk.record(kinds.REPORTS_DONE)


def _answered(session: Isolation, line: str, ahead: bool) -> float:
    """Seconds from the answer to the next question."""
    session.question()
    if ahead:
        foresee(session.desk)
    before = time.perf_counter()
    session.take(line)
    session.question()
    return time.perf_counter() - before


def _drawn(desk: Desk, name: str, fault: str, rng: np.random.Generator) -> str:
    """What the sign shows with that fault, in words: a draw, given all that was read so far."""
    sign = desk.belief.open[name]
    alone = frozenset((fault,))
    place = desk.belief.leading.sets.index(alone) if alone in desk.belief.leading.sets else 0
    row = sign.given[place] / sign.given[place].sum()
    outcome = sign.outcomes[int(rng.choice(len(row), p=row))]
    part = _sign(desk.model, name)
    assert part is not None
    return part.outcome_titles.get(outcome, outcome.replace("_", " "))


def _sign(model: Model, name: str) -> Indication | Check | None:
    return model.indications.get(name) or model.checks.get(name)


def _sets(desk: Desk) -> int:
    """In how many sets of conditions something was read."""
    return len({reading.moment for reading in desk.state.readings})


if __name__ == "__main__":
    main()
