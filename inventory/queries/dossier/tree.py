"""A dossier's two lists of steps as trees, the way a person tells them. Knows no table.

Each step stands under the one it follows from: lots under their packages, packages under their cups. A thing
reached twice is unfolded the first time only.
"""

from dataclasses import dataclass
from uuid import UUID

from inventory.errors import Sentence, say
from inventory.queries.dossier.facts import Dossier, Exposure, Link, Named


@dataclass(frozen=True, slots=True)
class Branch:
    """One thing of a tree and what stands under it.

    `link` is the step that leads to it; None for a ski of the pair that the dossier is about. `again`: it is
    unfolded further up.
    """

    thing: Named
    link: Link | None
    below: tuple["Branch", ...] = ()
    again: bool = False


def tree(dossier: Dossier, *, forward: bool) -> tuple[Branch, ...]:
    """What the thing is made of, or forward what it went into; for a pair, ski by ski."""
    by_near: dict[UUID, list[Link]] = {}
    for link in dossier.went_into if forward else dossier.made_of:
        by_near.setdefault((link.of if forward else link.made).id, []).append(link)
    unfolded: set[UUID] = set()

    def below(thing: Named) -> tuple[Branch, ...]:
        if thing.id in unfolded:
            return ()
        unfolded.add(thing.id)
        found = []
        for link in by_near.get(thing.id, ()):
            far = link.made if forward else link.of
            again = far.id in unfolded and far.id in by_near
            found.append(Branch(far, link, below(far), again))
        return tuple(found)

    if not dossier.parts:
        return below(dossier.thing)
    return tuple(Branch(ski, None, below(ski)) for ski in dossier.parts if ski.id in by_near)


def measured(exposure: Exposure) -> tuple[Sentence, ...]:
    """The facts of an exposure as a person reads them: set points, and how it was judged."""
    facts = exposure.facts
    shapes = (
        ("set_kpa", say("{value:g} kPa", value=facts.get("set_kpa", 0))),
        ("set_c", say("{value:g} °C", value=facts.get("set_c", 0))),
        ("minutes", say("{value:g} min", value=facts.get("minutes", 0))),
        ("passed", say("passed") if facts.get("passed") else say("did not pass")),
    )
    return tuple(sentence for key, sentence in shapes if facts.get(key) is not None)
