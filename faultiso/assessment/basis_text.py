"""What was judged at a position as text and back, to the last digit."""

from __future__ import annotations

import json
from dataclasses import asdict

from faultiso.assessment.basis import Advised, Mending
from faultiso.planning.advice import Action


def written(found: Advised | Mending | str | None) -> str:
    return json.dumps(asdict(found) if isinstance(found, Advised | Mending) else found)


def advised_of(text: str) -> Advised | None:
    """ValueError, TypeError or LookupError if it is none."""
    data = json.loads(text)
    return None if data is None else Advised(**{**data, "best": Action(**data["best"])})


def mending_of(text: str) -> Mending | None:
    data = json.loads(text)
    return None if data is None else Mending(**data)


def told_of(text: str) -> str:
    return str(json.loads(text))
