"""WRITE tags: printed ahead without a thing, and replaced when worn. A code once printed answers for ever."""

from uuid import UUID

from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.compute.codes import Code, Kind
from inventory.errors import Refused, say
from inventory.queries import ledger as read

MOST_AHEAD = 200


@happening
def print_ahead(act: Act, /, *, kind: Kind, count: int) -> None:
    """Draw codes for tags that are on nothing yet.

    Afterwards: each of these codes may be tied to one new thing of that kind, on this laptop or another.
    Refused: tag.count.
    """
    if not 1 <= count <= MOST_AHEAD:
        raise Refused(
            "tag.count",
            say("{count} tags cannot be printed at once.", count=count),
            say("Print from 1 to {most}.", most=MOST_AHEAD),
        )
    act.print_ahead(kind, count)
    act.record("tags printed", facts={"kind": kind.value, "count": count})


@happening
def replace(act: Act, /, *, thing: UUID, code: Code | None = None, why: str = "") -> None:
    """Give a thing one more code: of a tag printed ahead, or drawn now.

    Afterwards: the new code leads to the thing, and so do all its codes before.
    Refused: tag.taken, tag.wrong_kind, tag.never_printed, thing.unborn.
    """
    kind = read.kinds([thing])[thing][0]
    tied = act.tie(thing, kind, code)
    act.record("tag replaced", observed=[Entry(thing)], facts={"code": tied.text}, note=why)
