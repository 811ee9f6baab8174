"""Writing a model in an open format: the document, the graphs, or a network that it was grounded to."""

from __future__ import annotations

from pathlib import Path

from faultiso.base.nearest import nearest
from faultiso.base.problems import UsageError
from faultiso.interchange.files import write_text
from faultiso.interchange.graphs import Which, dot_text, graphml_text
from faultiso.interchange.model_json import model_json
from faultiso.interchange.netfiles import write_network
from faultiso.interchange.roles import roles_text
from faultiso.model.system import Model
from faultiso.network.network import Network

TEXTS = ("json", "graphml", "dot")
NETWORKS = ("bif", "xmlbif", "uai")


def export(
    model: Model, kind: str, out: str | Path, network: Network | None = None, graph: Which = "causes"
) -> tuple[Path, ...]:
    """Write the model to ``out`` as one of `TEXTS` or `NETWORKS`; the paths that were written.

    ``network``: the model grounded in conditions, needed for a network format, which gets the roles of its
    variables in a file beside it (``OUT.roles.json``, what ``rank NETWORK --roles`` wants). ``graph``:
    which graph GraphML and DOT hold, "causes" (what acts on what) or "flow" (what feeds what).
    Raises UsageError on an unknown format, a missing network, or a path that cannot be written.
    """
    if kind in NETWORKS:
        if network is None:
            raise UsageError(f"{kind} holds a network: the model has to be grounded in conditions first")
        beside = Path(f"{out}.roles.json")
        written = write_network(network, out, kind, model.name, model.subject)
        write_text(beside, roles_text(model, network))
        return (*written, beside)
    write_text(out, text_of(model, kind, graph))
    return (Path(out),)


def text_of(model: Model, kind: str, graph: Which = "causes") -> str:
    """The text of one of `TEXTS`. Raises UsageError on an unknown format."""
    if kind == "json":
        return model_json(model)
    if kind == "graphml":
        return graphml_text(model, graph)
    if kind == "dot":
        return dot_text(model, graph)
    known = (*TEXTS, *NETWORKS, "matrix", "fmea")
    near = nearest(kind, known)
    hint = f"; nearest: {near}" if near else ""
    raise UsageError(f"{kind} is no format to export; expected {', '.join(known)}{hint}")
