"""Plans made by hand, a small one and one of three printed pages; the system in them is invented."""

from __future__ import annotations

from faultiso.model.parts import Caution, Change, Condition, Place, Repair, Verification, Work
from faultiso.model.system import Model
from faultiso.planning.tree import Branch, Candidate, Certificate, Plan, Step

REFER = Step("refer", "refer", "stop and refer", 0.0, 0.0)
PROVED = Step("isolated", "proved", "fixed and proved", 0.0, 0.0)


def rig() -> Model:
    """Titles, cautions and conditions of a training rig."""
    run = Change(minutes=3, hazards=("turning",))
    return Model(
        "bench",
        "Lifting bench",
        "training_rig",
        conditions={
            "motor": Condition("motor", "motor", ("stopped", "running"), "stopped", {"running": run})
        },
        cautions={
            "turning": Caution(
                "turning", "turning shaft", "The coupling takes hold of sleeves.", "Guards stay on."
            ),
            "jet": Caution(
                "jet", "fluid under pressure", "A jet goes through skin.", "Look from a distance."
            ),
        },
        repairs={"pump": Repair("pump", "replace the pump", (), Work(60), Verification(inspection=True))},
        equipment={"gauge": Place("gauge", "test gauge", 6)},
        people={"runner": Place("runner", "run-qualified person")},
    )


def small_plan() -> Plan:
    """Two checks, a repair, four ends; one step is cut, one is shared."""
    worn, weak = Candidate(("pump: worn",), 0.7), Candidate(("relief valve: opens early",), 0.3)
    isolated = Step("isolated", "isolated", "isolated", 0, 0, candidates=(worn, weak))
    repair = Step("repair", "pump", "replace the pump", 60, 75,
                  (Branch("verified", 0.9, PROVED), Branch("still there", 0.1, REFER)), (worn, weak))  # fmt: skip
    work = Work(8, people=2, who="runner", equipment=("gauge",), hazards=("jet",), sets={"gauge": "fitted"})
    port = Step("check", "port", "test gauge at the pump outlet", 17, 60,
                (Branch("low", 0.6, repair), Branch("normal", 0.25, isolated)),
                changes={"motor": "running"}, work=work)  # fmt: skip
    nothing = Step("no fault found", "nff", "no fault found", 0, 0)
    lamp = Step("look", "lamp", "low-pressure light", 1, 30,
                (Branch("lit", 0.5, repair), Branch("out", 0.5, nothing)))  # fmt: skip
    cut = Step("check", "level", "check the level again", 4, 90, cut="the time to plan ran out")
    first = Step("check", "sight", "check the sight glass", 4, 52,
                 (Branch("low", 0.38, port), Branch("full", 0.6, lamp), Branch("empty", 0.02, cut)),
                 work=Work(4, hazards=("jet",)))  # fmt: skip
    left = ("Pairs of faults beyond the six likeliest were left out: under 1 in 100.",)
    return Plan(first, Certificate(52, 47.5, "checks made perfect"), left)


def big_plan(checks: int = 24) -> Plan:
    """A long way down with a repair beside each check, every third one shared; a hazard here and there."""
    below = REFER
    repairs: list[Step] = []
    for number in reversed(range(1, checks + 1)):
        if number % 3 == 0 or not repairs:
            unit = Candidate((f"valve {number}: sticks half open after a warm stop",), 0.8)
            repairs.append(Step("repair", f"valve{number}", f"replace valve {number} of the lifting circuit", 45, 60,
                                (Branch("verified", 0.8, PROVED), Branch("still there", 0.2, below)), (unit,)))  # fmt: skip
        unit = Candidate((f"sensor {number}: reads low",), 0.9)
        end = Step("isolated", f"end{number}", "isolated", 0, 0, candidates=(unit,))
        ways = (
            Branch("as it should be", 0.6, below),
            Branch("low", 0.3, repairs[-1]),
            Branch("no reading at all", 0.1, end),
        )
        work = Work(5, hazards=("jet",) if number % 4 == 0 else ())
        changes = {"motor": "running" if number % 2 else "stopped"} if number % 5 == 0 else {}
        below = Step("check", f"c{number}", f"measure the pressure at point {number}", 5 + number % 7, 100 - number, ways,
                     changes=changes, work=work)  # fmt: skip
    return Plan(below, Certificate(99, 80, "clairvoyant"))
