"""Every kind of happening the ledger can hold, in EPCIS terms. Knows no table.

`type`, `action` and `biz_step` are EPCIS 2.0 / CBV 2.0 words (GS1; ISO/IEC 19987:2024, 19988:2024). Where CBV
has no word the business step is `other` and our own word stands beside it.
"""

from dataclasses import dataclass
from enum import StrEnum


class Type(StrEnum):
    """EPCIS event types."""

    OBJECT = "ObjectEvent"
    AGGREGATION = "AggregationEvent"
    ASSOCIATION = "AssociationEvent"
    TRANSACTION = "TransactionEvent"
    TRANSFORMATION = "TransformationEvent"


class Role(StrEnum):
    """What a line says of its thing."""

    INPUT = "input"  # used, wholly or in part
    OUTPUT = "output"  # born here
    GAINS = "gains"  # existed before and takes the inputs in
    PART = "part"
    WHOLE = "whole"
    CONTENT = "content"  # lies somewhere else afterwards
    CONTAINER = "container"
    OBSERVED = "observed"
    BY = "by"  # an exposure: cycle, press, mould; one hop, never walked


class Basis(StrEnum):
    """How an amount is known."""

    WEIGHED = "weighed"
    COUNTED = "counted"
    FROM_NEEDS = "from needs"
    UNSAID = "unsaid"


@dataclass(frozen=True, slots=True)
class Step:
    """One kind of happening.

    `balanced`: what goes in comes out, in the same unit, to the last milligram. `carries_on`: it takes the
    things it observes a step further, so a hold on them, on what they are made of, or on the press and mould
    it is done with refuses it. `says_only`: it uses nothing, whatever its lines.
    """

    name: str
    type: Type
    action: str
    biz_step: str
    version: int = 1
    balanced: bool = False
    carries_on: bool = False
    says_only: bool = False


def _catalogue(*steps: Step) -> dict[str, Step]:
    return {step.name: step for step in steps}


_O, _T = Type.OBJECT, Type.TRANSFORMATION

STEPS = _catalogue(
    Step("put into use", _O, "ADD", "commissioning"),
    Step("tags printed", Type.TRANSACTION, "ADD", "encoding"),
    Step("tag replaced", _O, "ADD", "commissioning"),
    Step("lot known", _O, "ADD", "creating_class_instance"),
    Step("one lot", _T, "", "other", says_only=True),
    Step("received", _T, "", "receiving"),
    Step("found", _O, "ADD", "creating_class_instance"),
    Step("moved", Type.AGGREGATION, "ADD", "storing"),
    Step("departed", _O, "OBSERVE", "departing"),
    Step("arrived", _O, "OBSERVE", "arriving"),
    Step("came home", _O, "OBSERVE", "arriving"),
    Step("load weighed", _O, "OBSERVE", "inspecting"),
    Step("waste weighed", _O, "OBSERVE", "collecting"),
    Step("opened", _O, "OBSERVE", "other", carries_on=True),
    Step("drawn", _O, "DELETE", "dispensing"),
    Step("split", _T, "", "repackaging", balanced=True),
    Step("counted", _O, "OBSERVE", "cycle_counting"),
    Step("not found", _O, "OBSERVE", "cycle_counting"),
    Step("re-tested", _O, "OBSERVE", "inspecting"),
    Step("warmed", _O, "OBSERVE", "other", carries_on=True),
    Step("temperature read", _O, "OBSERVE", "sensor_reporting"),
    Step("temperatures logged", _O, "OBSERVE", "sensor_reporting"),
    Step("held", _O, "OBSERVE", "holding"),
    Step("hold lifted", _O, "OBSERVE", "inspecting"),
    Step("written off", _O, "DELETE", "destroying"),
    Step("mixed", _T, "", "commissioning", balanced=True),
    Step("mix corrected", _T, "", "commissioning", balanced=True),
    Step("cut", _T, "", "commissioning", balanced=True),
    Step("glued up", _T, "", "commissioning"),
    Step("laid up", _T, "", "commissioning"),
    Step("layer added", _T, "", "installing"),
    Step("pressed", _O, "OBSERVE", "other", carries_on=True),
    Step("press closed", _O, "OBSERVE", "other", carries_on=True),
    Step("press read", _O, "OBSERVE", "sensor_reporting"),
    Step("press opened", _O, "OBSERVE", "other"),
    Step("judged", _O, "OBSERVE", "inspecting"),
    Step("inspected", _O, "OBSERVE", "inspecting"),
    Step("taken back", _T, "", "disassembling"),
    Step("paired", Type.ASSOCIATION, "ADD", "assembling"),
    Step("parted", Type.ASSOCIATION, "DELETE", "removing"),
    Step("finished", _O, "OBSERVE", "other", carries_on=True),
    Step("workshop closed", _O, "OBSERVE", "other"),
    Step("workshop reopened", _O, "OBSERVE", "other"),
    Step("handed over", _O, "OBSERVE", "retail_selling", carries_on=True),
    Step("step done", _O, "OBSERVE", "other", carries_on=True),
    Step("returned", _O, "OBSERVE", "receiving"),
    Step("return inspected", _O, "OBSERVE", "inspecting"),
    Step("return tied", _O, "OBSERVE", "other"),
    Step("return answered", _O, "OBSERVE", "other"),
    Step("repaired", _T, "", "repairing"),
    Step("serviced", _O, "OBSERVE", "repairing"),
    Step("sent back", _O, "OBSERVE", "shipping", carries_on=True),
    Step("recalled", _O, "OBSERVE", "other"),
    Step("reversed", _O, "OBSERVE", "other"),
    Step("settled", _O, "OBSERVE", "other"),
    Step("erased", _O, "OBSERVE", "other"),
    Step("met", _O, "OBSERVE", "other"),
)
