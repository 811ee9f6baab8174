"""The columns of a failure-modes worksheet.

The heads are those of the worksheets of MIL-STD-1629A (1980), Task 101 (failure modes and effects) and Task
102 (criticality), as remembered: the standard itself was not at hand.
"""

from __future__ import annotations

from faultiso.base.columns import Column

COLUMNS = (
    Column("id", ("identification number", "id number", "id no", "id", "no", "number", "item no")),
    Column("item", ("item/functional identification (nomenclature)", "item identification", "item",
                    "item name", "component", "part", "part name", "unit"), required=True),
    Column("function", ("function", "functions")),
    Column("mode", ("failure modes and causes", "failure mode", "failure modes", "mode",
                    "failure mode and cause", "mode of failure"), required=True),
    Column("cause", ("failure causes", "failure cause", "cause", "causes")),
    Column("phase", ("mission phase/operational mode", "mission phase", "operational mode", "phase",
                     "operating mode")),
    Column("local", ("local effects", "local effect", "local", "failure effects local", "effect on item")),
    Column("next", ("next higher level", "next higher level effects", "next higher effects",
                    "next higher effect", "next level effects", "failure effects next higher level")),
    Column("end", ("end effects", "end effect", "end", "failure effects end", "failure effects", "effects",
                   "effect", "system effect")),
    Column("detection", ("failure detection method", "detection method", "failure detection", "detection",
                         "detected by", "method of detection")),
    Column("compensating", ("compensating provisions", "compensating provision", "compensation")),
    Column("severity", ("severity class", "severity classification", "severity category", "severity", "sev")),
    Column("remarks", ("remarks", "remark", "notes", "comments")),
    Column("source", ("failure rate data source", "failure probability/failure rate data source",
                      "data source", "source")),
    Column("beta", ("failure effect probability (beta)", "failure effect probability (β)")),
    Column("alpha", ("failure mode ratio (alpha)", "failure mode ratio (α)", "mode ratio", "ratio")),
    Column("rate", ("failure rate (lambda p)", "part failure rate", "failure rate (λp)", "failure rate (λ)",
                    "lambda", "rate", "fpmh", "failure rate fpmh")),
    Column("time", ("operating time (t)", "operating hours")),
    Column("cm", ("failure mode criticality number (Cm)", "failure mode criticality", "failure mode crit #")),
    Column("cr", ("item criticality number (Cr)", "item criticality", "item crit #")),
    Column("name", ("model name", "fault name")),
)  # fmt: skip
#: what has no key of the language and stands as comments in the model
KEPT = ("compensating", "remarks", "beta", "time", "cm", "cr")
