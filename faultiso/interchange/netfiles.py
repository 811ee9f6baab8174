"""A network in the open formats BIF, XMLBIF and UAI, and back, to the last digit.

What pgmpy's writers do: BIF and XMLBIF keep every digit (shortest decimal that reads back as the same
double); both sort the variables by name; names that the formats or its readers cannot bear are written as
`safe_names` says and come back as they were. XMLBIF's writer replaces every other sign in a state's name by
"_", BIF's reader merges names that differ in capitals alone: both harmless behind safe names. UAI is not
left to pgmpy: see `uai`. Whatever is written is read back and compared before it reaches the disk.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np

from faultiso.base.notice import Subject, full_notice
from faultiso.base.problems import FaultisoError, UsageError
from faultiso.interchange import bif, pgmpy_door, uai
from faultiso.interchange.files import invalid, read_text, write_text
from faultiso.interchange.safe_names import safe, safe_state, unsafe
from faultiso.network.network import Network

#: Ending of a file -> format.
KINDS = {".bif": "bif", ".xmlbif": "xmlbif", ".xml": "xmlbif", ".uai": "uai"}


def write_network(
    network: Network, path: str | Path, kind: str = "", name: str = "model", subject: Subject = ""
) -> tuple[Path, ...]:
    """Write the network as "bif", "xmlbif" or "uai" (default: by the ending); the paths that were written.

    Every file carries the notice; a UAI file has its names and the notice in two files beside it.
    Raises UsageError on an unknown format or a path that cannot be written.
    """
    path = Path(path)
    text = text_of(network, kind or kind_of(path), name, subject)
    write_text(path, text)
    if (kind or kind_of(path)) != "uai":
        return (path,)
    write_text(uai.names_path(path), uai.names_text(network))
    write_text(uai.notice_path(path), full_notice(subject) + "\n")
    return path, uai.names_path(path), uai.notice_path(path)


def text_of(network: Network, kind: str, name: str = "model", subject: Subject = "") -> str:
    """The text of the file, read back and compared. UsageError on an unknown format."""
    writers: dict[str, Callable[[Network, str, Subject], str]] = {
        "bif": _bif,
        "xmlbif": _xmlbif,
        "uai": lambda network, name, subject: uai.text_of(network),
    }
    if kind not in writers:
        raise UsageError(f"{kind} is no format of a network; expected bif, xmlbif or uai")
    text = writers[kind](network, name, subject)
    if not same(network, parse(text, kind, names=uai.names_text(network))):
        raise FaultisoError(f"the network cannot be kept to the last digit as {kind}; nothing was written")
    return text


def read_network_file(path: str | Path, kind: str = "") -> Network:
    """The network of a BIF, XMLBIF or UAI file (default: by the ending).

    Raises UsageError if the file cannot be opened or its format is unknown, InvalidModel if it is wrong.
    """
    path = Path(path)
    kind = kind or kind_of(path)
    names = uai.names_path(path) if kind == "uai" else None
    listed = read_text(names, "the names of a UAI file") if names and names.is_file() else ""
    return parse(read_text(path, f"a network in {kind.upper()}"), kind, str(path), listed)


def parse(text: str, kind: str, file: str = "", names: str = "") -> Network:
    """The network of a text; ``names`` is what stands beside a UAI file. Raises InvalidModel."""
    if kind == "uai":
        return uai.read(text, names, file)
    network = bif.read(text, file) if kind == "bif" else _parse_xmlbif(text, file)
    return _renamed(network, unsafe, unsafe)


def kind_of(path: Path) -> str:
    """The format by the ending of the name. UsageError if it is not one of them."""
    if path.suffix.lower() not in KINDS:
        raise UsageError(f"{path}: found the ending {path.suffix or 'none'}; expected {', '.join(KINDS)}")
    return KINDS[path.suffix.lower()]


def same(one: Network, other: Network) -> bool:
    """Whether both have the same names, states, parents in order, and doubles; variables in any order."""
    if sorted(one.names) != sorted(other.names):
        return False
    return all(_same_variable(one, v, other, other.index[name]) for v, name in enumerate(one.names))


def _same_variable(one: Network, v: int, other: Network, w: int) -> bool:
    return (
        one.states[v] == other.states[w]
        and [one.names[p] for p in one.parents[v]] == [other.names[p] for p in other.parents[w]]
        and np.array_equal(one.tables[v], other.tables[w])
    )


def _renamed(network: Network, name: Callable[[str], str], state: Callable[[str], str]) -> Network:
    return Network(
        names=tuple(map(name, network.names)),
        states=tuple(tuple(map(state, states)) for states in network.states),
        parents=network.parents,
        tables=network.tables,
    )


def _bif(network: Network, name: str, subject: Subject) -> str:
    model = pgmpy_door.to_pgmpy(_renamed(network, safe, safe_state), safe(name))
    return f"// {full_notice(subject)}\n{pgmpy_door.bif_text(model)}"


def _xmlbif(network: Network, name: str, subject: Subject) -> str:
    model = pgmpy_door.to_pgmpy(_renamed(network, safe, safe_state), safe(name))
    declaration, _, rest = pgmpy_door.xmlbif_text(model).partition("\n")
    return f"{declaration}\n<!-- {full_notice(subject)} -->\n{rest}"


def _parse_xmlbif(text: str, file: str) -> Network:
    """Through pgmpy. It raises whatever comes up on a bad file, so every exception is the file's fault."""
    if "<!ENTITY" in text:
        raise invalid("xmlbif", file, "found an entity definition; expected plain XMLBIF")
    try:
        network = pgmpy_door.from_pgmpy(pgmpy_door.xmlbif_model(text))
    except Exception as error:
        raise invalid("xmlbif", file, f"no network in XMLBIF: {str(error)[:200]}") from None
    _check(network, file)
    return network


def _check(network: Network, file: str) -> None:
    if not network.names:
        raise invalid("xmlbif", file, "found no variable; expected a network in XMLBIF")
    for name, table in zip(network.names, network.tables, strict=True):
        worst = float(np.abs(table.sum(axis=-1) - 1.0).max())
        if not worst <= bif.ROUNDING or table.min() < 0:
            raise invalid("xmlbif", file, f"a row of {name} misses a sum of 1 by {worst:.3g}")
