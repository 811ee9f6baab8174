"""One world: what is done to the system, what stays as it is, and what must be known beforehand."""

from __future__ import annotations

from collections.abc import Callable
from subprocess import CompletedProcess

import pytest

from faultiso.base.problems import UsageError
from faultiso.model.system import Model
from faultiso.network.timeline import Timeline
from faultiso.world import chance
from faultiso.world.accept import TooImprobable
from faultiso.world.hidden import Hidden
from faultiso.world.known import AllKnown, Known
from faultiso.world.world import Answer, World, Worlds

from ..models.shipped import model_of
from ..semantics import small
from ..semantics.random_models import random_case

RIG = """
conditions:
  motor: {values: [running, stopped]}
  shaking: {values: [no, yes]}
components:
  pump: {faults: {worn: {rate: 0.2, source: invented}}}
  plug:
    faults:
      loose: {rate: 0.1, source: invented, intermittent: {brought_out_by: {shaking: yes}, share: 0.5}}
  seal: {faults: {torn: {rate: 0.1, source: invented, caused_by: {pump.worn: 0.3}}}}
quantities:
  pressure:
    levels: [normal, low]
    unit: psi
    ranges: {normal: [2700, 2800], low: [300, 2500]}
    rules: [{when: {motor: stopped}, then: normal}]
    causes: [{fault: pump.worn, gives: {low: 0.6}}]
    leak: {low: 0.01}
indications:
  gauge: {kind: gauge, reads: pressure, tolerance: 40, misread: 0.02}
  lamp: {kind: light, reads: plug.loose, misread: 0}
checks:
  test_gauge: {title: test gauge, reads: pressure, tolerance: 10, minutes: 5, miss: 0.05, false_alarm: 0.02}
repairs:
  change_pump: {clears: pump, minutes: 30}
  change_seal: {clears: seal, minutes: 30, may_leave: {plug.loose: 0.4}}
"""

MANY = range(4000)


@pytest.fixture(scope="module")
def rig() -> Model:
    return small.model(RIG)


def share(shown: list[str], wanted: str) -> float:
    return sum(label == wanted for label in shown) / len(shown)


def outcomes(worlds: Worlds, sign: str, timeline: Timeline, moment: int = 0, draw: int = 0) -> list[str]:
    return [answer.outcome for answer in worlds.answers(sign, timeline, moment, draw)]


def test_an_effect_is_there_or_not_until_something_is_repaired(rig: Model) -> None:
    worlds = Worlds(rig, frozenset({"pump.worn"}), MANY)
    stopped = small.begin(rig).then(small.at(rig, motor="stopped"))
    again = stopped.then(small.at(rig, shaking="yes"))
    repaired = again.then(small.at(rig), (small.repaired(rig, "change_pump"),))
    before = worlds.truths("pressure", repaired, 0)
    assert share(before, "low") == pytest.approx(0.604, abs=0.03)
    assert set(worlds.truths("pressure", repaired, 1)) == {"normal"}
    assert worlds.truths("pressure", repaired, 2) == before
    assert share(worlds.truths("pressure", repaired, 3), "low") == pytest.approx(0.01, abs=0.006)


def test_each_cause_has_its_own_luck() -> None:
    text = RIG.replace("gives: {low: 0.6}}", "gives: {low: 0.6}}, {fault: seal.torn, gives: {low: 0.5}}")
    leaky = small.model(text.replace("leak: {low: 0.01}", "leak: {low: 0}"))
    worlds = Worlds(leaky, frozenset({"pump.worn", "seal.torn"}), MANY)
    low = share(worlds.truths("pressure", small.begin(leaky), 0), "low")
    assert low == pytest.approx(1 - 0.4 * 0.5, abs=0.025)


def test_the_same_reading_shows_the_same_again_and_another_reader_errs_anew(rig: Model) -> None:
    worlds = Worlds(rig, frozenset(), MANY)
    again = small.begin(rig).then(small.at(rig, shaking="yes"))
    assert worlds.answers("test_gauge", again, 0) == worlds.answers("test_gauge", again, 1)
    one, two = outcomes(worlds, "gauge", again), outcomes(worlds, "gauge", again, draw=1)
    differs = share([str(a == b) for a, b in zip(one, two, strict=True)], "False")
    assert differs == pytest.approx(2 * 0.02 * 0.98, abs=0.01)


def test_an_intermittent_fault_is_drawn_for_each_visit(rig: Model) -> None:
    worlds = Worlds(rig, frozenset({"plug.loose"}), MANY)
    timeline = small.begin(rig, shaking="yes").then(small.at(rig, shaking="yes")).then(small.at(rig))
    one, two, still = (outcomes(worlds, "lamp", timeline, moment) for moment in range(3))
    both = [f"{a} {b}" for a, b in zip(one, two, strict=True)]
    assert share(both, "present present") == pytest.approx(0.25, abs=0.03)
    assert one == outcomes(worlds, "lamp", timeline, 0)
    assert set(still) == {"absent"}
    assert set(worlds.faults(timeline, 2)) == {frozenset({"plug.loose"})}


def test_work_takes_faults_away_and_may_leave_others(rig: Model) -> None:
    worlds = Worlds(rig, frozenset({"pump.worn", "seal.torn"}), MANY)
    timeline = small.begin(rig).after_work(small.repaired(rig, "change_pump"))
    timeline = timeline.after_work(small.repaired(rig, "change_seal"))
    assert set(worlds.faults(timeline, 0)) == {frozenset({"pump.worn", "seal.torn"})}
    assert set(worlds.faults(timeline, 1)) == {frozenset({"seal.torn"})}
    left = worlds.faults(timeline, 2)
    assert set(left) == {frozenset(), frozenset({"plug.loose"})}
    assert left.count(frozenset()) / len(left) == pytest.approx(0.6, abs=0.03)


def test_the_hidden_faults_are_final(rig: Model) -> None:
    for faults in ({"pump.worn"}, {"seal.torn"}, {"pump.worn", "seal.torn"}):
        assert World(rig, frozenset(faults), 1).faults(small.begin(rig), 0) == faults


@pytest.mark.parametrize(
    ("change", "faults", "text"),
    [
        ("pump.worm", {"pump.worm"}, "no fault is called 'pump.worm'; nearest: pump.worn"),
        ("0.3", {"pump.worn"}, r"just these faults: pump.worn \(seal.torn must be there too\)"),
        ("none", {"seal.torn"}, r"just these faults: seal.torn \(seal.torn can not be there too\)"),
        ("one", {"seal.torn", "pump.worn"}, "just these faults: pump.worn and seal.torn"),
    ],
)
def test_faults_that_the_model_calls_impossible(change: str, faults: set[str], text: str) -> None:
    changed = {
        "pump.worm": RIG,
        "0.3": RIG.replace("caused_by: {pump.worn: 0.3}", "caused_by: {pump.worn: 1}"),
        "none": RIG.replace("torn: {rate: 0.1,", "torn: {rate: 0,"),
        "one": "assume: one fault\n" + RIG.replace(", caused_by: {pump.worn: 0.3}", ""),
    }
    with pytest.raises(UsageError, match=text):
        World(small.model(changed[change]), frozenset(faults), 1)


def test_one_fault_of_a_model_of_single_faults() -> None:
    single = small.model("assume: one fault\n" + RIG.replace(", caused_by: {pump.worn: 0.3}", ""))
    for faults in (frozenset[str](), frozenset({"seal.torn"})):
        assert World(single, faults, 3).faults(small.begin(single), 0) == faults


# what is known beforehand


def test_known_readings_are_shown_and_what_follows_from_them_follows(rig: Model) -> None:
    timeline = small.begin(rig)
    low = Known("gauge", "low", timeline, 0, number=1234.0)
    worlds = Worlds(rig, frozenset({"pump.worn"}), MANY, [low])
    assert set(worlds.answers("gauge", timeline, 0)) == {Answer("low", 1234.0, "psi")}
    truly = 0.604 * 0.98 / (0.604 * 0.98 + 0.396 * 0.02)
    assert worlds.known.chance == pytest.approx(0.604 * 0.98 + 0.396 * 0.02)
    assert share(worlds.truths("pressure", timeline, 0), "low") == pytest.approx(truly, abs=0.01)


def test_a_reading_that_is_wrong_for_certain_is_a_misreading(rig: Model) -> None:
    timeline = small.begin(rig, motor="stopped")
    worlds = Worlds(rig, frozenset({"pump.worn"}), MANY, [Known("gauge", "low", timeline, 0)])
    assert set(outcomes(worlds, "gauge", timeline)) == {"low"}
    assert set(worlds.truths("pressure", timeline, 0)) == {"normal"}
    assert share(outcomes(worlds, "gauge", timeline, draw=1), "low") == pytest.approx(0.02, abs=0.01)


def test_an_impossible_reading_is_named(rig: Model) -> None:
    timeline = small.begin(rig, shaking="yes")
    pins = [Known("gauge", "low", timeline, 0), Known("lamp", "present", timeline, 0)]
    text = r"lamp = present \(moment 1\) is impossible in small with pump.worn wrong"
    with pytest.raises(UsageError, match=text):
        World(rig, frozenset({"pump.worn"}), 1, pins)
    world = World(rig, frozenset({"pump.worn"}), 1, pins, beyond_model=True)
    assert world.answer("lamp", timeline, 0) == Answer("present")
    assert world.answer("lamp", timeline, 0, draw=1) == Answer("absent")
    assert world.answer("gauge", timeline, 0).outcome == "low"


def test_what_is_impossible_by_itself_is_so_whatever_was_forgotten(
    rig: Model, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(chance, "MANY_ROWS", 1)
    monkeypatch.setattr(chance, "FORGET", 0.02)
    monkeypatch.setattr(chance, "MOST_FORGOTTEN", 0.1)
    timeline = small.begin(rig, shaking="yes")
    pins = [Known("gauge", "normal", timeline, 0), Known("lamp", "present", timeline, 0)]
    with pytest.raises(UsageError, match=r"lamp = present \(moment 1\) is impossible"):
        World(rig, frozenset(), 1, pins)


def test_one_reading_can_not_show_two_things(rig: Model) -> None:
    first = small.begin(rig)
    later = first.then(small.at(rig, shaking="yes"))
    pins = [Known("gauge", "low", later, 0), Known("gauge", "normal", later, 1)]
    text = r"gauge = low \(moment 1\) and gauge = normal \(moment 2\) are one and the same reading"
    with pytest.raises(UsageError, match=text):
        World(rig, frozenset(), 1, pins)


def test_names_that_the_model_does_not_have(rig: Model) -> None:
    timeline = small.begin(rig)
    with pytest.raises(UsageError, match="no indication or check is called 'gage'; nearest: gauge"):
        World(rig, frozenset(), 1).answer("gage", timeline, 0)
    with pytest.raises(UsageError, match="gauge cannot be 'high'; expected normal or low"):
        World(rig, frozenset(), 1, [Known("gauge", "high", timeline, 0)])
    with pytest.raises(UsageError, match="a seed is a whole number from 0"):
        World(rig, frozenset(), -1)


LAMPS = "indications:\n" + "\n".join(
    f"  lamp_{n}: {{kind: light, reads: unit.dead, misread: 0.1}}" for n in range(9)
)
DEAD = "components: {unit: {faults: {dead: {rate: 0.1}}}}\nquantities: {heat: {levels: [no, yes], leak: {yes: 0.01}}}\n"


def test_independent_readings_are_drawn_apart() -> None:
    """Nine misreadings together have a chance of 1e-9, far too little for all at once."""
    lamps = small.model(DEAD + LAMPS)
    timeline = small.begin(lamps)
    known = [Known(f"lamp_{n}", "present", timeline, 0) for n in range(9)]
    worlds = Worlds(lamps, frozenset(), range(50), known)
    assert worlds.known.chance == pytest.approx(1e-9)
    assert all(set(outcomes(worlds, f"lamp_{n}", timeline)) == {"present"} for n in range(9))


def test_what_is_too_improbable_is_told_with_its_probability() -> None:
    heat = "\n".join(
        f"  lamp_{n}: {{kind: light, outcomes: [out, lit], misread: 0.0005, rules: [{{when: {{heat: yes}}, then: lit}}, {{then: out}}]}}"
        for n in range(2)
    )
    lamps = small.model(DEAD + "indications:\n" + heat)
    timeline = small.begin(lamps)
    known = [Known("lamp_0", "lit", timeline, 0), Known("lamp_1", "out", timeline, 0)]
    by_hand = 0.01 * 0.9995 * 0.0005 + 0.99 * 0.0005 * 0.9995
    assert AllKnown(Hidden(lamps, frozenset()), known).chance == pytest.approx(by_hand)
    found = Worlds(lamps, frozenset(), range(5), known)
    assert [set(outcomes(found, f"lamp_{n}", timeline)) for n in range(2)] == [{"lit"}, {"out"}]
    told = AllKnown(Hidden(lamps, frozenset()), known).improbable(0.1)
    assert [item.sign for item, _ in told] == ["lamp_0", "lamp_1"]
    assert told[0][1] == pytest.approx(0.01 * 0.9995 + 0.99 * 0.0005)
    with pytest.raises(TooImprobable, match=r"lamp_0 = lit and lamp_1 = out: probability 0.0005 given"):
        Worlds(lamps, frozenset(), [1], known, most_draws=1000)


def test_readings_whose_chance_is_too_much_to_work_out(rig: Model, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same draws are found without knowing how probable they are; what is impossible is never found."""
    timeline = small.begin(rig)
    pins = [Known("gauge", "low", timeline, 0, draw) for draw in (0, 1)]
    faults, seeds = frozenset({"pump.worn"}), range(50)
    expected = outcomes(Worlds(rig, faults, seeds, pins), "test_gauge", timeline)
    monkeypatch.setattr(chance, "MANY_ROWS", 1)
    monkeypatch.setattr(chance, "MOST_ROWS", 1)
    worlds = Worlds(rig, faults, seeds, pins)
    assert worlds.known.chances is None and worlds.known.chance is None and worlds.known.impossible == ()
    assert outcomes(worlds, "test_gauge", timeline) == expected
    with pytest.raises(TooImprobable, match=r"lamp = present: less probable than 0.003, given the hidden"):
        pins.append(Known("lamp", "present", timeline, 0))
        Worlds(rig, faults, [1], pins, most_draws=1000)


# numbers


def test_a_number_lies_in_the_range_of_what_is_read_with_the_scatter_of_its_instrument(rig: Model) -> None:
    timeline = small.begin(rig)
    for faults in (frozenset[str](), frozenset({"pump.worn"})):
        answers = Worlds(rig, faults, MANY).answers("gauge", timeline, 0)
        for level, low, high in (("normal", 2700, 2800), ("low", 300, 2500)):
            numbers = [a.number for a in answers if a.outcome == level and a.number is not None]
            assert all(low - 100 <= number <= high + 100 for number in numbers)
            assert all(number % 20 == 0 for number in numbers)
            middle = sum(numbers) / len(numbers)
            assert middle == pytest.approx((low + high) / 2, abs=4 * (high - low) / len(numbers) ** 0.5)
        assert {a.unit for a in answers} == {"psi"}


# the same on every machine, in whatever order


def all_answers(model: Model, world: World, timeline: Timeline, backwards: bool) -> dict[str, list[object]]:
    looks = [(s.name, m, d) for s in model.signs() for m in range(timeline.now + 1) for d in (0, 1)]
    found = {}
    for sign, moment, draw in reversed(looks) if backwards else looks:
        so_far = timeline if backwards else Timeline(timeline.moments[: moment + 1])
        answer = world.answer(sign, so_far, moment, draw)
        found[f"{sign} {moment} {draw}"] = [answer.outcome, answer.number]
    return dict(sorted(found.items()))


@pytest.mark.parametrize("seed", range(40))
def test_the_order_of_questions_makes_no_difference(seed: int) -> None:
    case = random_case(seed)
    worlds = [World(case.model, frozenset(), seed) for _ in range(2)]
    one, two = (
        all_answers(case.model, w, case.timeline, b) for w, b in zip(worlds, (False, True), strict=True)
    )
    assert one == two
    assert all_answers(case.model, worlds[0], case.timeline, True) == one


REPLAYED = (
    (
        "workshop-power-cart",
        {"pump.worn", "transmitter_plug.loose"},
        ("at_pressure", "standing_by"),
        (3, 2**63),
    ),
    ("whinchat-hydraulics", {"accumulator_1.piston_seal"}, ("cruise",), (1,)),
)


def replayed() -> str:
    """What some worlds answer, one look a line; in the first moment of all the first indication is known."""
    lines = []
    for name, faults, situations, seeds in REPLAYED:
        model, timeline = model_of(name), Timeline(())
        for situation in situations:
            timeline = timeline.then(model.situations[situation].values)
        first = next(iter(model.indications.values()))
        known = Known(first.name, first.outcomes[-1], timeline, 0)
        for seed in seeds:
            lines.append(f"{name} with {' and '.join(sorted(faults))}, seed {seed}")
            world = World(model, frozenset(faults), seed, [known])
            for sign in model.signs():
                answers = [world.answer(sign.name, timeline, m, 1) for m in range(timeline.now + 1)]
                lines.append(
                    f"  {sign.name}: " + "; ".join(f"{a.outcome} {a.number or ''}".strip() for a in answers)
                )
    return "\n".join(lines) + "\n"


def test_a_world_is_the_same_on_every_machine(golden: Callable[[str, str], None]) -> None:
    golden("worlds.txt", replayed())


def test_a_world_does_not_hang_on_the_hash_seed_of_python(
    faultiso: Callable[..., CompletedProcess[bytes]], golden: Callable[[str, str], None]
) -> None:
    code = "from tests.world.test_world import replayed; print(replayed(), end='')"
    for hash_seed in ("1", "2"):
        golden("worlds.txt", faultiso(code=code, PYTHONHASHSEED=hash_seed).stdout.decode())
