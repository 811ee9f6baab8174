"""What every screen, file and export says about itself."""

from __future__ import annotations

from typing import Literal

#: What a model is about; "" where the output is about no model, or about several.
Subject = Literal["invented", "training_rig", "generic", ""]

_ABOUT: dict[str, str] = {
    "invented": "an invented system",
    "training_rig": "a training rig",
    "generic": "a generic system",
    "": "invented systems",
}

#: The word behind a title: "Whinchat hydraulics (invented)".
IN_TITLE: dict[str, str] = {
    "invented": "invented",
    "training_rig": "training rig",
    "generic": "generic",
    "": "",
}

#: what stands in every notice, and tells a file that this program wrote
NOT_APPROVED = "not approved maintenance data"

PRINTED = "Uncontrolled when printed."


def short_notice(subject: Subject = "") -> str:
    """One line for the top of a screen: at most 75 columns."""
    return f"training aid about {_ABOUT[subject]}; {NOT_APPROVED}"


def full_notice(subject: Subject = "") -> str:
    """For the end of a session and for every file."""
    return (
        f"Training aid about {_ABOUT[subject]}; {NOT_APPROVED}. "
        "On a real aircraft: current approved data, local rules, licensed staff."
    )


def printed_notice(subject: Subject = "") -> str:
    """Across every page of paper."""
    return f"TRAINING, {_ABOUT[subject].removeprefix('an ').removeprefix('a ')}, uncontrolled when printed"
