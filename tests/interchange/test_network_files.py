"""Networks through BIF, XMLBIF, UAI and pgmpy, to the last digit, and files that are wrong."""

import itertools
import json
import re

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from faultiso.base.problems import FaultisoError, InvalidModel, UsageError
from faultiso.interchange import bif, pgmpy_door, uai
from faultiso.interchange.netfiles import parse, read_network_file, same, text_of, write_network
from faultiso.interchange.roles import read_network
from faultiso.interchange.safe_names import safe, safe_state, unsafe
from faultiso.interchange.tables import frozen
from faultiso.network.network import Network

WEIRD = (
    "pump 1.worn",
    "Pump 1.worn",
    "äöü",
    "a,b",
    "x_x2e_",
    "table",
    "7",
    "",
    "a=b",
    "<&>",
    "_",
    "no; end}",
)


def network_from(rng: np.random.Generator, count: int, names: tuple[str, ...] = ()) -> Network:
    cards = rng.integers(1, 4, count)
    parents = [
        tuple(sorted(rng.choice(v, rng.integers(0, min(v, 2) + 1), False).tolist())) for v in range(count)
    ]
    tables = [
        frozen(rng.dirichlet(np.full(cards[v], 0.2), tuple(cards[p] for p in parents[v])))
        for v in range(count)
    ]
    return Network(
        names=names[:count] or tuple(f"v{v}" for v in rng.permutation(count)),
        states=tuple(tuple((names or ("n", "y", "z"))[:card]) for card in cards),
        parents=tuple(parents),
        tables=tuple(tables),
    )


networks = st.builds(
    lambda seed, count, weird: network_from(np.random.default_rng(seed), count, WEIRD if weird else ()),
    st.integers(0, 2**32),
    st.integers(1, 6),
    st.booleans(),
)
few = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)


@given(st.one_of(st.text(max_size=12), st.text("_x2e.7a", max_size=9)))
@settings(deadline=None)
def test_safe_names_are_reversible_and_plain(name):
    for coded in (safe(name), safe_state(name)):
        assert unsafe(coded) == name
        assert re.fullmatch("[a-z0-9_]+", coded)
    assert not safe(name)[0].isdigit()


def test_safe_names_keep_names_apart_whatever_their_capitals():
    coded = {safe(name) for name in WEIRD}
    assert len({name.lower() for name in coded}) == len(WEIRD)


@given(networks)
@few
def test_pgmpy_and_back(network):
    assert same(network, pgmpy_door.from_pgmpy(pgmpy_door.to_pgmpy(network)))


@pytest.mark.parametrize("kind", ["bif", "xmlbif", "uai"])
@given(networks)
@few
def test_files_keep_every_digit(kind, network):
    text = text_of(network, kind)
    assert same(network, parse(text, kind, names=uai.names_text(network)))


@given(networks)
@settings(few, max_examples=4)
def test_pgmpys_own_reader_agrees_with_ours(network):
    text = text_of(network, "bif")
    assert same(pgmpy_door.from_pgmpy(pgmpy_door.bif_model(text)), bif.read(text))


def test_same_tells_one_bit():
    network = network_from(np.random.default_rng(1), 4)
    table = network.tables[3].copy()
    table.flat[0] = np.nextafter(table.flat[0], 2.0)
    other = Network(network.names, network.states, network.parents, (*network.tables[:3], table))
    assert same(network, network) and not same(network, other)


@given(st.integers(0, 2**32))
@settings(max_examples=8, deadline=None, derandomize=True)
def test_variable_elimination_agrees_with_the_joint(seed):
    from pgmpy.inference import VariableElimination

    network = network_from(np.random.default_rng(seed), 5)
    joint = np.ones(network.cards)
    for state in itertools.product(*map(range, network.cards)):
        for v, parents in enumerate(network.parents):
            joint[state] *= network.tables[v][(*(state[p] for p in parents), state[v])]
    evidence = network.states[4][-1]
    given_last = joint[..., -1].sum(axis=(1, 2, 3))
    if given_last.sum() == 0:
        return
    engine = VariableElimination(pgmpy_door.to_pgmpy(network))
    found = engine.query([network.names[0]], {network.names[4]: evidence}, show_progress=False)
    assert found.values == pytest.approx(given_last / given_last.sum(), abs=1e-12)


def test_uai_lists_the_child_fastest():
    """UAI 2008 format: the last variable of a table's scope changes fastest."""
    rain = frozen(np.array([0.75, 0.25]))
    wet = frozen(np.array([[0.9, 0.1], [0.2, 0.8]]))
    text = uai.text_of(Network(("rain", "wet"), (("n", "y"),) * 2, ((), (0,)), (rain, wet)))
    assert " ".join(text.split()) == "BAYES 2 2 2 2 1 0 2 0 1 2 0.75 0.25 4 0.9 0.1 0.2 0.8"


def test_another_library_reads_the_same_tables(tmp_path):
    """pyAgrum, whose BIF reader keeps single precision; its UAI reader is checked with one parent alone."""
    gum = pytest.importorskip("pyagrum")
    rng = np.random.default_rng(4)
    tables = (
        rng.dirichlet([1, 1]),
        rng.dirichlet([1] * 3),
        rng.dirichlet([1, 1], (2, 3)),
        rng.dirichlet([1] * 2, 3),
    )
    states = (("n", "y"), ("n", "m", "y"), ("n", "y"), ("n", "y"))
    network = Network(("a", "b", "c", "d"), states, ((), (), (0, 1), (1,)), tuple(map(frozen, tables)))
    for kind, name, variable, parents in (
        ("bif", "n.bif", "c", "ab"), ("xmlbif", "n.bifxml", "c", "ab"), ("uai", "n.uai", "3", "1")
    ):  # fmt: skip
        write_network(network, tmp_path / name, kind)
        read = gum.loadBN(str(tmp_path / name))
        table = network.tables["abcd".index(variable) if kind != "uai" else int(variable)]
        place = gum.Instantiation(read.cpt(variable))
        for state in itertools.product(*map(range, table.shape)):
            for other, value in zip((*parents, variable), state, strict=True):
                place.chgVal(other, value)
            assert read.cpt(variable)[place] == pytest.approx(table[state], abs=1e-7)


def test_a_uai_with_remarks_is_read():
    assert uai.read("BAYES\n1\n2\n1\n1 0  # rain\n\n2\n 0.75 0.25").tables[0].tolist() == [0.75, 0.25]


def test_pgmpys_uai_is_still_not_to_be_trusted():
    """The day this fails, pgmpy's writer may do what ours does; see `uai`."""
    from pgmpy.readwrite import UAIWriter

    wet = frozen(np.array([[0.9, 0.1], [0.2, 0.8]]))
    rain = frozen(np.array([0.75, 0.25]))
    network = Network(("rain", "wet"), (("n", "y"),) * 2, ((), (0,)), (rain, wet))
    with pytest.raises(InvalidModel, match=r"variable 1 misses a sum of 1 by 0.1"):
        uai.read(str(UAIWriter(pgmpy_door.to_pgmpy(network))))


@pytest.mark.parametrize("name", ["n.bif", "n.xmlbif", "n.uai"])
def test_files_carry_the_notice_and_come_back(tmp_path, name):
    network = network_from(np.random.default_rng(3), 6, WEIRD)
    written = write_network(network, tmp_path / name, subject="invented")
    assert any("not approved maintenance data" in path.read_text() for path in written)
    assert same(network, read_network_file(tmp_path / name))


GOOD = """network x {
}
variable a { type discrete [ 2 ] { n, y }; }
variable b { type discrete [ 2 ] { n, y }; }
probability ( a ) { table 0.9, 0.1; }
probability ( b | a ) {
  (n) 0.9, 0.1;
  (y) 2e-1, 0.8;
}"""


def test_a_bif_without_last_newline_is_read_whole():
    network = bif.read(GOOD)
    assert network.names == ("a", "b") and network.tables[1].tolist() == [[0.9, 0.1], [0.2, 0.8]]


def test_default_rows_and_flat_tables():
    rows = "  (n) 0.9, 0.1;\n  (y) 2e-1, 0.8;\n"
    assert bif.read(GOOD.replace(rows, "default 0.9, 0.1; (y) 0.2, 0.8;")).tables[1][0].tolist() == [0.9, 0.1]
    flat = bif.read(GOOD.replace(rows, "table 0.9, 0.2, 0.1, 0.8;"))
    assert flat.tables[1].tolist() == [[0.9, 0.1], [0.2, 0.8]]


@pytest.mark.parametrize(
    ("old", "new", "line", "told"),
    [
        ("  (y) 2e-1, 0.8;\n", "", 6, "no row (y)"),
        ("(y)", "(n)", 8, "a second time"),
        ("(y)", "(q)", 8, "no states"),
        ("0.8", "0.9", 6, "sums to 1.1"),
        ("0.8", "eight", 8, "eight"),
        ("0.8", "nan", 8, "0..1"),
        ("0.8", "1.8", 8, "0..1"),
        (", 0.8", "", 8, "found 1 numbers"),
        ("b | a", "b | c", 6, "c is no variable"),
        ("b | a", "b | b", 6, "twice"),
        ("probability ( a ) { table 0.9, 0.1; }", "", 9, "a has no table"),
        ("[ 2 ] { n, y }; }\nvariable b", "[ 3 ] { n, y }; }\nvariable b", 3, "found 2 states; expected 3"),
        ("variable b", "variable a", 4, "a second time"),
        ("network", "netwerk", 1, "netwerk"),
        ("(y) 2e-1, 0.8;\n}", "(y) 2e-1", 8, "the file ends"),
        ("{ n, y }", '{ "n, y }', 3, "quotation mark"),
    ],
)
def test_what_is_wrong_with_a_bif_is_told_with_its_line(old, new, line, told):
    assert old in GOOD
    with pytest.raises(InvalidModel) as caught:
        bif.read(GOOD.replace(old, new, 1), "net.bif")
    (problem,) = caught.value.problems
    assert problem.where.file == "net.bif" and problem.where.line == line
    assert told in problem.message


def test_a_circle_is_told():
    text = GOOD.replace(
        "probability ( a ) { table 0.9, 0.1; }", "probability ( a | b ) { default 0.9, 0.1; }"
    )
    with pytest.raises(InvalidModel, match="circle through a, b"):
        bif.read(text)


def mutilated(text: str, seed: int) -> str:
    rng = np.random.default_rng(seed)
    for _ in range(rng.integers(1, 4)):
        start = int(rng.integers(0, len(text) or 1))
        text = (
            text[:start]
            + str(rng.choice(["", "}", "{", "-1", "\x00", ";", "|", "é", "<"]))
            + text[start + int(rng.integers(0, 9)) :]
        )
    return text


@pytest.mark.parametrize("kind", ["bif", "xmlbif", "uai"])
@given(st.integers(0, 2**32))
@few
def test_no_file_makes_a_traceback(kind, seed):
    network = network_from(np.random.default_rng(5), 4)
    try:
        found = parse(mutilated(text_of(network, kind), seed), kind, "f")
    except FaultisoError as error:
        assert str(error).startswith("f")
    else:
        assert all(abs(table.sum(axis=-1) - 1).max() < 1e-5 for table in found.tables)


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "n.bif").write_text(GOOD)
    (tmp_path / "r.json").write_text('{"faults": ["a"], "checks": {"b": 5}}')
    return tmp_path


def test_roles(folder):
    network, roles = read_network(folder / "n.bif", folder / "r.json")
    assert roles.faults == ("a",) and roles.checks == {"b": 5.0} and network.names == ("a", "b")


def test_roles_may_use_the_names_as_the_network_file_writes_them(tmp_path):
    tables = (frozen(np.array([0.9, 0.1])), frozen(np.array([[0.9, 0.1], [0.2, 0.8]])))
    network = Network(("pump.worn", "Check 1"), (("absent", "present"), ("n", "y")), ((), (0,)), tables)
    write_network(network, tmp_path / "n.bif")
    for fault, check in (("pump.worn", "Check 1"), ("pump_x2e_worn", "_x43_heck_x20_1")):
        (tmp_path / "r.json").write_text(json.dumps({"faults": [fault], "checks": {check: 3}}))
        _, roles = read_network(tmp_path / "n.bif", tmp_path / "r.json")
        assert roles.faults == ("pump.worn",) and roles.checks == {"Check 1": 3.0}


@pytest.mark.parametrize(
    ("roles", "told"),
    [
        ("[]", "found a list"),
        ("{", "no JSON"),
        ('{"faults": ["a"]}', "checks: nothing"),
        ('{"faults": "a", "checks": {}}', "faults: a text"),
        ('{"faults": ["aa"], "checks": {}}', "nearest: a"),
        ('{"faults": [1], "checks": {}}', "a number"),
        ('{"faults": [], "checks": {}}', "at least one"),
        ('{"faults": ["a"], "checks": {"a": 1}}', "expected one role"),
        ('{"faults": ["a"], "checks": {"b": -1}}', "-1 minutes"),
        ('{"faults": ["a"], "checks": {"b": NaN}}', "NaN minutes"),
        ('{"faults": ["a"], "checks": {"b": true}}', "true minutes"),
        ('{"faults": ["a"], "faults": ["b"], "checks": {}}', "twice"),
        ('{"faults": ["a"], "checks": {}, "check": {}}', "nearest: checks"),
        ("[" * 100_000, "nested too deeply"),
    ],
)
def test_what_is_wrong_with_roles_is_told(folder, roles, told):
    (folder / "r.json").write_text(roles)
    with pytest.raises(InvalidModel, match=r"r\.json") as caught:
        read_network(folder / "n.bif", folder / "r.json")
    assert told in str(caught.value)


def test_files_that_cannot_be_opened(folder):
    for path in (folder, folder / "none.bif", folder / "n.txt", folder / "a\0b.bif"):
        with pytest.raises(UsageError):
            read_network(path, folder / "r.json")
    (folder / "latin.bif").write_bytes(b"network \xff {}")
    with pytest.raises(InvalidModel, match="UTF-8"):
        read_network(folder / "latin.bif", folder / "r.json")


def test_a_written_synthetic_network_reads_to_the_last_digit(tmp_path):
    """Leaky noisy-OR rows written with `repr`, as a generator of test networks would."""
    rng = np.random.default_rng(11)
    leak, weight = 0.001, rng.uniform(0.6, 0.99, 3)
    lines = ["network synthetic {\n}"]
    lines += [
        f"variable {v} {{\n  type discrete [ 2 ] {{ normal, abnormal }};\n}}" for v in ("f0", "f1", "f2", "c")
    ]
    lines += [
        f"probability ( f{i} ) {{\n  table {1 - p!r}, {p!r};\n}}" for i, p in enumerate([1e-4, 3.3e-3, 0.01])
    ]
    rows, expected = [], []
    for values in itertools.product((0, 1), repeat=3):
        p = float(1 - (1 - leak) * np.prod([1 - w for w, x in zip(weight, values, strict=True) if x]))
        key = ", ".join(("normal", "abnormal")[x] for x in values)
        rows.append(f"  ({key}) {1 - p!r}, {p!r};")
        expected.append([1 - p, p])
    lines.append("probability ( c | f0, f1, f2 ) {\n" + "\n".join(rows) + "\n}")
    (tmp_path / "n.bif").write_text("\n".join(lines) + "\n")
    (tmp_path / "r.json").write_text(
        json.dumps({"faults": ["f0", "f1", "f2"], "states": [], "checks": {"c": 7}})
    )
    network, _ = read_network(tmp_path / "n.bif", tmp_path / "r.json")
    assert network.tables[network.index["c"]].reshape(-1, 2).tolist() == expected
