"""The season's trips: one drive to each workshop to come, with both trailers."""

from functools import partial

from inventory.actions import trips
from inventory.management.season.building import LAST_BUILT, Building, Workshop

PLANNED = -4  # the evening the season's drives were agreed, after the last workshop was booked


def plan_trips(building: Building) -> None:
    """Put the planning of every trip to come into the agenda, the next one first."""
    agenda = building.agenda
    for turn, shop in enumerate(shop for shop in building.workshops if shop.row["day"] > LAST_BUILT):
        agenda.plan(agenda.moment(PLANNED, f"20:{turn:02d}"), partial(_plan, building, shop))


def _plan(building: Building, shop: Workshop) -> None:
    agenda, spots = building.agenda, building.stocking.places
    day = shop.row["day"]
    agenda.do(
        trips.plan_trip,
        "ragna",
        name=shop.row["venue"],
        loads_on=agenda.day(day),
        leaves_on=agenda.day(day),
        back_on=agenda.day(day + 2),
        trailers=[spots[(name["name"],)] for name in building.data["trailers"]],
        workshops=[shop.id],
        tows={
            str(spots[(row["draws"],)]): [str(spots[(row["name"],)]), str(agenda.people[row["driver"]])]
            for row in building.data["cars"]
        },
        watchers=[agenda.people[name] for name in building.data["tour"]["watchers"]],
        **building.data["tour"]["way"],
    )
