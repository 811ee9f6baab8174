"""Isolations by the program's own recommendations: does it come to the right unit, and at what price?

    python -m tests.benchmarks.isolations [--sessions N] [--model NAME] [--seed S] [--transcripts FOLDER]

Faults are planted at random, by turns one and two at once. The complaint is what shows in the situation in
which most is wrong (up to three signs; the others are not known); then everything that is proposed is done, and
a colleague tells the truth about every sign (tests/session/colleague.py: each effect that is more likely than
not is there). A fault that shows in no situation is reported as nothing and left out, and counted.
"""

from __future__ import annotations

import argparse
import statistics
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from faultiso.language.load import read_model
from faultiso.language.shipped import find_model
from faultiso.model.expected import expected
from faultiso.model.parts import Component
from faultiso.model.system import Model
from faultiso.session.isolation import Isolation, Lines, begin
from tests.session.colleague import Colleague, likely_as_certain

REPORTED = 3


@dataclass(frozen=True)
class Outcome:
    """How one isolation ended. ``good_removed``: units taken off in which nothing was wrong."""

    faults: tuple[str, ...]
    end: str
    cleared: int
    good_removed: int
    minutes: float
    lines: tuple[str, ...]


def complaint(sure: Model, faults: set[str]) -> tuple[str, list[str]] | None:
    """The situation in which most indications are not as usual, and up to three of these; None if none is."""
    found: list[tuple[int, str, list[str]]] = []
    for situation in sure.situations.values():
        normal = expected(sure, situation.values)
        shown = expected(sure, situation.values, faults)
        wrong = [name for name in sure.indications if normal[name] != shown[name]]
        found.append((len(wrong), situation.name, wrong[:REPORTED]))
    most = max(found, key=lambda item: item[0])
    return (most[1], most[2]) if most[0] else None


def isolate(
    model: Model, faults: set[str], situation: str, reports: list[str]
) -> tuple[Isolation, Colleague]:
    """One isolation, worked until it is over."""
    colleague = Colleague(model, set(faults), situation, [model.indications[s].title for s in reports])
    session = colleague.work(begin(model, Lines()), most=160)
    return session, colleague


def outcome(model: Model, faults: set[str], session: Isolation, colleague: Colleague) -> Outcome:
    units = {fault.name: component for component in model.components.values() for fault in component.faults}
    wrong = {units[name].name for name in faults}
    removed = [model.repairs[repair.name] for repair in session.desk.state.repairs]
    good = [repair for repair in removed if not _touches(repair.clears, units, wrong) and repair.clears]
    end = session.desk.state.end
    return Outcome(
        faults=tuple(sorted(faults)),
        end=end.how if end else "not over",
        cleared=len(faults) - len(colleague.faults & faults),
        good_removed=len(good),
        minutes=session.desk.state.minutes,
        lines=tuple(colleague.lines),
    )


def _touches(clears: tuple[str, ...], units: dict[str, Component], wrong: set[str]) -> bool:
    return any(units[name].name in wrong for name in clears)


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--sessions", type=int, default=20)
    options.add_argument("--model", default="whinchat-hydraulics")
    options.add_argument("--seed", type=int, default=0)
    options.add_argument("--transcripts", type=Path)
    chosen = options.parse_args()
    model = read_model(find_model(chosen.model))
    sure = likely_as_certain(model)
    rng = np.random.default_rng(chosen.seed)
    found: list[Outcome] = []
    silent = 0
    while len(found) < chosen.sessions:
        count = 1 + len(found) % 2
        faults = set(rng.choice(sorted(model.faults), count, replace=False).tolist())
        seen = complaint(sure, faults)
        if seen is None:
            silent += 1
            continue
        try:
            session, colleague = isolate(model, faults, *seen)
        except AssertionError:
            result = Outcome(tuple(sorted(faults)), "not over after 160 lines", 0, 0, 0.0, ())
        else:
            result = outcome(model, faults, session, colleague)
        found.append(result)
        print(
            f"{', '.join(result.faults)}: {result.end}; {result.cleared} of {len(result.faults)} cleared, "
            f"{result.good_removed} good taken off, {result.minutes:.0f} min",
            flush=True,
        )
        if chosen.transcripts:
            chosen.transcripts.mkdir(exist_ok=True)
            text = "\n".join(result.lines) + "\n"
            (chosen.transcripts / f"{len(found):02}.answers").write_text(text, encoding="utf-8")
    whole = sum(result.cleared == len(result.faults) for result in found)
    print(f"{whole} of {len(found)} had every fault cleared; {silent} drawn sets that show nothing left out")
    print("ends:", ", ".join(f"{how} {count}" for how, count in Counter(r.end for r in found).most_common()))
    print(f"serviceable units taken off: {sum(r.good_removed for r in found)}")
    print(f"minutes: mean {statistics.mean(r.minutes for r in found):.0f}")


if __name__ == "__main__":
    main()
