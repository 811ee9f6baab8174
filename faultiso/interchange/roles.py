"""A plain network for the reasoner: a BIF file, and a JSON file that says what its variables are."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from faultiso.base.nearest import nearest
from faultiso.base.notice import full_notice
from faultiso.base.problems import InvalidModel, Problem, Where
from faultiso.interchange.files import invalid, read_text
from faultiso.interchange.netfiles import read_network_file
from faultiso.interchange.safe_names import unsafe
from faultiso.model.system import Model
from faultiso.network.network import Network, Roles

_EXPECTED = 'expected {"faults": [names], "states": [names], "checks": {name: minutes}}'
_LONGEST_NAME = 60


def read_network(network_path: str | Path, roles_path: str | Path) -> tuple[Network, Roles]:
    """A network (BIF, XMLBIF or UAI, by its ending) and the roles of its variables.

    Raises UsageError if a file cannot be opened, InvalidModel with everything that is wrong with it.
    """
    network = read_network_file(network_path)
    return network, read_roles(roles_path, network)


def read_roles(path: str | Path, network: Network) -> Roles:
    """The roles in a file ``{"faults": [...], "states": [...], "checks": {name: minutes}}``.

    "states" may be left out, a "notice" may stand there too. A fault is a variable with two states, the
    second of them "present". Names may also be written as `safe_names` writes them into a network file.
    """
    data = _as_in(network, _load(path))
    found = tuple(
        Problem("roles", Where(str(path)), message, near) for message, near in _problems(data, network)
    )
    if found:
        raise InvalidModel(found)
    return Roles(tuple(data["faults"]), {name: float(minutes) for name, minutes in data["checks"].items()})


def roles_text(model: Model, network: Network) -> str:
    """The roles of a network that a model was grounded to: what `read_roles` reads."""
    data = {
        "notice": full_notice(model.subject),
        "faults": [name for name in model.faults if name in network.index],
        "states": [name for name in (*model.quantities, *model.indications) if name in network.index],
        "checks": {name: part.work.minutes for name, part in model.checks.items() if name in network.index},
    }
    return json.dumps(data, ensure_ascii=True, allow_nan=False, indent=1) + "\n"


def _as_in(network: Network, data: Any) -> Any:
    """The document with coded names of variables written plainly."""

    def plain(name: Any) -> Any:
        known = not isinstance(name, str) or name in network.index
        return name if known or unsafe(name) not in network.index else unsafe(name)

    if not isinstance(data, dict):
        return data
    named = {key: [plain(name) for name in value] for key, value in data.items() if isinstance(value, list)}
    checks = data.get("checks")
    if isinstance(checks, dict):
        return {**data, **named, "checks": {plain(name): minutes for name, minutes in checks.items()}}
    return {**data, **named}


def _load(path: str | Path) -> Any:
    text = read_text(path, "a JSON file of roles")
    try:
        return json.loads(text, object_pairs_hook=_once)
    except json.JSONDecodeError as error:
        where = Where(str(path), error.lineno, error.colno)
        raise InvalidModel((Problem("roles", where, f"no JSON: {error.msg}; {_EXPECTED}"),)) from None
    except (RecursionError, ValueError) as error:
        reason = "nested too deeply" if isinstance(error, RecursionError) else str(error)
        raise invalid("roles", path, f"{reason}; {_EXPECTED}") from None


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    keys = [key for key, _ in pairs]
    twice = sorted({key for key in keys if keys.count(key) > 1}) if len(set(keys)) < len(keys) else []
    if twice:
        raise ValueError(f"{_short(twice[0])} stands there twice")
    return dict(pairs)


def _problems(data: Any, network: Network) -> Iterator[tuple[str, str]]:
    """(message, nearest name) of everything that is wrong."""
    if not isinstance(data, dict):
        yield f"found {_kind(data)}; {_EXPECTED}", ""
        return
    for key in sorted(set(data) - {"faults", "states", "checks", "notice"}):
        yield f"{_short(key)} is not known here; {_EXPECTED}", nearest(key, ("faults", "states", "checks"))
    shapes = {"faults": list, "states": list, "checks": dict}
    wrong = [key for key, shape in shapes.items() if not isinstance(data.get(key, shape()), shape)]
    wrong += [key for key in ("faults", "checks") if key not in data]
    if wrong:
        found = ", ".join(f"{key}: {_kind(data.get(key))}" for key in wrong)
        yield f"found {found}; {_EXPECTED}", ""
        return
    yield from _name_problems(data, network)
    yield from _value_problems(data, network)


def _name_problems(data: dict[str, Any], network: Network) -> Iterator[tuple[str, str]]:
    seen: dict[str, str] = {}
    if not data["faults"]:
        yield "faults is empty; expected at least one", ""
    for role in ("faults", "states", "checks"):
        for name in data.get(role, ()):
            if not isinstance(name, str):
                yield f"found {_kind(name)} in {role}; expected the name of a variable", ""
            elif name not in network.index:
                near = nearest(name, network.names)
                yield f"{_short(name)} in {role} is no variable of the network", near
            elif name in seen:
                yield f"{_short(name)} is in {seen[name]} and again in {role}; expected one role", ""
            else:
                seen[name] = role


def _value_problems(data: dict[str, Any], network: Network) -> Iterator[tuple[str, str]]:
    for name in data["faults"]:
        v = network.index.get(name) if isinstance(name, str) else None
        if v is not None and network.cards[v] != 2:
            yield f"fault {_short(name)} has {network.cards[v]} states; expected 2, the second: present", ""
    for name, minutes in data["checks"].items():
        number = isinstance(minutes, int | float) and not isinstance(minutes, bool)
        if not number or not math.isfinite(minutes) or minutes < 0:
            yield f"found {json.dumps(minutes)[:40]} minutes for {_short(name)}; expected 0 or more", ""


def _kind(value: Any) -> str:
    kinds = {dict: "an object", list: "a list", str: "a text", bool: "true or false", type(None): "nothing"}
    return kinds.get(type(value), "a number")


def _short(name: str) -> str:
    return name if len(name) <= _LONGEST_NAME else name[:_LONGEST_NAME] + "..."
