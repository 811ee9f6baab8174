"""Sections of all files and of all uses of templates, put together into one tree.

``<n>`` in a template's names and texts is replaced by what a use gives for the parameter ``n``. A replaced
word keeps its place in the template, so that a problem points at the line where it can be mended.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from faultiso.base.nearest import listed, nearest
from faultiso.base.problems import Problem, Where
from faultiso.language.kinds import found
from faultiso.language.nodes import MAX_NODES, ListNode, MapNode, Node, Refused, Word, line_of
from faultiso.language.sources import Sources

#: sections that hold named things, and may stand in included files and templates
NAMED = (
    "conditions", "situations", "zones", "access", "equipment", "people", "cautions", "components",
    "quantities", "indications", "checks", "repairs", "deferrals",
)  # fmt: skip
SECTIONS = (*NAMED, "flow")
_HEADS = ("templates", "uses", "include")
LONGEST_VALUE = 100  # of a parameter, in characters
_PARAMETER = re.compile(r"<([a-z][a-z0-9_]*)>")


def expanded(trees: list[MapNode], sources: Sources) -> MapNode:
    """One tree with every section once: what the files say, then what the uses of templates make."""
    templates = _templates(trees, sources)
    parts = [_body(tree, index > 0, sources) for index, tree in enumerate(trees)]
    used: set[str] = set()
    budget = _Budget()
    for use in _uses(trees, sources):
        made = _made(use, templates, used, budget, sources)
        if made is not None:
            parts.append(made)
    _warn_unused(templates, used, sources)
    return _merged(parts, sources)


class _Budget:
    """How much all uses together may make: names, values and groups, and long texts for more than one."""

    def __init__(self) -> None:
        self.left = MAX_NODES

    def spend(self, where: Where, length: int = 0) -> None:
        self.left -= 1 + length // 50
        if self.left < 0:
            message = f"the templates make more than {MAX_NODES:,} names and values"
            raise Refused(Problem("size", where, message))


def _templates(trees: Iterable[MapNode], sources: Sources) -> dict[str, tuple[Word, MapNode]]:
    found: dict[str, tuple[Word, MapNode]] = {}
    for tree in trees:
        section = tree.get("templates")
        if section is not None and not isinstance(section, MapNode):
            sources.wrong(
                "shape", section.where, 'expected templates, each "name: {parameters: [...], sections}"'
            )
        for name, body in section.entries if isinstance(section, MapNode) else ():
            if not isinstance(body, MapNode):
                sources.wrong(
                    "shape", body.where, f'expected the parameters and sections of template "{name}"'
                )
            elif name in found:
                message = f'template "{name}" is there already ({line_of(found[name][0].where, name.where)})'
                sources.wrong("duplicate", name.where, message)
            else:
                found[name] = (name, body)
                _check_template(name, body, sources)
    return found


def _check_template(name: Word, body: MapNode, sources: Sources) -> None:
    parameters = _parameters(body)
    for key, value in body.entries:
        if key == "parameters":
            continue
        if key not in SECTIONS:
            message = (
                f'"{key}" cannot stand in a template; expected parameters or a section such as components'
            )
            sources.wrong("key", key.where, message, nearest(key, ("parameters", *SECTIONS)))
        for word in _words(value):
            for parameter in _PARAMETER.findall(word):
                if parameter not in parameters:
                    _no_parameter(name, parameter, word.where, parameters, sources)


def _no_parameter(name: str, key: str, where: Where, parameters: tuple[str, ...], sources: Sources) -> None:
    message = f'template "{name}" has no parameter "{key}"; it has {listed(parameters, "and")}'
    sources.wrong("parameter", where, message, nearest(key, parameters))


def _parameters(body: MapNode) -> tuple[str, ...]:
    node = body.get("parameters")
    if isinstance(node, Word):
        return (node,)
    return tuple(item for item in node.items if isinstance(item, Word)) if isinstance(node, ListNode) else ()


def _words(node: Node) -> Iterable[Word]:
    if isinstance(node, Word):
        yield node
    elif isinstance(node, ListNode):
        for item in node.items:
            yield from _words(item)
    else:
        for key, value in node.entries:
            yield key
            yield from _words(value)


def _uses(trees: Iterable[MapNode], sources: Sources) -> Iterable[MapNode]:
    for tree in trees:
        section = tree.get("uses")
        if section is None:
            continue
        for item in section.items if isinstance(section, ListNode) else (section,):
            if isinstance(item, MapNode):
                yield item
            else:
                sources.wrong("shape", item.where, "expected {template: name, parameter: value, ...}")


def _made(
    use: MapNode,
    templates: Mapping[str, tuple[Word, MapNode]],
    used: set[str],
    budget: _Budget,
    sources: Sources,
) -> MapNode | None:
    name = use.get("template")
    if not isinstance(name, Word):
        sources.wrong("shape", use.where, "which template? expected {template: name, parameter: value, ...}")
        return None
    if name not in templates:
        expected = listed(tuple(templates)) if templates else "none, there are no templates"
        message = f'no template is called "{name}"; expected {expected}'
        sources.wrong("name", name.where, message, nearest(name, templates))
        return None
    used.add(name)
    body = templates[name][1]
    values = _values(use, name, _parameters(body), sources)
    if values is None:
        return None
    sections = tuple((key, value) for key, value in body.entries if key in SECTIONS)
    made = _filled(MapNode(sections, body.where), values, budget)
    return made if isinstance(made, MapNode) else None


def _values(use: MapNode, name: Word, parameters: tuple[str, ...], sources: Sources) -> dict[str, str] | None:
    values: dict[str, str] = {}
    complete = True
    for key, value in use.entries:
        if key == "template":
            continue
        if key not in parameters:
            _no_parameter(name, key, key.where, parameters, sources)
        elif isinstance(value, Word) and len(value) <= LONGEST_VALUE:
            values[key] = value
        else:
            most = f"at most {LONGEST_VALUE} characters"
            message = f'expected a word, a number or {most} for "{key}"; found {found(value)}'
            sources.wrong("parameter", value.where, message)
            complete = False
    for parameter in parameters:
        if use.get(parameter) is None:
            message = f'template "{name}" needs a value for "{parameter}"; expected {parameter}: value'
            sources.wrong("parameter", name.where, message)
            complete = False
    return values if complete else None


def _filled(node: Node, values: Mapping[str, str], budget: _Budget) -> Node:
    if isinstance(node, Word):
        return _word(node, values, budget)
    budget.spend(node.where)
    if isinstance(node, ListNode):
        return ListNode(tuple(_filled(item, values, budget) for item in node.items), node.where)
    entries = [(_word(key, values, budget), _filled(item, values, budget)) for key, item in node.entries]
    return MapNode(tuple(entries), node.where)


def _word(word: Word, values: Mapping[str, str], budget: _Budget) -> Word:
    budget.spend(word.where, len(word) + word.count("<") * LONGEST_VALUE)
    text = _PARAMETER.sub(lambda match: values.get(match[1], match[1]), word) if "<" in word else word
    return Word.at(text, word.where)


def _warn_unused(templates: Mapping[str, tuple[Word, MapNode]], used: set[str], sources: Sources) -> None:
    for name, (word, _) in templates.items():
        if name not in used:
            message = f'template "{name}" is never used; use it under uses, or take it out'
            sources.problems.append(Problem("unused", word.where, message, severity="warning"))


def _body(tree: MapNode, included: bool, sources: Sources) -> MapNode:
    entries = tuple((key, value) for key, value in tree.entries if key not in _HEADS)
    if included:
        for key, _ in entries:
            if key not in SECTIONS:
                message = f'"{key}" cannot stand in an included file; expected a section such as components'
                sources.wrong("key", key.where, message, nearest(key, (*SECTIONS, "templates", "uses")))
        entries = tuple((key, value) for key, value in entries if key in SECTIONS)
    return MapNode(entries, tree.where)


def _merged(parts: list[MapNode], sources: Sources) -> MapNode:
    whole: dict[Word, list[Node]] = {}
    for part in parts:
        for key, value in part.entries:
            whole.setdefault(key, []).append(value)
    entries = tuple((key, _joined(key, nodes, sources)) for key, nodes in whole.items())
    return MapNode(entries, parts[0].where)


def _joined(key: str, nodes: list[Node], sources: Sources) -> Node:
    """All parts of one section; one of a wrong kind is kept instead, so that its shape is told."""
    if len(nodes) == 1:
        return nodes[0]
    if key == "flow":
        return ListNode(tuple(line for node in nodes for line in _flow_lines(node)), nodes[0].where)
    entries: dict[Word, Node] = {}
    places: dict[str, Where] = {}
    for node in nodes:
        if not isinstance(node, MapNode):
            return node
        for name, value in node.entries:
            if name in places:
                place = line_of(places[name], name.where)
                message = f'"{name}" is there already ({place}); two things cannot have one name'
                sources.wrong("duplicate", name.where, message)
            else:
                entries[name], places[name] = value, name.where
    return MapNode(tuple(entries.items()), nodes[0].where)


def _flow_lines(node: Node) -> tuple[Node, ...]:
    """The lines of one part of the flow; a single line may stand without the outer brackets."""
    if isinstance(node, ListNode) and not all(isinstance(item, Word) for item in node.items):
        return node.items
    return (node,)
