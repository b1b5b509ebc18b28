"""An oracle from outside: the most of one material's needs that its packages can cover, by networkx."""

from collections.abc import Iterable
from datetime import date

import networkx

from inventory.queries.readiness.facts import Packed
from inventory.queries.readiness.needs import Wanted


def most(
    packages: Iterable[Packed], wants: Iterable[Wanted], *, coming: bool = False, gone_by: date | None = None
) -> int:
    """A maximum flow from packages to needs; `coming`: of what is aboard or listed only.

    A package without a date keeps; one that is `over` by its warmth may be used until `gone_by`.
    """
    graph = networkx.DiGraph()
    graph.add_nodes_from(("from", "to"))
    rows = list(wants)
    for each in packages:
        if each.held or (coming and not each.spot.goes):
            continue
        graph.add_edge("from", each.id, capacity=max(0, each.left - each.set_aside))
        last = gone_by if each.over else each.through
        for want in rows:
            if last is None or last >= want.last_day:
                graph.add_edge(each.id, want.workshop.row.id)
    for want in rows:
        graph.add_edge(want.workshop.row.id, "to", capacity=want.amount)
    return int(networkx.maximum_flow_value(graph, "from", "to"))
