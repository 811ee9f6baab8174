"""Statements for a learning record store: their form as the standard has it (checked from memory), and no names."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.assessment.grade import Grade, Mark, record
from faultiso.assessment.verdict import Verdict
from faultiso.base.text import one_line
from faultiso.report.xapi import SPACE, Told, statements

NOON = datetime(2026, 11, 27, 12, 0, tzinfo=UTC)
STATEMENT = {
    "id",
    "actor",
    "verb",
    "object",
    "result",
    "context",
    "timestamp",
    "stored",
    "authority",
    "version",
    "attachments",
}
RESULT = {"score", "success", "completion", "response", "duration", "extensions"}
CONTEXT = {
    "registration", "instructor", "team", "contextActivities", "contextAgents", "contextGroups", "revision", "platform",
    "language", "statement", "extensions",
}  # fmt: skip
NAMES = {"mbox", "mbox_sha1sum", "openid", "account"}
DURATION = re.compile(r"P(\d+D)?(T(\d+H)?(\d+M)?(\d+(\.\d+)?S)?)?")


def graded(candidate: str = "14", case: str = "first-light", share: float = 0.5) -> dict[str, Any]:
    marks = (Mark("evidence", share), Mark("write_up", None, by_hand=True))
    weights = {"evidence": 20.0, "write_up": 5.0}
    verdict = Verdict("referred", False, (), (), ())
    return record(Grade(case, candidate, "s", "default", marks, weights, 60.0, verdict, 31.0))


def told(confirmed: bool = True, **given: Any) -> Told:
    return Told(
        graded(**given), "ab" * 16, NOON, confirmed, NOON - timedelta(minutes=41), NOON - timedelta(minutes=1)
    )


def is_iri(text: object) -> bool:
    return (
        isinstance(text, str)
        and re.fullmatch(r"https://faultiso\.example(/[^\s<>\"{}|\\^`]*)?", text) is not None
    )


def judge(statement: dict[str, Any]) -> None:
    """The form of a statement about an activity."""
    assert set(statement) <= STATEMENT and {"actor", "verb", "object"} <= set(statement)
    assert str(UUID(statement["id"])) == statement["id"] and statement["version"] == "2.0.0"
    assert datetime.fromisoformat(statement["timestamp"]).tzinfo is not None
    actor = statement["actor"]
    assert (
        actor["objectType"] == "Agent"
        and len(NAMES & set(actor)) == 1
        and set(actor) == {"objectType", "account"}
    )
    assert (
        is_iri(actor["account"]["homePage"])
        and actor["account"]["name"]
        and set(actor["account"]) == {"homePage", "name"}
    )
    assert is_iri(statement["verb"]["id"]) and all(statement["verb"]["display"].values())
    assert statement["object"]["objectType"] == "Activity" and is_iri(statement["object"]["id"])
    assert is_iri(statement["object"]["definition"]["type"])
    _judge_result(statement["result"])
    context = statement["context"]
    assert set(context) <= CONTEXT and set(context["contextActivities"]) <= {
        "parent",
        "grouping",
        "category",
        "other",
    }
    assert all(is_iri(each["id"]) for group in context["contextActivities"].values() for each in group)
    assert all(is_iri(name) for name in (*context["extensions"], *statement["result"]["extensions"]))
    assert not any(
        value is None for part in (statement, context, statement["result"]) for value in part.values()
    )


def _judge_result(result: dict[str, Any]) -> None:
    score = result["score"]
    assert set(result) <= RESULT and set(score) <= {"scaled", "raw", "min", "max"}
    assert (
        -1 <= score["scaled"] <= 1
        and score["min"] <= score["raw"] <= score["max"]
        and score["min"] < score["max"]
    )
    assert all(isinstance(result[name], bool) for name in ("success", "completion") if name in result)
    assert "duration" not in result or (
        DURATION.fullmatch(result["duration"]) and len(result["duration"]) > 2
    )


def test_a_statement_has_its_form() -> None:
    (statement,) = statements([told()])
    judge(statement)
    assert statement["actor"]["account"] == {"homePage": SPACE, "name": "14"}
    assert statement["object"]["id"] == f"{SPACE}/cases/first-light"
    assert statement["result"]["score"] == {"scaled": 0.5, "raw": 50.0, "min": 0, "max": 100}
    assert statement["result"]["duration"] == "PT2400S" and statement["result"]["success"] is False
    assert "not approved maintenance data" in json.dumps(statement)


@given(st.text(max_size=60), st.text(max_size=60), st.floats(0, 1), st.booleans())
def test_whatever_a_log_says_of_itself(candidate: str, case: str, share: float, confirmed: bool) -> None:
    (statement,) = statements([told(confirmed, candidate=candidate, case=case, share=share)])
    judge(statement)
    name = statement["actor"]["account"]["name"]
    assert name == one_line(name)
    json.loads(json.dumps(statement, allow_nan=False))


def test_a_proposal_is_no_success() -> None:
    (proposed,), (marked,) = statements([told(False)]), statements([told(True)])
    assert "success" not in proposed["result"] and proposed["verb"]["id"] != marked["verb"]["id"]


def test_ids_are_the_same_again_and_another_for_another_mark() -> None:
    first, again, other = statements([told(), told(), told(share=0.6)])
    assert first == again and first["id"] != other["id"]


def test_what_is_not_known_is_left_out() -> None:
    (statement,) = statements([Told(graded(), "ab" * 16, NOON)])
    judge(statement)
    assert "duration" not in statement["result"]
    (backwards,) = statements([Told(graded(), "ab" * 16, NOON, True, NOON, NOON - timedelta(1))])
    assert "duration" not in backwards["result"]


def test_a_moment_needs_its_zone() -> None:
    with pytest.raises(ValueError, match="time zone"):
        statements([Told(graded(), "ab" * 16, NOON.replace(tzinfo=None))])
