"""Every address on one page, grouped by topic. Name, path, view and template agree.

`stock-receive` is /stock/receive/, `views.stock.receive`, `inventory/stock/receive.html`. A thing's code
stands between topic and verb: `stock-open` is /stock/<code>/open/.
"""

from django.urls import path, register_converter
from django.urls.converters import StringConverter

from inventory.compute.codes import Code, read
from inventory.errors import Refused
from inventory.views import (
    bench,
    books,
    builds,
    day,
    help,
    materials,
    people,
    places,
    press,
    public,
    scan,
    shop,
    stock,
    tags,
    thing,
)


class CodeInPath:
    """A code in an address, as printed or as stored, in any case."""

    regex = "[0-9A-Za-z]{4}-?[0-9A-Za-z]{4}"

    def to_python(self, value: str) -> Code:
        """Read it; what is no code is no page."""
        try:
            return read(value)
        except Refused as refused:
            raise ValueError from refused

    def to_url(self, value: Code | str) -> str:
        """As stored."""
        return str(value)


class ObjInPath(StringConverter):
    """The word before the code on every tag: upper case there, any case here."""

    regex = "[Oo][Bb][Jj]"


register_converter(CodeInPath, "code")
register_converter(ObjInPath, "obj")

urlpatterns = [
    # the first page, the scan line, signing in
    path("", day.day, name="day"),
    path("scan/", scan.scan, name="scan"),
    path("thing/<code:code>/", thing.thing, name="thing"),
    path("shop/first-run/", shop.first_run, name="shop-first-run"),
    path("people/sign-in/", people.sign_in, name="people-sign-in"),
    path("people/sign-out/", people.sign_out, name="people-sign-out"),
    # a printed tag, in whatever case a phone sends it
    path("<obj:obj>/<str:code>", public.tag, name="public-tag"),
    # stock
    path("stock/", stock.stock, name="stock"),
    path("stock/receive/", stock.receive, name="stock-receive"),
    path("stock/<code:code>/open/", stock.open, name="stock-open"),
    path("stock/<code:code>/draw/", stock.draw, name="stock-draw"),
    path("stock/<code:code>/split/", stock.split, name="stock-split"),
    path("stock/<code:code>/count/", stock.count, name="stock-count"),
    path("stock/<code:code>/hold/", stock.hold, name="stock-hold"),
    path("stock/<code:code>/lift/<uuid:hold>/", stock.lift, name="stock-lift"),
    path("stock/<code:code>/write-off/", stock.write_off, name="stock-write-off"),
    path("materials/", materials.materials, name="materials"),
    path("materials/make/", materials.make, name="materials-make"),
    path("places/", places.places, name="places"),
    path("places/make/", places.make, name="places-make"),
    path("places/move/", places.move, name="places-move"),
    path("tags/choose/", tags.choose, name="tags-choose"),
    path("tags/sheet/", tags.sheet, name="tags-sheet"),
    # the bench
    path("bench/", bench.bench, name="bench"),
    path("builds/plan/", builds.plan, name="builds-plan"),
    path("builds/book/", builds.book, name="builds-book"),
    path("press/equipment/", press.equipment, name="press-equipment"),
    path("press/mix/", press.mix, name="press-mix"),
    path("press/lay-up/", press.lay_up, name="press-lay-up"),
    path("press/cycle/", press.cycle, name="press-cycle"),
    path("press/judge/", press.judge, name="press-judge"),
    path("press/inspect/", press.inspect, name="press-inspect"),
    path("press/finish/", press.finish, name="press-finish"),
    path("press/hand-over/", press.hand_over, name="press-hand-over"),
    # corrections
    path("books/undo/<uuid:act>/", books.undo, name="books-undo"),
    path("books/disagreements/", books.disagreements, name="books-disagreements"),
    path("books/settle/<uuid:disagreement>/", books.settle, name="books-settle"),
    # help
    path("help/", help.help, name="help"),
    path("help/refusals/", help.refusals, name="help-refusals"),
    path("help/rules/", help.rules, name="help-rules"),
    path("help/parts/", help.parts, name="help-parts"),
    path("help/<path:page>/", help.page, name="help-page"),
]
