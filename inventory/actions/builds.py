"""WRITE workshops, guests and pairs."""

from datetime import date
from uuid import UUID

from inventory.actions import cards
from inventory.actions.ledger import Act, happening
from inventory.actions.refusals import Entry
from inventory.compute.codes import Kind
from inventory.errors import Refused, say
from inventory.models import Guest, Pair, Ski, Workshop

SHORTEST_MM, LONGEST_MM = 700, 2300  # common practice, no source: children's to long touring skis


@happening
def plan_workshop(act: Act, /, *, name: str, starts_on: date, ends_on: date) -> None:
    """Plan a workshop.

    Afterwards: pairs can be booked on it.
    Refused: workshop.dates_reversed.
    """
    if ends_on < starts_on:
        raise Refused(
            "workshop.dates_reversed",
            say(
                "The workshop would end on {end}, before it starts on {start}.", end=ends_on, start=starts_on
            ),
            say("Swap the dates."),
        )
    workshop = act.id("workshop")
    cards.save(act, Workshop, workshop, name=name, starts_on=starts_on, ends_on=ends_on)
    act.things.append(workshop)


@happening
def book_pair(act: Act, /, *, workshop: UUID | None, guest: str, length_mm: int) -> None:
    """Book a pair: two skis, left and right, each with its own code, and whose they will be.

    Afterwards: the pair and both skis are born and have codes, so that tags can be printed before the lay-up.
    Refused: pair.length.
    """
    if not SHORTEST_MM <= length_mm <= LONGEST_MM:
        raise Refused(
            "pair.length",
            say("{length} mm is no length for a ski.", length=length_mm),
            say("Enter {low} to {high} mm.", low=SHORTEST_MM, high=LONGEST_MM),
        )
    pair = act.born(Kind.PAIR)
    skis = [(side, act.born(Kind.SKI)) for side in ("left", "right")]
    act.record("put into use", outputs=[Entry(pair.id), *(Entry(ski.id) for _, ski in skis)])
    act.record("paired", parts=[Entry(ski.id) for _, ski in skis], whole=pair.id)
    person = act.id("guest")
    cards.save(act, Guest, person, name=guest)
    cards.save(act, Pair, pair.id, workshop_id=workshop, guest_id=person, length_mm=length_mm)
    for side, ski in skis:
        cards.save(act, Ski, ski.id, pair_id=pair.id, side=side)
