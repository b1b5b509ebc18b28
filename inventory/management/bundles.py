"""Writes a bundle of the books to a file. Used by the export command and by the demo season."""

from datetime import datetime
from pathlib import Path

from inventory.formats import bundle
from inventory.queries import exchange, ledger, shop


def write(file: Path, now: datetime) -> int:
    """Write beside, then rename: a bundle cut short never has the name that was asked for. Gives the rows.

    Refuses: machine.none
    """
    here, card = ledger.here(), shop.card()
    header = bundle.Header(
        shop=str(card.id) if card else "", machine=str(here.id), made=now.isoformat(timespec="seconds")
    )
    part = file.with_name(file.name + ".part")
    try:
        with part.open("wb") as out:
            rows = bundle.write(out, header, exchange.rows())
        part.replace(file)
    finally:
        part.unlink(missing_ok=True)
    return rows
