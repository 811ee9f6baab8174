"""What a session answers, as data: the pages made of it decide nothing, and nothing is printed here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from faultiso.session.prompt import Offer


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence; ``quiet`` may be skipped by a reader."""

    text: str
    indent: int = 0
    quiet: bool = False


@dataclass(frozen=True, slots=True)
class Listing:
    """A numbered list to pick from: each row a title and what is said about it."""

    rows: tuple[tuple[str, str], ...]
    title: str = ""
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Warned:
    """Names of cautions: those to be shown in full, and those told before in these conditions."""

    full: tuple[str, ...]
    again: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Leader:
    """A set of faults that leads: its probability and the reading that speaks most for it."""

    faults: tuple[str, ...]
    title: str
    probability: float
    because: str


@dataclass(frozen=True, slots=True)
class Leaders:
    """Who leads now; ``others`` is what all other sets of faults have, ``nothing`` that none is there."""

    rows: tuple[Leader, ...]
    others: float
    nothing: float


@dataclass(frozen=True, slots=True)
class Proposal:
    """The next action with what it takes. ``kind``: check, look, repair, verify, finish, ..."""

    kind: str
    name: str
    title: str
    minutes: float = 0.0
    people: int = 1
    who: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    reason: str = ""
    order: tuple[tuple[str, float, float], ...] = ()
    settings: Mapping[str, str] = field(default_factory=dict)
    chosen: bool = False  # by the person, not proposed


@dataclass(frozen=True, slots=True)
class Facts:
    """Name and value lines under a heading."""

    title: str
    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Grid:
    """A small table; ``kinds`` of its columns are text, number or minutes."""

    title: str
    heads: tuple[str, ...]
    kinds: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


#: The first question of all; it is asked before the model is loaded, so it stands here.
FIRST_QUESTION = "How was it when it was seen? (or type what differs, then the number)"
FIRST_PROMPT = "Number > "

Reply = Said | Listing | Warned | Leaders | Proposal | Facts | Grid


@dataclass(frozen=True)
class Question:
    """What is asked now. ``key`` changes with the question; ``before`` is shown once for each key."""

    name: str
    prompt: str
    key: tuple[Any, ...]
    offer: Offer = field(default_factory=Offer)
    before: tuple[Reply, ...] = ()

    @property
    def text(self) -> str:
        """The question in words, for who sees the prompt alone."""
        said = [part.text for part in self.before if isinstance(part, Said)]
        return said[-1] if said and self.prompt.startswith(("> ", "Number")) else self.prompt
