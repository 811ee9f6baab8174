"""The two graphs of a model for other programs: what acts on what, and what feeds what; GraphML and DOT.

Keys of a node: ``title``, ``kind`` (fault, quantity, indication, check; in the flow: component), ``given``
(conditions, parted by blanks) or ``zone`` and ``replaceable``. Keys of an arrow: ``how`` (may, rule, brings)
or ``carries``. Every file says what it is: GraphML in a comment and the graph's ``notice``, DOT in a comment
and the drawing's label.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from faultiso.base.notice import full_notice
from faultiso.base.text import one_line
from faultiso.model.causes import causes_of
from faultiso.model.system import Model

Which = Literal["causes", "flow"]
Labels = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Graph:
    """Nodes (name, keys with values) and arrows (from, to, key, value), in the order of the file."""

    nodes: tuple[tuple[str, Labels], ...]
    arrows: tuple[tuple[str, str, str, str], ...]


def graph_of(model: Model, which: Which = "causes") -> Graph:
    """The causal graph of a model, or its flow."""
    return _causes(model) if which == "causes" else _flow(model)


def _causes(model: Model) -> Graph:
    found = causes_of(model)
    nodes = tuple(
        (node.name, (("title", node.title), ("kind", node.kind), ("given", " ".join(node.given))))
        for node in found.nodes
    )
    return Graph(nodes, tuple((a.source, a.target, "how", a.how) for a in found.arrows))


def _flow(model: Model) -> Graph:
    nodes = tuple(
        (
            part.name,
            (
                ("title", part.title),
                ("kind", "component"),
                ("zone", part.zone),
                ("replaceable", "yes" if part.replaceable else "no"),
            ),
        )
        for part in model.components.values()
    )
    return Graph(nodes, tuple((x.source, x.target, "carries", x.carries) for x in model.flow))


def graphml_text(model: Model, which: Which = "causes") -> str:
    """The graph as GraphML, through networkx."""
    import networkx as nx

    graph = nx.MultiDiGraph(name=model.name, title=one_line(model.title), notice=full_notice(model.subject))
    found = graph_of(model, which)
    for name, labels in found.nodes:
        graph.add_node(name, **{key: one_line(value) for key, value in labels})
    for source, target, key, value in found.arrows:
        graph.add_edge(source, target, **{key: one_line(value)})
    lines = list(nx.generate_graphml(graph, prettyprint=True))
    declaration = "<?xml version='1.0' encoding='utf-8'?>"
    return "\n".join((declaration, f"<!-- {full_notice(model.subject)} -->", *lines)) + "\n"


def dot_text(model: Model, which: Which = "causes") -> str:
    """The graph in the DOT language."""
    found = graph_of(model, which)
    notice = full_notice(model.subject)
    lines = [f"// {notice}", f"digraph {_quoted(model.name)} {{", "  rankdir=LR;"]
    lines.append(f"  label={_quoted(notice)};")
    lines += [f"  {_quoted(name)} [{_attributes(labels)}];" for name, labels in found.nodes]
    for source, target, key, value in found.arrows:
        lines.append(f"  {_quoted(source)} -> {_quoted(target)} [{key}={_quoted(value)}];")
    return "\n".join((*lines, "}")) + "\n"


def _attributes(labels: Labels) -> str:
    title = dict(labels)["title"]
    return ", ".join(f"{key}={_quoted(value)}" for key, value in (("label", title), *labels[1:]) if value)


def _quoted(text: str) -> str:
    """A quoted string of DOT; a backslash is doubled, because in a label it would begin an escape."""
    return '"' + one_line(text).replace("\\", "\\\\").replace('"', '\\"') + '"'
