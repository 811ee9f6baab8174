"""Learning from history: do 90 % intervals hold 90 % of truths, what does bias do, how long take a million rows?

    python -m tests.benchmarks.learning [histories]          (default 1000; ten minutes or so)

Truths are drawn from the very priors that learning starts from, so that intervals should hold them as often as
they promise, whatever the number of rows; of fixed truths the error is told in stated standard deviations.
"""

from __future__ import annotations

import csv
import math
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from itertools import cycle, islice
from pathlib import Path

import numpy as np

from faultiso.learning.figures import Figure
from faultiso.learning.fit import share_interval
from faultiso.learning.history import load_history
from faultiso.learning.learn import Proposal, learn
from faultiso.learning.problem import Strength
from faultiso.learning.synthetic import BIASES, Bias, drawn_truth, synthetic
from faultiso.learning.wording import HEADS
from faultiso.learning.writing import history_rows
from faultiso.model.system import Model
from tests.learning.shop import evidence, levelled, rig

SIZES = (20, 50, 200, 500)
HISTORIES, FIXED, BIASED = 1000, 200, 60
MILLION = 1_000_000


def proposals(
    model: Model, rows: int, seed: int, truth: dict[Figure, float], biases: dict[Bias, float] | None = None
) -> tuple[Proposal, ...]:
    return learn(model, evidence(synthetic(model, rows, seed, truth, biases), model)).proposals


def coverage(model: Model, histories: int) -> None:
    """Pooled, and by number of rows and figure."""
    inside: dict[str, list[bool]] = {}
    below, above = [], []
    for seed, rows in enumerate(islice(cycle(SIZES), histories)):
        truth = drawn_truth(model, Strength(), seed)
        for p in proposals(model, rows, seed, truth):
            low, high = p.interval
            held = low <= truth[p.figure] <= high
            for key in ("pooled", f"{rows} rows", p.figure.name):
                inside.setdefault(key, []).append(held)
            below.append(truth[p.figure] < low)
            above.append(truth[p.figure] > high)
    print(f"{histories} histories, truths from the prior: share of 90 % intervals that hold the truth")
    for key in sorted(inside, key=lambda name: (name != "pooled", "rows" not in name)):
        yes, number = sum(inside[key]), len(inside[key])
        low, high = share_interval(yes, number, 0.95)
        print(f"  {key:34} {yes / number:.4f}   95 % interval {low:.4f} to {high:.4f}   of {number}")
    print(f"  truths below the interval {np.mean(below):.4f}, above {np.mean(above):.4f}\n")


def fixed(model: Model, histories: int, rows: int = 500) -> None:
    """The model's own figures as the truth, priors that hardly count: error over stated deviation."""
    found: dict[str, list[float]] = {}
    for seed in range(histories):
        drawn = evidence(synthetic(model, rows, seed), model)
        for p in learn(model, drawn, Strength(events=0.5, rows=1.0)).proposals:
            found.setdefault(p.figure.name, []).append(off(p))
    print(f"fixed truth, {histories} histories of {rows} rows: error in stated standard deviations")
    for name, errors in found.items():
        mean, deviation = float(np.mean(errors)), float(np.std(errors, ddof=1))
        print(
            f"  {name:34} mean {mean:+.3f} +- {deviation / math.sqrt(histories):.3f}   deviation {deviation:.3f}"
        )
    print()


def off(p: Proposal) -> float:
    def x(value: float) -> float:
        return math.log(value) if p.figure.kind == "rate" else math.log(value / (1 - value))

    low, high = map(x, p.interval)
    return (x(p.mode) - x(p.before)) / ((high - low) / 3.29)


def biased(model: Model, histories: int) -> None:
    """What intervals hold where rows are biased, and where the truth then lies."""
    print(f"biased rows, {histories} histories each: share of intervals that hold the truth (below, above)")
    for bias, (what, share) in BIASES.items():
        print(f"  {bias}: {what}, {share:g} of the time")
        for rows in (20, 100, 500):
            held, missed = [], dict[str, list[int]]()
            for seed in range(histories):
                truth = drawn_truth(model, Strength(), 10_000 + seed)
                for p in proposals(model, rows, seed, truth, {bias: share}):
                    side = int(truth[p.figure] > p.interval[1]) - int(truth[p.figure] < p.interval[0])
                    held.append(side == 0)
                    missed.setdefault(p.figure.name, []).append(side)
            worst = sorted(missed, key=lambda name: -np.mean(np.abs(missed[name])))[:3]
            told = ", ".join(f"{n} {np.mean(np.abs(missed[n])):.2f} ({_side(missed[n])})" for n in worst)
            print(f"    {rows:4} rows   {np.mean(held):.3f}   missed most: {told}")
    print()


def _side(sides: list[int]) -> str:
    return "too low" if sum(sides) > 0 else "too high"


def million(model: Model, rows: int) -> None:
    """Drawn, written, read and learnt from; memory is the largest that the process has had so far."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "history.csv"
        started = time.monotonic()
        with path.open("w", newline="", encoding="utf-8") as stream:
            writer = csv.writer(stream)
            writer.writerow(HEADS)
            writer.writerows(_repeated(model, rows))
        print(
            f"{rows:,} rows, {path.stat().st_size / 1e6:.0f} MB, drawn in {time.monotonic() - started:.0f} s"
        )
        before, started = _memory(), time.monotonic()
        history = load_history(path, model)
        read = time.monotonic() - started
        learnt = learn(model, history.evidence)
    spent = time.monotonic() - started
    print(
        f"  read {read:.1f} s, learnt {spent - read:.1f} s; {len(history.evidence.rows)} kinds of row, "
        f"{learnt.rows:,} used; memory {_memory():.0f} MB (before reading {before:.0f} MB)"
    )


def _repeated(model: Model, rows: int) -> Iterator[tuple[str | float, ...]]:
    """Drawn histories one after the other."""
    for seed in range(math.ceil(rows / 100_000)):
        yield from history_rows(synthetic(model, min(100_000, rows), seed).orders)


def _memory() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000


def main() -> None:
    histories = int(sys.argv[1]) if len(sys.argv) > 1 else HISTORIES
    model = rig()
    coverage(model, histories)
    coverage(levelled(), histories)
    fixed(model, min(FIXED, histories))
    biased(model, min(BIASED, histories))
    million(model, MILLION)


if __name__ == "__main__":
    main()
