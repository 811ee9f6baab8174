"""What can happen in a session: the kinds of lines of its log, format 1.

A line is the only way in which anything changes. What is in ``data`` is JSON; ``clock`` is in every line, the
minutes after it, so that a list of sessions needs no replay.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

FORMAT = 1

BEGAN = "began"  # kind, model, title, digest, file, subject, tool, format, candidate
DIFFERED = "differed"  # settings: what differs from the situation that is named next
SEEN = "seen"  # settings, situation: the conditions in which something was seen
REPORTED = "reported"  # sign, answer, typed: seen there
REPORTS_DONE = "reports done"
OTHERS = "others"  # answer: normal | unknown
PLACED = "placed"  # settings, situation: the conditions now
PICKED = (
    "picked"  # what: report | check | look | repair | set | verify | restore; name, settings, cautions, where
)
READY = "ready"  # typed in full, cautions acknowledged
DROPPED = "dropped"  # the pick was given up
READ = "read"  # sign, answer, typed: the answer to what was picked
CHANGED = "changed"  # settings: conditions brought to values
REPAIRED = "repaired"  # repair, reference, offered
INSPECTED = "inspected"  # answer: yes | not yet
UNDONE = "undone"  # line: the number of the line that is withdrawn
NOTED = "noted"  # text
REFERENCED = "referenced"  # text: approved data that would be opened
ASKED = "asked"  # whom: crew, log, uplift, colleague; says; minutes
HINTED = "hinted"  # number, text, minutes
BELIEVED = "believed"  # says: component or fault -> per cent; before: check | repair | ""
HAZARDS = "hazards named"  # offered, named: cautions by name; of what is about to be done
DISPUTED = "disputed"  # line of the reading that is disputed, sign, text
VOTED = "voted"  # options: what could be done; counts: hands for each
STEPPED_BACK = "stepped back"  # line: from there on nothing happened; a class goes another way
LEFT = "left"  # saved, to go on later
RESUMED = "resumed"  # gone on with, perhaps by somebody else
ENDED = "ended"  # how, what, open

#: What undo can withdraw; everything else has happened.
ANSWERS = frozenset(
    {DIFFERED, SEEN, REPORTED, OTHERS, PLACED, READ, CHANGED, REPAIRED, INSPECTED, REPORTS_DONE}
)


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened, not yet written or read from a log."""

    kind: str
    data: Mapping[str, Any] = field(default_factory=dict)
