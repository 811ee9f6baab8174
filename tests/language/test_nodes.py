"""The tree of a text: words and where they stand, in characters, whatever the line ends."""

from __future__ import annotations

import pytest

from faultiso.base.problems import Where
from faultiso.language.nodes import MAX_DEPTH, MAX_NODES, ListNode, MapNode, Word, parse
from faultiso.language.syntax import position


def tree(text):
    problems = []
    node = parse(text, "t", problems)
    assert problems == []
    return node


def places(node):
    """Every word with its line, column and length."""
    if isinstance(node, Word):
        yield str(node), node.where.line, node.where.column, node.where.length
    elif isinstance(node, ListNode):
        for item in node.items:
            yield from places(item)
    else:
        for key, value in node.entries:
            yield from places(key)
            yield from places(value)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_places_count_characters_and_lines_of_any_end(end):
    text = end.join(["# note", "é: 'ünï'   # a note", "list:", "  - a", "  - {b: c}"])
    assert list(places(tree(text))) == [
        ("é", 2, 1, 1),
        ("ünï", 2, 4, 5),
        ("list", 3, 1, 4),
        ("a", 4, 5, 1),
        ("b", 5, 6, 1),
        ("c", 5, 9, 1),
    ]


def test_groups_on_one_line_are_marked_to_their_end():
    node = tree("a: {b: [1, 2]}\nc:\n  d: 1\n")
    flow, block = node.get("a"), node.get("c")
    assert (flow.where, flow.get("b").where) == (Where("t", 1, 4, 11), Where("t", 1, 8, 6))
    assert block.where == Where("t", 3, 3, 1)


def test_text_is_left_as_it_is():
    words = tree("[off, 012, 1e-6, ~, null, 'a b', \"c\\td\", 1:30]").items
    assert words == ("off", "012", "1e-6", "~", "null", "a b", "c\td", "1:30")


@pytest.mark.parametrize("number", [MAX_DEPTH, MAX_DEPTH + 1])
def test_depth(number):
    problems = []
    assert (
        (parse("[" * number + "]" * number, "t", problems) is None) == (number > MAX_DEPTH) == bool(problems)
    )


@pytest.mark.parametrize("number", [MAX_NODES - 1, MAX_NODES])
def test_nodes(number):
    problems = []
    assert (
        (parse("[" + "a," * number + "]", "t", problems) is None) == (number >= MAX_NODES) == bool(problems)
    )


def test_the_first_of_two_equal_keys_is_kept():
    problems = []
    node = parse("a: 1\na: 2\n", "t", problems)
    assert isinstance(node, MapNode)
    assert node.get("a") == "1"
    assert [(problem.code, problem.where.line) for problem in problems] == [("duplicate", 2)]


@pytest.mark.parametrize("sign", ["\x00", "\x1b", "\x7f", "\x85", "\u2028", "\u202e", "\ufeff"])
def test_signs_that_cannot_be_read(sign):
    problems = []
    assert parse(f"a: 1\r\nbc: x{sign}y", "t", problems) is None
    assert problems[0].where == Where("t", 2, 6)
    assert f"U+{ord(sign):04X}" in problems[0].message


def test_position():
    assert position("ab\r\ncd\re\nf", 9, "t") == Where("t", 4, 1)
    assert position("ab", 1, "t") == Where("t", 1, 2)


def test_a_tab_within_a_line_is_a_blank():
    assert tree("a:\t1").get("a") == "1"
