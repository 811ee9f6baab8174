"""The terms on which a case is worked: mode, candidate, time, and where its copies are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

Mode = Literal["coached", "quiet", "examination", "classroom"]
MODES: tuple[Mode, ...] = ("coached", "quiet", "examination", "classroom")


@dataclass(frozen=True)
class Terms:
    """How a case is worked. ``minutes``: real time that is allowed (0: no limit), extra time included;
    ``pack``: digest of the sealed pack that the case is from, "" if it is not sealed."""

    mode: Mode = "coached"
    candidate: str = ""
    minutes: float = 0.0
    model_file: str = ""
    case_file: str = ""
    pack: str = ""


def terms_of(began: Mapping[str, object]) -> Terms:
    """The terms that a log was begun with."""
    mode: Mode = next((mode for mode in MODES if mode == began.get("mode")), "quiet")
    minutes = began.get("minutes")
    return Terms(
        mode,
        str(began.get("candidate", "")),
        float(minutes) if isinstance(minutes, int | float) else 0.0,
        str(began.get("file", "")),
        str(began.get("case_file", "")),
        str(began.get("pack", "")),
    )
