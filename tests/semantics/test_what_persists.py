"""What lasts from one moment to the next, and what work, memory and visits change; figures by hand."""

from __future__ import annotations

import pytest

from .small import at, begin, believe, model, outcomes, prior, repaired, seen

LEAKING = """
components:
  line: {faults: {leaking: {rate: 0.1, source: invented}}}
quantities:
  fluid: {levels: [full, low], causes: [{fault: line.leaking, gives: {low: 0.9}}], remember: yes}
checks:
  sight_glass: {reads: fluid, minutes: 1}
  look: {reads: line.leaking, minutes: 1}
repairs:
  change_line: {clears: line, minutes: 30}
  service: {clears: [], minutes: 10, resets: fluid}
"""


def test_a_mended_leak_does_not_fill_the_reservoir_until_it_is_serviced() -> None:
    line = model(LEAKING)
    low = seen("sight_glass", "low", 0)
    mended = begin(line).after_work(repaired(line, "change_line"))
    assert believe(line, mended, low).faults["line.leaking"] == 0
    assert outcomes(line, mended, "sight_glass", low) == pytest.approx({"low": 1})
    serviced = mended.after_work(repaired(line, "service"))
    assert outcomes(line, serviced, "sight_glass", low) == pytest.approx({"full": 1})


def test_service_alone_lets_the_level_fall_again() -> None:
    line = model(LEAKING)
    serviced = begin(line).after_work(repaired(line, "service"))
    assert outcomes(line, serviced, "sight_glass", seen("sight_glass", "low", 0)) == pytest.approx({"low": 1})


def test_what_was_seen_before_a_repair_still_counts() -> None:
    """Low before the change and full after change and service: it was the line, and it is cured."""
    line = model(LEAKING.replace("remember: yes", "leak: {low: 0.05}"))
    mended = begin(line).after_work(repaired(line, "change_line"))
    p = prior(0.1)
    by_line, by_other = p * (1 - 0.1 * 0.95), (1 - p) * 0.05
    leak_given_low = (p * 0.05 + by_other) / (by_line + by_other)
    found = outcomes(line, mended, "sight_glass", seen("sight_glass", "low", 0))
    assert found["low"] == pytest.approx(leak_given_low)


WORN = """
conditions:
  engine: {values: [stopped, idle]}
  door: {values: [shut, open]}
components:
  pump: {faults: {worn: {rate: 0.1, source: invented}, sheared: {rate: 0.05, source: invented}}}
quantities:
  pressure:
    levels: [normal, low]
    rules: [{when: {engine: stopped}, then: low}]
    causes: [{fault: pump.worn, gives: {low: 0.8}}, {fault: pump.sheared, gives: {low: 1}}]
indications:
  caution:
    kind: light
    outcomes: [out, lit]
    memory: MEMORY
    rules:
      - {when: {engine: stopped}, then: out}
      - {when: {pressure: low}, then: lit}
      - {then: out}
checks:
  look: {reads: pump.worn, minutes: 1}
repairs:
  change_pump: {clears: pump, minutes: 60, fails: 0.25}
  mend_shaft: {clears: pump.sheared, minutes: 60}
  clear_memory: {clears: [], minutes: 1, resets: caution}
"""
PLAIN = WORN.replace("    memory: MEMORY\n", "")
LATCHED = WORN.replace("MEMORY", "latched")


def test_a_repair_that_fails_leaves_all_its_faults() -> None:
    pump = model(PLAIN)
    after = begin(pump, engine="idle").after_work(repaired(pump, "change_pump"))
    belief = believe(pump, after)
    worn, sheared = prior(0.1), prior(0.05)
    assert belief.faults["pump.worn"] == pytest.approx(worn * 0.25)
    sets = {diagnosis.faults: diagnosis.probability for diagnosis in belief.diagnoses}
    assert sets["pump.sheared", "pump.worn"] == pytest.approx(worn * sheared * 0.25)
    lit = (seen("caution", "lit", 0), seen("caution", "lit", 1))
    assert sum(believe(pump, after, *lit).faults.values()) >= 1
    out = believe(pump, after, lit[0], seen("caution", "out", 1))
    assert out.faults == pytest.approx({"pump.worn": 0, "pump.sheared": 0})


def test_effects_survive_an_unrelated_repair() -> None:
    """A worn pump that does not lower the pressure goes on not lowering it after the shaft was mended."""
    pump = model(PLAIN)
    mended = begin(pump, engine="idle").after_work(repaired(pump, "mend_shaft"))
    readings = (seen("look", "present"), seen("caution", "out", 0))
    assert outcomes(pump, mended, "caution", *readings) == pytest.approx({"out": 1})


@pytest.mark.parametrize("memory", ["latched", "stored"])
def test_a_latched_light_stays_until_it_is_reset(memory: str) -> None:
    pump = model(WORN.replace("MEMORY", memory))
    seen_worn = (seen("look", "present"), seen("caution", "lit", 0))
    timeline = begin(pump, engine="idle").then(at(pump, engine="stopped"))
    assert outcomes(pump, timeline, "caution", *seen_worn) == pytest.approx({"lit": 1})
    cleared = timeline.after_work(repaired(pump, "clear_memory"))
    assert outcomes(pump, cleared, "caution", *seen_worn) == pytest.approx({"out": 1})


def test_a_light_without_memory_goes_out_with_the_engine() -> None:
    pump = model(PLAIN)
    timeline = begin(pump, engine="idle").then(at(pump, engine="stopped"))
    assert outcomes(pump, timeline, "caution", seen("caution", "lit", 0)) == pytest.approx({"out": 1})


def test_a_latched_light_tells_of_the_moment_that_nobody_watched() -> None:
    pump = model(LATCHED)
    timeline = begin(pump, engine="idle").then(at(pump, engine="stopped"))
    dark = believe(pump, timeline, seen("caution", "out", 1))
    assert dark.faults["pump.sheared"] == 0
    assert dark.faults["pump.worn"] == pytest.approx(prior(0.1) * 0.2 / (1 - prior(0.1) * 0.8))


LOOSE = """
conditions:
  shaking: {values: [no, yes]}
components:
  plug: {faults: {loose: {rate: 0.2, source: invented, intermittent:
          {brought_out_by: {shaking: yes}, share: 0.6, otherwise: 0.1}}}}
checks:
  look: {reads: plug.loose, minutes: 1}
"""


def test_an_intermittent_fault_is_drawn_anew_in_each_visit() -> None:
    plug, p = model(LOOSE), prior(0.2)
    two = begin(plug, shaking="yes").then(at(plug, shaking="yes"))
    first = believe(plug, two, seen("look", "absent", 0)).faults["plug.loose"]
    assert first == pytest.approx(p * 0.4 / (1 - p * 0.6))
    second = believe(plug, two, seen("look", "absent", 0), seen("look", "absent", 1)).faults["plug.loose"]
    assert second == pytest.approx(p * 0.16 / (1 - p + p * 0.16))
    assert outcomes(plug, two, "look", seen("look", "present", 0))["present"] == pytest.approx(0.6)


def test_within_one_visit_an_intermittent_fault_does_not_change() -> None:
    plug = model(LOOSE + "  look_too: {reads: plug.loose, minutes: 1}\n")
    now = begin(plug, shaking="yes")
    assert outcomes(plug, now, "look_too", seen("look", "present")) == pytest.approx({"present": 1})
    assert outcomes(plug, now, "look_too", seen("look", "absent")) == pytest.approx({"absent": 1})


def test_other_conditions_bring_it_out_less() -> None:
    plug = model(LOOSE)
    still = begin(plug, shaking="yes").then(at(plug, shaking="no"))
    assert outcomes(plug, still, "look", seen("look", "present", 0))["present"] == pytest.approx(0.1)


def test_any_of_several_conditions_brings_it_out() -> None:
    text = LOOSE.replace("conditions:\n", "conditions:\n  heat: {values: [cold, hot]}\n")
    plug = model(text.replace("{shaking: yes}", "[{shaking: yes}, {heat: hot}]"))
    hot = begin(plug).then(at(plug, heat="hot"))
    cold = hot.then(at(plug))
    assert outcomes(plug, hot, "look")["present"] == pytest.approx(prior(0.2) * 0.6)
    assert outcomes(plug, cold, "look")["present"] == pytest.approx(prior(0.2) * 0.1)


WORK = """
components:
  plug: {faults: {loose: {rate: 0.2, source: invented}}}
checks:
  look: {reads: plug.loose, minutes: 1}
repairs:
  reseat: {clears: [], minutes: 1, disturbs: {plug.loose: 0.7}}
  rattle: {clears: [], minutes: 1, may_leave: {plug.loose: 0.3}}
  fumble: {clears: [], minutes: 1, disturbs: {plug.loose: 1}, may_leave: {plug.loose: 1}}
  change_plug: {clears: plug, minutes: 5, may_leave: {plug.loose: 0.1}}
"""


def test_disturbing_silences_without_curing() -> None:
    plug = model(WORK)
    after = begin(plug).after_work(repaired(plug, "reseat"))
    was_loose = seen("look", "present", 0)
    assert believe(plug, after, was_loose).faults["plug.loose"] == pytest.approx(1)
    assert outcomes(plug, after, "look", was_loose)["present"] == pytest.approx(0.3)
    silent = believe(plug, after, was_loose, seen("look", "absent", 1))
    assert silent.faults["plug.loose"] == pytest.approx(1)
    again = after.then(at(plug))
    assert outcomes(plug, again, "look", was_loose, seen("look", "absent", 1)) == pytest.approx({"absent": 1})


def test_work_may_leave_a_fault_behind() -> None:
    plug, p = model(WORK), prior(0.2)
    after = begin(plug).after_work(repaired(plug, "rattle"))
    assert believe(plug, after).faults["plug.loose"] == pytest.approx(1 - (1 - p) * 0.7)
    assert believe(plug, after, seen("look", "absent", 0)).faults["plug.loose"] == pytest.approx(0.3)
    changed = begin(plug).after_work(repaired(plug, "change_plug"))
    assert believe(plug, changed).faults["plug.loose"] == pytest.approx(0.1)


def test_each_piece_of_work_has_its_own_luck() -> None:
    plug = model(WORK)
    timeline = begin(plug)
    for key in ("first", "second"):
        timeline = timeline.after_work(repaired(plug, "rattle", key))
    assert believe(plug, timeline, seen("look", "absent", 0)).faults["plug.loose"] == pytest.approx(1 - 0.49)


def test_each_touch_silences_by_its_own_luck() -> None:
    plug = model(WORK)
    twice = (
        begin(plug)
        .after_work(repaired(plug, "reseat", "first"))
        .after_work(repaired(plug, "reseat", "second"))
    )
    assert outcomes(plug, twice, "look", seen("look", "present", 0))["present"] == pytest.approx(0.3 * 0.3)


def test_a_fault_that_work_leaves_is_not_silenced_by_what_was_disturbed_before() -> None:
    plug = model(WORK)
    after = begin(plug).after_work(repaired(plug, "fumble"))
    assert outcomes(plug, after, "look") == pytest.approx({"present": 1})


def test_an_intermittent_fault_left_for_certain_still_comes_and_goes() -> None:
    plug = model(LOOSE + "repairs:\n  rattle: {clears: [], minutes: 1, may_leave: {plug.loose: 1}}\n")
    after = begin(plug, shaking="yes").after_work(repaired(plug, "rattle"))
    assert outcomes(plug, after, "look")["present"] == pytest.approx(0.6)


SWITCHES = """
components:
  switch_1: {faults: {stuck: {rate: 0.2, source: invented}, burnt: {rate: 0.1, source: invented}}}
  switch_2: {faults: {stuck: {rate: 0.05, source: invented}}}
checks:
  look_1: {reads: switch_1.stuck, minutes: 1}
  look_2: {reads: switch_2.stuck, minutes: 1}
repairs:
  exchange: {clears: [], minutes: 5, swaps: [[switch_1, switch_2]]}
  exchange_back: {clears: [], minutes: 5, swaps: [[switch_2, switch_1]]}
  known_good: {clears: [], minutes: 5, swaps: [[switch_1, spare]]}
"""


def test_the_faults_go_with_the_unit() -> None:
    pair = model(SWITCHES)
    swapped = begin(pair).after_work(repaired(pair, "exchange"))
    was_1 = seen("look_1", "present", 0)
    found = believe(pair, swapped, was_1)
    assert found.faults["switch_2.stuck"] == pytest.approx(1)
    assert found.faults["switch_1.stuck"] == pytest.approx(prior(0.05))
    assert outcomes(pair, swapped, "look_2", was_1) == pytest.approx({"present": 1})


@pytest.mark.parametrize("name", ["exchange", "exchange_back"])
def test_a_failure_mode_without_a_place_at_the_other_end_leaves_with_its_unit(name: str) -> None:
    pair = model(SWITCHES)
    swapped = begin(pair).after_work(repaired(pair, name))
    assert believe(pair, swapped).faults["switch_1.burnt"] == 0


def test_a_spare_brings_no_fault() -> None:
    pair = model(SWITCHES)
    swapped = begin(pair).after_work(repaired(pair, "known_good"))
    found = believe(pair, swapped)
    assert found.faults == pytest.approx(
        {"switch_2.stuck": prior(0.05), "switch_1.stuck": 0, "switch_1.burnt": 0}
    )


def test_a_silenced_fault_stays_silent_in_the_other_place() -> None:
    pair = model(SWITCHES + "  tap: {clears: [], minutes: 1, disturbs: {switch_1.stuck: 1}}\n")
    swapped = begin(pair).after_work(repaired(pair, "tap")).after_work(repaired(pair, "exchange"))
    was_1 = seen("look_1", "present", 0)
    assert believe(pair, swapped, was_1).faults["switch_2.stuck"] == pytest.approx(1)
    assert outcomes(pair, swapped, "look_2", was_1) == pytest.approx({"absent": 1})
    assert outcomes(pair, swapped, "look_1", seen("look_2", "present", 0)) == pytest.approx({"present": 1})
