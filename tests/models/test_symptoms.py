"""The strengths of the shipped models against a published list of symptoms and causes, row by row.

A row of symptoms.yaml says that a symptom speaks for a cause strongly, moderately or weakly. Here that is a factor
by which the symptom alone multiplies the odds of the cause (odds form of Bayes' rule, Good 1950), and for strong
rows a place among the leading causes. What the list calls evidence against must then lower the cause.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from faultiso.belief.belief import Belief
from faultiso.belief.observed import sign_of
from tests.models.shipped import model_of, reasoner_of
from tests.models.test_patterns import Job, where_it_is_now

TABLE: dict[str, Any] = yaml.safe_load(Path(__file__).with_name("symptoms.yaml").read_text(encoding="utf-8"))
ROWS: dict[str, dict[str, Any]] = TABLE["rows"]
#: numbers below 110 that the list of 82 records leaves out
# fmt: off
GAPS = {5, 6, 8, 16, 18, 19, 25, 32, 33, 39, 44, 47, 52, 54, 58, 62, 64, 68, 72, 76, 81, 85, 87, 91, 98, 102, 104, 107}
# fmt: on
NAMES = [f"SYM-{number:03}" for number in range(1, 111) if number not in GAPS]
ROUNDING = 1e-6  # less than this is no difference
#: the factor on the odds, by the word of the list
LEAST = {"strong": 5.0, "moderate": 2.0, "weak": 1.0 + ROUNDING}
LEADING = 5
OR = " | "
MODEL_KEYS = {"model", "cause", "at", "with", "symptom", "against", "no_against", "exception"}
KEYS = {"says", "strength", "from", "where", "absent"} | MODEL_KEYS

EXCEPTIONS = [name for name, row in ROWS.items() if "exception" in row]
MODELLED = [name for name, row in ROWS.items() if "absent" not in row]
MET = [name for name in MODELLED if name not in EXCEPTIONS]
COUNTERED = [name for name in MET if "no_against" not in ROWS[name]]


class Seen(Job):
    """A job in which a sign may show one of several outcomes, written ``refill | low``."""

    def _read(self, name: str, outcome: str, chance: float, conditions: Mapping[str, str]) -> None:
        either = outcome.split(OR)
        assert set(either) <= set(sign_of(self.model, name).outcomes), f"{name} has not all of {either}"
        super()._read(name, either[0], chance, conditions)
        if len(either) > 1:
            reading, timeline, chance = self.readings.pop()
            doubtful = tuple((one, 1.0) for one in either)
            self.readings.append((replace(reading, outcome="", doubtful=doubtful), timeline, chance))


def story(row: Mapping[str, Any], *more: Mapping[str, Any]) -> Seen:
    """The symptom in its conditions, and what is seen after it."""
    done = Seen(model_of(row["model"]))
    for view in ({"shows": row["symptom"]}, *more):
        done.see({"at": row["at"], "with": row.get("with", {}), **view})
    return done


def belief_of(row: Mapping[str, Any], done: Job, told: bool = True) -> Belief:
    assert done.timeline is not None
    readings = [reading for reading, _, _ in done.readings] if told else []
    return reasoner_of(row["model"]).belief(done.timeline, readings)


def chance_of(row: Mapping[str, Any], belief: Belief) -> float:
    """P(any fault that stands for the cause is present): exact, which Belief offers in public by component only."""
    return belief._any_of([where_it_is_now(fault, belief.timeline) for fault in row["cause"]])


@cache
def after_symptom(name: str) -> Belief:
    return belief_of(ROWS[name], story(ROWS[name]))


@cache
def factor(name: str) -> float:
    """By how much the symptom alone multiplies the odds of the cause."""
    row = ROWS[name]
    before = chance_of(row, belief_of(row, story(row), told=False))
    after = chance_of(row, after_symptom(name))
    return after / (1 - after) / (before / (1 - before))


def place(name: str) -> int:
    """The place of the cause's likeliest fault among all faults that do not stand for the cause."""
    faults = after_symptom(name).faults
    best = max(faults[fault] for fault in ROWS[name]["cause"])
    return 1 + sum(chance > best for fault, chance in faults.items() if fault not in ROWS[name]["cause"])


def speaks_for_the_cause(name: str) -> bool:
    strength = ROWS[name]["strength"]
    return factor(name) >= LEAST[strength] and (strength != "strong" or place(name) <= LEADING)


def test_every_row_of_the_list_is_accounted_for() -> None:
    assert list(ROWS) == NAMES
    assert len(NAMES) == 82
    for name, row in ROWS.items():
        assert row["strength"] in LEAST, name
        assert row["from"] in TABLE["sources"], name
        assert row["says"] and row["where"], name
        assert "absent" in row or {"model", "cause", "at", "symptom"} <= set(row), name
        for reason in ("absent", "exception", "no_against"):
            assert len(row.get(reason, "a reason in words").split()) > 3, name
        assert set(row) <= KEYS, name


def test_the_faults_named_are_in_their_model() -> None:
    for name in MODELLED:
        assert set(ROWS[name]["cause"]) <= set(model_of(ROWS[name]["model"]).faults), name


@pytest.mark.parametrize("name", MET)
def test_the_symptom_speaks_for_the_cause_as_strongly_as_the_source(name: str) -> None:
    assert speaks_for_the_cause(name), f"odds times {factor(name):.3g}, place {place(name)}"


@pytest.mark.parametrize("name", COUNTERED)
def test_what_speaks_against_the_cause_lowers_it(name: str) -> None:
    row = ROWS[name]
    shown = dict(row["against"])
    where = {"at": shown.pop("at", row["at"])}
    countered = belief_of(row, story(row, {**where, "shows": shown}))
    assert chance_of(row, countered) < (1 - ROUNDING) * chance_of(row, after_symptom(name))


@pytest.mark.parametrize("name", EXCEPTIONS)
def test_an_exception_is_still_needed(name: str) -> None:
    assert not speaks_for_the_cause(name), "the row is met: it is no exception any more"
