"""Pages of lay-up cards: made, layers added and taken off, amounts as people type them."""

import re

import pytest
from django.contrib.auth.models import User
from django.test import Client

from inventory.actions import people
from inventory.compute.units import Base
from inventory.models import LayupCard
from tests.make import Shop


@pytest.fixture
def crew(shop: Shop, client: Client) -> Client:
    """A browser signed in as crew."""
    people.give_way_in(person=shop.crew, username="crew", password="a-long-one-for-tests")
    client.force_login(User.objects.get(username="crew"), "django.contrib.auth.backends.ModelBackend")
    return client


def text(answer) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def test_layup_when_written_layer_by_layer_through_pages_keeps_the_order(shop: Shop, crew: Client) -> None:
    """Made, two layers added, one above the first, one taken off."""
    for key in ("base", "glass"):
        shop.material(key, Base.MM2)
    assert crew.post("/layups/make/", {"name": "Triax"}).status_code == 302
    card = LayupCard.objects.get()
    layer = {"material": "glass", "kind": "sheet", "plies": "2", "extent": "whole ski"}
    assert crew.post(f"/layups/{card.id}/layer/", layer).status_code == 302
    assert crew.post(f"/layups/{card.id}/layer/", layer | {"extent": "both sidewalls"}).status_code == 409
    base = layer | {"material": "base", "plies": "1", "after": "0"}
    assert crew.post(f"/layups/{card.id}/layer/", base).status_code == 302
    seen = text(crew.get(f"/layups/{card.id}/card/"))
    assert seen.index("Base , whole ski") < seen.index("Glass , 2 ×, whole ski")
    assert crew.post(f"/layups/{card.id}/drop/1/").status_code == 302
    assert crew.get(f"/layups/{card.id}/drop/1/").status_code == 405
    card.refresh_from_db()
    assert card.layers == [{"material": "glass", "kind": "sheet", "plies": 2, "extent": "whole ski"}]


def test_layer_of_a_liquid_is_typed_as_people_weigh_it_and_of_pieces_as_a_number(
    shop: Shop, crew: Client
) -> None:
    """20 g of glue are kept whole; 20 g of a core blank, or half a ply, are none."""
    shop.material("glue", Base.MG)
    shop.material("blank", Base.PIECE)
    crew.post("/layups/make/", {"name": "Triax"})
    page = f"/layups/{LayupCard.objects.get().id}/layer/"
    glue = {"material": "glue", "kind": "piece", "plies": "20 g", "extent": "whole ski"}
    assert crew.post(page, glue).status_code == 302
    assert crew.post(page, glue | {"plies": "20 m"}).status_code == 422
    assert crew.post(page, glue | {"material": "blank"}).status_code == 422
    assert crew.post(page, glue | {"material": "blank", "plies": "0.5"}).status_code == 422
    assert crew.post(page, glue | {"material": "blank", "plies": "1"}).status_code == 302
    assert [layer["plies"] for layer in LayupCard.objects.get().layers] == [20_000, 1]
    assert re.search(r"Glue ,\s20\s+g\s*, whole ski", text(crew.get(page.replace("/layer/", "/card/"))))
