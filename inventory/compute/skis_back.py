"""What is said of a ski that comes back: how it failed, where, why as judged, what was done. Knows no table.

Words of the trade, each with a key that is kept and a sentence that is shown.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from inventory.errors import Sentence, say

SOURCE = "common practice, no source"
RULE_VERSION = 1  # of which skis a recall takes in: `RULE` says it


@dataclass(frozen=True, slots=True)
class Failure:
    """One way a ski fails: its key, its name, what is seen, and where to look first."""

    key: str
    name: Sentence
    seen: Sentence
    look_at: Sentence


def _failures(*rows: tuple[str, Sentence, Sentence, Sentence]) -> dict[str, Failure]:
    return {key: Failure(key, name, seen, look) for key, name, seen, look in rows}


FAILURES = _failures(
    (
        "delamination-tip",
        say("delamination at the tip"),
        say("layers part at the tip"),
        say("resin and hardener lot, mix, cure log, dampness, pressure at the ends"),
    ),
    (
        "delamination-tail",
        say("delamination at the tail"),
        say("layers part at the tail"),
        say("resin and hardener lot, mix, cure log, dampness, pressure at the ends"),
    ),
    (
        "delamination-top",
        say("delamination of the top"),
        say("the top sheet or the layer below it lifts"),
        say("top sheet lot, its surface, resin and hardener lot, cure log"),
    ),
    (
        "edge",
        say("edge or base pull-out"),
        say("an edge lifts"),
        say("edge lot and its cleaning, rubber foil left out, thin glue line, a blow"),
    ),
    (
        "edge-cracked",
        say("cracked or pressed edge"),
        say("a break or a dent in the steel"),
        say("a blow, an edge bent too far at the tip, edge lot"),
    ),
    (
        "sidewall",
        say("sidewall separation"),
        say("a gap above the edge"),
        say("sidewall lot and its surface, moisture in the core"),
    ),
    (
        "binding",
        say("binding pull-out"),
        say("screws no longer hold"),
        say("core blank, reinforcement, drill and glue of the mounting"),
    ),
    (
        "core-break",
        say("core break"),
        say("the ski bends where it should not, or is in two"),
        say("core blank: a knot, grain that runs out, a thin place, a hollow"),
    ),
    ("core-shot", say("core shot"), say("a gouge down to the core"), say("use; note how long water had")),
    (
        "base-shape",
        say("base concave or convex"),
        say("light shows under a straight edge"),
        say("moisture in the core, taken hot out of the press, base lot, mould"),
    ),
    (
        "camber",
        say("camber lost, or a twist"),
        say("flatter than it was, or the two differ"),
        say("cure log, a hot car, taken out of the press early, uneven layers"),
    ),
    (
        "mismatch",
        say("the two do not match"),
        say("weight or flex of left and right differ"),
        say("core halves, cut of the glass, split of the mix"),
    ),
    (
        "top-chipping",
        say("top-sheet chipping"),
        say("flakes at the edge of the top"),
        say("top sheet lot, a brittle top, no bevel"),
    ),
    (
        "blister",
        say("blister, or print that fails"),
        say("bubbles under the top"),
        say("moisture, volatile ink, air in the lay-up"),
    ),
    ("other", say("something else"), say("see what was observed"), say("ask who saw it")),
)
SERVICE = "service"  # what is logged when nothing failed
REASONS: Mapping[str, Sentence] = {
    **{key: failure.name for key, failure in FAILURES.items()},
    SERVICE: say("nothing failed: it comes for service"),
}

# Along the ski, tip first: what the drawing is divided into.
ZONES: Mapping[str, Sentence] = {
    "tip": say("tip"),
    "forebody": say("between tip and binding"),
    "middle": say("under the binding"),
    "afterbody": say("between binding and tail"),
    "tail": say("tail"),
}
PARTS: Mapping[str, Sentence] = {
    "top": say("top"),
    "base": say("base"),
    "inside": say("inside edge or sidewall"),
    "outside": say("outside edge or sidewall"),
    "through": say("right through"),
}
CAUSES: Mapping[str, Sentence] = {
    "normal wear": say("normal wear"),
    "use damage": say("damage in use"),
    "material suspect": say("a material is suspected"),
    "process suspect": say("a step of the making is suspected"),
    "design": say("design"),
    "unknown": say("not known"),
}
CHECKS: Mapping[str, Sentence] = {
    "tap": say("tapped along its length: no hollow sound"),
    "gap": say("a thin blade finds no gap between layers"),
    "edges": say("edges sit all round"),
    "base": say("base flat under a straight edge"),
    "flex": say("flexes as its partner does"),
    "mounting": say("screws hold, no crack at the mounting"),
    "water": say("no wet or dark core in sight"),
}
FOUND: Mapping[str, Sentence] = {
    "well": say("as it should be"),
    "not": say("not as it should be"),
    "": say("not looked at"),
}
ANSWERS: Mapping[str, Sentence] = {
    "repair": say("repaired"),
    "replace": say("replaced by another pair"),
    "refuse": say("refused, with the reason"),
    "nothing": say("nothing to be done"),
}
SERVICES: Mapping[str, Sentence] = {
    "base": say("base ground or filled"),
    "edges": say("edges sharpened"),
    "wax": say("waxed"),
    "re-glue": say("re-glued"),
}

RULE = say(
    "A recall takes in every ski that has any of the chosen things in it, at whatever distance, and every "
    "ski that went through a chosen press cycle, press or mould. What was undone is not walked."
)
STOP_USING = say(
    "Stop using them. Something was found that may hurt: bring or send them to the shop, and do not repair "
    "them yourself."
)
ASK_TODAY = say("The law may require telling an authority quickly; ask today.")
