"""Do marks follow skill, and each habit its own criterion? Simulated apprentices, graded by the default rubric.

    python -m tests.benchmarks.marks [--apprentices N] [--cases N] [--model NAME] [--knobs N]

Each apprentice works every case; their mark is the mean of the cases. Spearman's correlation with the skill that
they were made with tells whether the code marks what it should. The table of knobs compares sessions of the same
skill and luck with one habit turned from nothing to fully on: points in 100 that each criterion loses.
This tests the code, not whether marks are valid for people. Half of the cases (every second one by name) are
held out of any tuning, and used here by default.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Sequence

import numpy as np

from faultiso.assessment.grade import CRITERIA, Grade
from faultiso.assessment.grading import grade
from faultiso.assessment.review import Memory, reviewed
from faultiso.assessment.rubric import shipped_rubric
from faultiso.assessment.statistics.association import spearman
from faultiso.casebook.case import Case
from faultiso.casebook.library import case_files
from faultiso.casebook.load import read_case
from faultiso.casebook.models import Models
from faultiso.model.system import Model
from faultiso.practice.apprentices.apprentice import Apprentice, cohort
from faultiso.practice.apprentices.room import Room
from faultiso.practice.apprentices.working import work
from faultiso.session.desk import events_of

HABITS = (
    "slips", "impatience", "misread_indications", "skipped_precautions", "unrestored", "wrong_references",
)  # fmt: skip
Held = list[tuple[Case, Model]]


def held_out(models: Sequence[str], most: int) -> Held:
    """Every second case by name, of these models."""
    read = Models()
    found = [read_case(path, read) for path in case_files().values()]
    return [(case, model) for case, model in found if model.name in models][1::2][:most]


class Marking:
    """Sessions of one case after the other, graded."""

    def __init__(self, case: Case, model: Model) -> None:
        self.case, self.model, self.memory = case, model, Memory()
        self.room, self.rubric = Room(case, model), shipped_rubric()

    def of(self, apprentice: Apprentice) -> Grade:
        play = work(self.case, self.model, apprentice, room=self.room)
        events = events_of(list(play.desk.log.entries))
        return grade(reviewed(self.case, self.model, events, self.memory), self.rubric)


def skill(held: Held, apprentices: int) -> None:
    people = cohort(apprentices, seed=1)
    totals = np.zeros((len(people), len(held)))
    for column, (case, model) in enumerate(held):
        started, marking = time.perf_counter(), Marking(case, model)
        totals[:, column] = [marking.of(person).total for person in people]
        own = spearman([p.skill for p in people], totals[:, column].tolist())
        took = (time.perf_counter() - started) / len(people)
        print(f"{case.name}: {own.value}, {took:.2f} s a session with its grading", flush=True)
    found = spearman([p.skill for p in people], totals.mean(axis=1).tolist())
    print(f"all: Spearman of skill and mean mark {found.value} ({len(people)} people, {len(held)} cases)")
    thirds = np.array_split(totals.mean(axis=1), 3)
    print("mean mark by third of skill:", " / ".join(f"{part.mean():.0f}" for part in thirds))


def knobs(held: Held, each: int) -> None:
    print("points in 100 lost, by habit | " + " | ".join(CRITERIA[:-1]))
    lost = {habit: np.zeros(len(CRITERIA) - 1) for habit in HABITS}
    count = {habit: np.zeros(len(CRITERIA) - 1) for habit in HABITS}
    for case, model in held:
        marking = Marking(case, model)
        for seed in range(each):
            base = shares(marking.of(Apprentice(0.8, seed=seed)))
            for habit in HABITS:
                other = shares(marking.of(Apprentice(0.8, seed=seed, **{habit: 1.0})))
                both = ~np.isnan(base) & ~np.isnan(other)
                lost[habit][both] += 100 * (base - other)[both]
                count[habit] += both
    for habit in HABITS:
        cells = lost[habit] / np.maximum(count[habit], 1)
        print(f"{habit} | " + " | ".join(f"{cell:+.0f}" for cell in cells), flush=True)


def shares(found: Grade) -> np.ndarray:
    return np.array([np.nan if m.share is None else m.share for m in found.marks[:-1]], dtype=float)


def main() -> None:
    cli = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    cli.add_argument("--apprentices", type=int, default=400)
    cli.add_argument("--cases", type=int, default=20)
    cli.add_argument("--knobs", type=int, default=6, help="sessions of each case for the table of knobs")
    cli.add_argument("--model", action="append", help="only cases of this model; may be given often")
    options = cli.parse_args()
    every = ["whinchat-hydraulics", "whinchat-dc-power", "workshop-power-cart"]
    held = held_out(options.model or every, options.cases)
    knobs(held, options.knobs)
    skill(held, options.apprentices)


if __name__ == "__main__":
    main()
