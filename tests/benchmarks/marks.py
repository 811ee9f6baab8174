"""Do marks follow skill, and each habit its own criterion? Simulated apprentices, graded by the default rubric.

    python -m tests.benchmarks.marks FOLDER [--apprentices N] [--cases N] [--model NAME] [--each N] [--knobs N] [--processes N]

Each apprentice works every case, or ``--each`` of them by turns, so that every case is worked by as many; their
mark is the mean of how far they were above the mean of each case. Spearman's correlation with the skill that
they were made with tells whether the code marks what it should. The table of knobs compares sessions of the same
skill and luck with one habit turned from nothing to fully on: points in 100 that each criterion loses.
This tests the code, not whether marks are valid for people. Half of the cases (every second one by name) are
held out of any tuning, and used here by default.

Sessions are written into FOLDER, and what is there is not worked again: the same words go on where they were
stopped. Positions that were judged are remembered there too.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from faultiso.assessment.classes.judging import Judged
from faultiso.assessment.classes.many import Judging, cores, judged_files
from faultiso.assessment.gathering import files_of
from faultiso.assessment.grade import CRITERIA, Grade
from faultiso.assessment.rubric import shipped_rubric
from faultiso.assessment.statistics.association import spearman
from faultiso.casebook.library import case_files
from faultiso.casebook.load import read_case
from faultiso.casebook.models import Models
from faultiso.practice.apprentices.apprentice import HABITS, Apprentice, cohort
from faultiso.practice.apprentices.many import work_many, worked_in
from faultiso.session.home import Home

EVERY = ("whinchat-hydraulics", "whinchat-dc-power", "workshop-power-cart")
BASE = "none"
SKILL_OF_KNOBS = 0.8
Grades = dict[tuple[str, str], Grade]


def held_out(models: Sequence[str], most: int) -> dict[str, Path]:
    """Every second case by name, of these models."""
    read = Models()
    of_models = [name for name, path in case_files().items() if read_case(path, read)[1].name in models]
    return {name: case_files()[name] for name in of_models[1::2][:most]}


@dataclass(frozen=True)
class Shop:
    """Where sessions are worked and graded: one folder of logs for each case and group of people."""

    folder: Path
    processes: int

    def grades(
        self, case: str, path: Path, group: str, people: Sequence[Apprentice], who: Collection[int] = ()
    ) -> Grades:
        """The grades of these people at a case, by candidate and case; worked first where they were not.

        ``who``: the numbers of those who work it; none: all.
        """
        place = self.folder / group / case
        others = {(f"{n:04d}", case) for n in range(1, len(people) + 1) if who and n not in who}
        work_many([path], people, place, self.processes, there=worked_in(place) | others)
        judging = Judging(shipped_rubric(), None, Home(self.folder))
        found = judged_files(files_of([place / "sessions"]), judging, self.processes)
        return {key: grade for each in found for key, grade in _grade(each)}


def _grade(each: Judged) -> list[tuple[tuple[str, str], Grade]]:
    """One or none: a session that was stopped halfway was worked again, and is in another log."""
    if each.outcome is None:
        return []
    return [((each.outcome.grade.candidate, each.outcome.grade.case), each.outcome.grade)]


def skill(shop: Shop, held: dict[str, Path], apprentices: int, each: int) -> None:
    people = cohort(apprentices, seed=1)
    skills = np.array([person.skill for person in people])
    totals = np.full((len(people), len(held)), np.nan)
    for column, (case, path) in enumerate(held.items()):
        started = time.perf_counter()
        who = [number for number in range(len(people)) if (column - number) % len(held) < each]
        found = shop.grades(case, path, f"skill-{apprentices}", people, {number + 1 for number in who})
        totals[who, column] = [found[f"{number + 1:04d}", case].total for number in who]
        own = spearman(skills[who].tolist(), totals[who, column].tolist())
        took = (time.perf_counter() - started) / len(who)
        print(f"{case}: {own.value} ({len(who)} people), {took:.2f} s a session with its grading", flush=True)
    marks = np.nanmean(totals - np.nanmean(totals, axis=0), axis=1) + np.nanmean(totals)
    found_of_all = spearman(skills.tolist(), marks.tolist())
    print(
        f"all: Spearman of skill and mark {found_of_all.value} ({len(people)} people, {len(held)} cases, "
        f"{min(each, len(held))} worked by each)"
    )
    thirds = np.array_split(marks[np.argsort(skills, kind="stable")], 3)
    print("mean mark by third of skill:", " / ".join(f"{part.mean():.0f}" for part in thirds))


def knobs(shop: Shop, held: dict[str, Path], each: int) -> None:
    print("points in 100 lost, by habit | " + " | ".join(CRITERIA[:-1]), flush=True)
    base = _turned(shop, held, BASE, each)
    for habit in HABITS:
        other = _turned(shop, held, habit, each)
        lost = np.array([100 * (shares(base[key]) - shares(other[key])) for key in sorted(base)])
        judged = (~np.isnan(lost)).sum(axis=0)
        cells = np.nansum(lost, axis=0) / np.maximum(judged, 1)
        print(f"{habit} | " + " | ".join(f"{cell:+.0f}" for cell in cells), flush=True)
        if habit == "unrestored":
            left = {case for who, case in base if shares(other[who, case])[0] < shares(base[who, case])[0]}
            print(f"  something was left to restore in: {', '.join(sorted(left)) or 'none of the cases'}")


def _turned(shop: Shop, held: dict[str, Path], habit: str, each: int) -> Grades:
    """Sessions of every case with one habit fully on."""
    on = {} if habit == BASE else {habit: 1.0}
    people = [Apprentice(SKILL_OF_KNOBS, seed=seed, **on) for seed in range(each)]  # type: ignore[arg-type]
    found = [shop.grades(case, path, f"knobs-{habit}", people) for case, path in held.items()]
    return {key: grade for grades in found for key, grade in grades.items() if int(key[0]) <= each}


def shares(found: Grade) -> np.ndarray:
    return np.array([np.nan if m.share is None else m.share for m in found.marks[:-1]], dtype=float)


def main() -> None:
    cli = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    cli.add_argument("folder", type=Path)
    cli.add_argument("--apprentices", type=int, default=400)
    cli.add_argument("--cases", type=int, default=20)
    cli.add_argument("--each", type=int, default=10**6, help="cases that each apprentice works; all")
    cli.add_argument("--knobs", type=int, default=6, help="sessions of each case for the table of knobs")
    cli.add_argument("--model", action="append", help="only cases of this model; may be given often")
    cli.add_argument("--processes", type=int, default=cores())
    options = cli.parse_args()
    held = held_out(options.model or EVERY, options.cases)
    shop = Shop(options.folder, options.processes)
    if options.knobs:
        knobs(shop, held, options.knobs)
    if options.apprentices:
        skill(shop, held, options.apprentices, options.each)


if __name__ == "__main__":
    main()
