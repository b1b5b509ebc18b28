"""READ which orders need a hand today: to be sent within a week, or waited for beyond their day."""

from datetime import date, timedelta

from inventory.compute.reasons import Level
from inventory.errors import say
from inventory.queries.notes import Note
from inventory.queries.orders import Stage, orders

SOON = timedelta(7)


def due(today: date) -> list[Note]:
    """Orders that were written and not sent, and those that are late."""
    found = []
    for row in orders():
        order = row.order
        about = (str(order.id),)
        values = {"supplier": order.supplier.name, "day": order.order_by or order.promised_on or today}
        if row.stage is Stage.WRITING and order.order_by and order.order_by <= today + SOON:
            late = order.order_by < today
            sentence = say("The order to {supplier} is written and not sent; send it by {day}.", **values)
            if late:
                sentence = say(
                    "The order to {supplier} is written and not sent; it was to be sent by {day}, and is "
                    "late.",
                    **values,
                )
            found.append(Note(sentence, Level.STOP if late else Level.LOOK, page="orders-order", about=about))
        elif row.late(today):
            values["day"] = order.promised_on or today
            sentence = say(
                "The order to {supplier} was promised for {day} and is not all here: ask.", **values
            )
            found.append(Note(sentence, Level.LOOK, page="orders-order", about=about))
    return found
