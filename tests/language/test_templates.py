"""Templates and included files: what they make, and that problems point at the line to mend."""

from __future__ import annotations

import pytest

from faultiso.language.load import load
from tests.language.frame import HEAD, codes, load_fragment

TEMPLATE = """
zones: {left: {}, right: {}}
templates:
  engine_pump:
    parameters: [n, side]
    components:
      pump_<n>: {title: "pump <n>, <side>", zone: <side>, faults: {worn: {rate: 1e-5, source: invented}}}
    quantities:
      outlet_<n>: {levels: [normal, low], causes: [{fault: pump_<n>.worn, gives: {low: 0.9}}]}
    checks:
      gauge_<n>: {reads: outlet_<n>, minutes: <n>}
uses:
  - {template: engine_pump, n: 1, side: left}
  - {template: engine_pump, n: 2, side: right}
"""


def test_names_texts_and_numbers_are_filled_in():
    model = load_fragment(TEMPLATE, lint=False).model
    assert list(model.components) == ["pump_1", "pump_2"]
    assert model.components["pump_2"].title == "pump 2, right"
    assert model.components["pump_2"].zone == "right"
    assert model.quantities["outlet_2"].causes[0].source == "pump_2.worn"
    assert [check.work.minutes for check in model.checks.values()] == [1.0, 2.0]


def test_parts_keep_the_place_in_the_template():
    model = load_fragment(TEMPLATE, lint=False).model
    assert model.components["pump_1"].where.line == model.components["pump_2"].where.line == 10
    assert model.components["pump_1"].where.length == len("pump_<n>")


def test_a_mistake_in_a_template_is_told_at_its_line_for_each_use():
    loaded = load_fragment(TEMPLATE.replace("fault: pump_<n>.worn", "fault: pump_<n>.wron"))
    assert [(problem.where.line, problem.nearest) for problem in loaded.errors if problem.code == "name"] == [
        (12, "pump_1.worn"),
        (12, "pump_2.worn"),
    ]


def test_a_mistake_that_is_the_same_in_each_use_is_told_once():
    loaded = load_fragment(TEMPLATE.replace("minutes: <n>", "minuts: <n>"))
    assert codes(loaded).count("key") == 1


def test_own_sections_come_before_what_templates_make():
    loaded = load_fragment(
        TEMPLATE + "components: {reservoir: {}}\nflow: [[reservoir, pump_1], [reservoir, pump_2]]\n"
    )
    assert list(loaded.model.components) == ["reservoir", "pump_1", "pump_2"]


def test_the_same_name_twice_is_refused():
    loaded = load_fragment(TEMPLATE + "components: {pump_1: {}}\n")
    assert codes(loaded)[0] == "duplicate"
    assert '"pump_1" is there already' in loaded.problems[0].message


def test_two_uses_with_the_same_values_are_refused():
    loaded = load_fragment(TEMPLATE + "  - {template: engine_pump, n: 2, side: left}\n")
    assert [problem.code for problem in loaded.errors] == ["duplicate"] * 3


def test_a_single_use_needs_no_brackets():
    text = "templates: {z: {parameters: n, zones: {zone_<n>: {}}}}\nuses: {template: z, n: 1}"
    assert list(load_fragment(text).model.zones) == ["zone_1"]


def test_nothing_is_computed_or_filled_in_twice():
    text = "templates: {z: {parameters: [n, m], zones: {zone: {title: <n>, about: <m>}}}}\nuses: {template: z, n: <m>, m: 1+1}"
    zone = load_fragment(text).model.zones["zone"]
    assert (zone.title, zone.about) == ("<m>", "1+1")


def test_a_less_than_sign_is_no_parameter():
    text = 'templates: {z: {parameters: [n], zones: {zone_<n>: {title: "p < 3 and q > <n>"}}}}\nuses: {template: z, n: 1}'
    assert load_fragment(text).model.zones["zone_1"].title == "p < 3 and q > 1"


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (("n: 1, side: left", "n: 1"), 'needs a value for "side"'),
        (("n: 1, side", "m: 1, side"), 'has no parameter "m"; it has n and side'),
        (("n: 1, side", "n: [1], side"), "expected a word, a number or at most 100"),
        (("side: left", "side: " + "x" * 101), "expected a word, a number or at most 100"),
        (("template: engine_pump, n: 1", "template: engine_pmup, n: 1"), "nearest: engine_pump"),
        (("<side>,", "<sied>,"), 'has no parameter "sied"'),
        (("    quantities:", "    quantitys:"), '"quantitys" cannot stand in a template'),
        (("    parameters: [n, side]", "    title: x"), '"title" cannot stand in a template'),
    ],
)
def test_what_is_wrong_with_a_template_is_told(change, message):
    assert change[0] in TEMPLATE
    loaded = load_fragment(TEMPLATE.replace(*change, 1))
    assert loaded.model is None
    assert message in "\n".join(str(problem) for problem in loaded.errors)


@pytest.fixture
def folder(tmp_path):
    def write(**files):
        for name, text in files.items():
            (tmp_path / f"{name}.yaml").write_text(text, "utf-8")
        return load(tmp_path / "main.yaml")

    return write


def test_included_sections_are_part_of_the_model(folder):
    loaded = folder(
        main=HEAD + "include: [left, right.yaml]\n".replace("left,", "left.yaml,") + "zones: {mid: {}}\n",
        left="zones: {left: {}}\nflow: [[a, b]]\ncomponents: {a: {}, b: {}}\n",
        right="zones: {right: {}}\nflow: [[b, a]]\n",
    )
    assert loaded.problems == ()
    assert list(loaded.model.zones) == ["mid", "left", "right"]
    assert len(loaded.model.flow) == 2
    assert loaded.model.zones["left"].where.file.endswith("left.yaml")
    assert len(loaded.texts) == 3


def test_flow_lines_of_all_forms_are_joined(folder):
    loaded = folder(
        main=HEAD + "include: [b.yaml, c.yaml]\nflow: [a, b]\ncomponents: {a: {}, b: {}, c: {}}\n",
        b="flow: {carries: air, path: [b, c]}\n",
        c="flow: [[c, a], {carries: power, path: [a, c]}]\n",
    )
    assert loaded.problems == ()
    assert [link.carries for link in loaded.model.flow] == ["fluid", "air", "fluid", "power"]


def test_templates_may_lie_in_an_included_file(folder):
    loaded = folder(
        main=HEAD + "include: parts.yaml\nuses: [{template: z, n: 1}]\n",
        parts="templates: {z: {parameters: n, zones: {zone_<n>: {}}}}\n",
    )
    assert list(loaded.model.zones) == ["zone_1"]


def test_the_digest_is_that_of_all_files(folder):
    first = folder(main=HEAD + "include: a.yaml\n", a="zones: {left: {}}\n").model.digest
    second = folder(main=HEAD + "include: a.yaml\n", a="zones: {left: {title: x}}\n").model.digest
    assert first != second


@pytest.mark.parametrize(
    ("included", "message"),
    [
        ("include: b.yaml\n", "an included file cannot include others"),
        ("title: other\n", '"title" cannot stand in an included file'),
        ("zones: {mid: {}}\n", '"mid" is there already'),
        ("zones: {left: &a {}}\n", "anchors"),
        ("- zones\n", "a model begins with"),
        ("", "the file is empty"),
        ("zones: [left]\n", "expected names with values"),
        ("templates: {t: {}}\n", 'template "t" is there already'),
    ],
)
def test_what_is_wrong_with_an_included_file_is_told(folder, included, message):
    main = HEAD + "include: a.yaml\nzones: {mid: {}}\ntemplates: {t: {parameters: []}}\n"
    loaded = folder(main=main, a=included)
    assert loaded.model is None
    assert message in "\n".join(str(problem) for problem in loaded.errors)


@pytest.mark.parametrize("name", ["../a.yaml", "/a.yaml", "sub/a.yaml", "a.txt", ".yaml", "..", "a\\b.yaml"])
def test_only_plain_names_beside_the_file(folder, name):
    loaded = folder(main=HEAD + f"include: ['{name}']\n")
    assert codes(loaded) == ["include"]
    assert "plain name" in loaded.problems[0].message


def test_a_file_cannot_include_itself(folder):
    loaded = folder(main=HEAD + "include: main.yaml\n")
    assert [problem.message for problem in loaded.problems] == ["a file cannot include itself"]


def test_a_text_cannot_include():
    assert codes(load_fragment("include: a.yaml")) == ["include"]
