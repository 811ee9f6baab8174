"""A model as JSON, GraphML and DOT, and what every export says about itself."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import networkx as nx
import numpy as np
import pytest

from faultiso.base.problems import UsageError
from faultiso.interchange.export import NETWORKS, TEXTS, export, text_of
from faultiso.interchange.graphs import dot_text, graphml_text
from faultiso.interchange.netfiles import same
from faultiso.interchange.roles import read_network
from faultiso.interchange.tables import frozen
from faultiso.model.causes import causes_of
from faultiso.network.network import Network
from tests.drawing.cart import small_cart

EVIL = 'a "b" \\N <c> & d\x1b[2J\n} x'
LIGHT = Network(("pump.worn", "light"), (("absent", "present"), ("out", "lit")), ((), (0,)), (
    frozen(np.array([1 - 1e-7, 1e-7])), frozen(np.array([[0.999, 0.001], [0.1, 0.9]])),
))  # fmt: skip


def evil_cart():
    model = small_cart()
    pump = replace(model.components["pump"], title=EVIL)
    return replace(model, title=EVIL, components={**model.components, "pump": pump})


def test_graphml_is_read_back_with_its_keys():
    for which, arrows in (("causes", len(causes_of(small_cart()).arrows)), ("flow", len(small_cart().flow))):
        graph = nx.parse_graphml(graphml_text(small_cart(), which))
        assert graph.number_of_edges() == arrows
        assert graph.graph["notice"].startswith("Training aid")
    assert graph.nodes["supply"]["title"] == "supply <230 V & earth>"
    assert graph.nodes["pump"]["zone"] == "wet" and graph.nodes["tank"]["replaceable"] == "no"
    assert {data["carries"] for *_, data in graph.edges(data=True)} == {
        "fluid",
        "power",
        "shaft",
        "signal",
        "air",
    }


def test_foreign_text_breaks_no_format():
    graph = nx.parse_graphml(graphml_text(evil_cart(), "flow"))
    assert graph.nodes["pump"]["title"] == 'a "b" \\N <c> & d } x'
    lines = [line for line in dot_text(evil_cart(), "flow").splitlines() if line.startswith('  "pump" [')]
    assert lines == [
        '  "pump" [label="a \\"b\\" \\\\N <c> & d } x", kind="component", zone="wet", replaceable="yes"];'
    ]
    assert "\x1b" not in text_of(evil_cart(), "json")


def test_dot_has_every_node_and_arrow():
    text = dot_text(small_cart())
    graph = causes_of(small_cart())
    assert len(re.findall(r'^  "[^"]+" \[', text, re.MULTILINE)) == len(graph.nodes)
    assert len(re.findall(r"->", text)) == len(graph.arrows)
    assert text.startswith("// Training aid") and '"pump.worn" -> "pressure" [how="may"];' in text


def test_json_has_the_documented_keys_and_is_ascii():
    model = replace(small_cart(), about="für alle", file="/somewhere/cart.yaml")
    text = text_of(model, "json")
    data = json.loads(text)
    assert text.isascii() and "somewhere" not in text
    assert data["name"] == "small-cart" and data["about"] == "für alle"
    assert data["quantities"]["pressure"]["rules"][0] == {"when": {"run": ["stopped"]}, "then": "none"}
    assert data["quantities"]["pressure"]["causes"][0]["responses"] == [{"gives": {"present": {"low": 0.9}}}]
    assert data["components"]["pump"]["faults"][1]["name"] == "pump.sheared"
    work = {"minutes": 8, "people": 1, "in_store": True, "needs": [{"run": ["running"]}]}
    assert data["checks"]["gauge"]["work"] == work


@pytest.mark.parametrize("kind", [*TEXTS, *NETWORKS])
def test_every_export_carries_the_notice(tmp_path, kind):
    written = export(small_cart(), kind, tmp_path / f"cart.{kind}", LIGHT)
    assert written and all(path.exists() for path in written)
    assert any("not approved maintenance data" in path.read_text("utf-8") for path in written)


@pytest.mark.parametrize("kind", NETWORKS)
def test_a_network_comes_back_with_its_roles(tmp_path, kind):
    *_, roles = export(small_cart(), kind, tmp_path / f"n.{kind}", LIGHT)
    network, found = read_network(tmp_path / f"n.{kind}", roles)
    assert same(LIGHT, network) and found.faults == ("pump.worn",) and found.checks == {}


def test_what_cannot_be_exported_is_told(tmp_path):
    with pytest.raises(UsageError, match="nearest: graphml"):
        export(small_cart(), "graphm", tmp_path / "x")
    with pytest.raises(UsageError, match="grounded in conditions"):
        export(small_cart(), "bif", tmp_path / "x.bif")
    with pytest.raises(UsageError, match="cannot be written"):
        export(small_cart(), "json", tmp_path / "none" / "x.json")
