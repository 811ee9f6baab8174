"""What two models answer to the same cases."""

from __future__ import annotations

import pytest

from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.complaint import complaint
from faultiso.casebook.library import case_files
from faultiso.casebook.load import read_case
from faultiso.drafting.comparing.answers import FELT, answers_of, cases_about
from faultiso.language.load import Loaded, load, load_text
from faultiso.language.shipped import find_model
from faultiso.planning.advice import Advisor

CART = find_model("workshop-power-cart")
FILES = sorted(cases_about(case_files(), "workshop-power-cart").items())


def other(*pairs: tuple[str, str]) -> Loaded:
    text = CART.read_text("utf-8")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    loaded = load_text(text, lint=False)
    assert loaded.model is not None
    return loaded


@pytest.fixture(scope="module")
def cart() -> Loaded:
    return load(CART, lint=False)


def test_the_cases_of_a_model_are_found(tmp_path) -> None:
    assert {name for name, _ in FILES} >= {"hot-cart", "red-light"}
    assert all(read_case(path)[0].model == "workshop-power-cart" for _, path in FILES)
    for number, line in enumerate(
        ["model: ../my/tug.yaml", 'model: "tug"  # mine', "model: tug2", "title: a"]
    ):
        (tmp_path / f"{number}.yaml").write_text(f"case: a\n{line}\n", "utf-8")
    files = {path.stem: path for path in tmp_path.glob("*.yaml")}
    assert sorted(cases_about(files, "tug")) == ["0", "1"]


def test_the_same_model_answers_the_same_and_as_the_reasoner_does(cart: Loaded) -> None:
    done: list[int] = []
    found = answers_of(FILES, cart, cart, {}, done.append)
    assert done == list(range(1, len(FILES) + 1)) and not any(each.moved for each in found)
    case, model = read_case(dict(FILES)["hot-cart"])
    told = complaint(case, model)
    belief = Reasoner(model).belief(told.timeline, told.readings)
    answer = next(each.old for each in found if each.case == "hot-cart")
    assert (answer.fault, answer.chance) == max(belief.faults.items(), key=lambda item: item[1])
    assert answer.action == Advisor(belief).advise(with_looks=2).action.name


def test_what_moved_is_told(cart: Loaded) -> None:
    rarer = other(("title: fan motor failed, rate: 9e-6", "title: fan motor failed, rate: 9e-9"))
    found = {each.case: each for each in answers_of(FILES, cart, rarer, {})}
    hot = found["hot-cart"]
    assert (
        hot.fault_moved
        and hot.chance_moved
        and (hot.old.fault, hot.new.fault) != ("fan.failed", "fan.failed")
    )
    assert hot.old.fault == "fan.failed" and abs(hot.old.chance - hot.new.chance) >= FELT
    assert not found["red-light"].moved


def test_which_of_many_unlikely_faults_is_first_says_nothing(cart: Loaded) -> None:
    """After this case's reports nothing is likely; another first among what is left is no news."""
    other_first = other(("title: shaft seal leaks, rate: 8e-6", "title: shaft seal leaks, rate: 1e-7"))
    (each,) = answers_of([item for item in FILES if item[0] == "yard-start"], cart, other_first, {})
    assert each.old.fault != each.new.fault and each.old.chance < FELT
    assert not each.fault_moved


def test_names_that_changed_do_not_move_it(cart: Loaded) -> None:
    renamed = other(
        ("fan.failed", "fan.broken"), ("      failed: {title: fan motor", "      broken: {title: fan motor")
    )
    hot = [item for item in FILES if item[0] == "hot-cart"]
    case = hot[0][1].read_text("utf-8")
    assert "fan_thermostat" in case or "fan." in case
    (each,) = answers_of(hot, cart, renamed, {"fan.failed": "fan.broken"})
    assert each.new.trouble or not each.fault_moved


def test_a_case_that_does_not_fit_says_why(cart: Loaded) -> None:
    without = other(("overheat_light", "hot_light"))
    found = answers_of(FILES, cart, without, {})
    troubles = [each.new.trouble for each in found if each.new.trouble]
    assert troubles and all("overheat_light" in trouble for trouble in troubles)
    assert all(each.moved for each in found if each.new.trouble)
