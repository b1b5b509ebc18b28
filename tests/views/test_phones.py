"""The page that lets phones in: the address of this laptop in its network, its code, and what to look at."""

import socket

import pytest
import zxingcpp
from django.test import Client
from PIL import Image, ImageDraw

from inventory.formats.qr_page import page_code
from inventory.queries import network
from tests.views.test_stock_pages import signed_in

pytestmark = pytest.mark.django_db
PAGE = "/shop/phones/"


@pytest.fixture
def desk(shop, client: Client) -> Client:
    """A helper's browser."""
    return signed_in(client, shop, "helper")


def test_asked_from_a_phone_it_shows_the_address_that_phone_came_by(desk):
    """Whoever reads it there got in; another phone may take the same way."""
    page = desk.get(PAGE, headers={"host": "192.0.2.7:8000"}).content.decode()
    assert "http://192.0.2.7:8000/" in page
    assert page.count("<li>It is in the same network") == 1
    assert 'class="page-code"' in page


def test_asked_on_the_laptop_it_shows_its_address_in_the_network_or_says_that_it_has_none(desk):
    """Where a server answers at that address it is shown with its code; where none does, the page says so."""
    own = network.own_address()
    with socket.create_server((own or "127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
        page = desk.get(PAGE, headers={"host": f"localhost:{port}"}).content.decode()
    closed = desk.get(PAGE, headers={"host": f"localhost:{port}"}).content.decode()
    if own:
        assert f"http://{own}:{port}/" in page
        assert 'class="page-code"' in page
        assert "nothing answers" in closed
    else:
        assert "in no network now" in page
    assert 'class="page-code"' not in closed


def test_answers_only_where_something_listens():
    """A port that is open, and the same one closed."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
        assert network.answers("127.0.0.1", port)
    assert not network.answers("127.0.0.1", port)


def test_code_on_the_page_reads_as_the_address():
    """Outside check: read back by zxing-cpp, drawn as the page's path has it."""
    drawn = page_code("http://192.0.2.7:8000/")
    picture = Image.new("L", (drawn.side * 8,) * 2, 255)
    pen = ImageDraw.Draw(picture)
    for part in drawn.path.split("M")[1:]:
        x, y = (int(each) * 8 for each in part.split("h")[0].split(" "))
        pen.rectangle([x, y, x + 7, y + 7], fill=0)
    (read,) = zxingcpp.read_barcodes(picture)
    assert read.text == "http://192.0.2.7:8000/"
