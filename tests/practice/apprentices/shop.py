"""Sessions of simulated apprentices for tests; each is worked once."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from faultiso.casebook.case import Case
from faultiso.casebook.library import case_files
from faultiso.casebook.load import read_case
from faultiso.casebook.models import Models
from faultiso.model.system import Model
from faultiso.practice.apprentices.apprentice import Apprentice
from faultiso.practice.apprentices.room import Room
from faultiso.practice.apprentices.working import work
from faultiso.session.state import State

MODELS = Models()
CART = "workshop-power-cart"


@cache
def read(name: str) -> tuple[Case, Model]:
    return read_case(case_files()[name], MODELS)


@cache
def cart_cases() -> tuple[str, ...]:
    return tuple(name for name in case_files() if read(name)[0].model == CART)


@cache
def room(name: str) -> Room:
    return Room(*read(name))


@cache
def ended(name: str, apprentice: Apprentice) -> State:
    """How the apprentice leaves the case."""
    return work(*read(name), apprentice, room=room(name)).desk.state


def all_ended(names: Iterable[str], apprentices: Iterable[Apprentice]) -> list[State]:
    chosen = list(apprentices)
    return [ended(name, apprentice) for name in names for apprentice in chosen]
