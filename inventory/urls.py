"""Every address on one page, grouped by topic. Name, path, view and template agree.

`stock-receive` is /stock/receive/, `views.stock.receive`, `inventory/stock/receive.html`. A thing's code
stands between topic and verb: `stock-open` is /stock/<code>/open/.
"""

from django.urls import path, register_converter
from django.urls.converters import StringConverter

from inventory.compute.codes import Code, read
from inventory.errors import Refused
from inventory.views import (
    artwork,
    bench,
    books,
    build_steps,
    builds,
    care,
    catalogue,
    day,
    equipment,
    help,
    layups,
    loggers,
    lots,
    materials,
    mixing,
    mock_recalls,
    papers,
    people,
    places,
    press,
    pressing,
    public,
    recalls,
    records,
    scan,
    seats,
    shop,
    skis_back,
    stock,
    suppliers,
    tags,
    thing,
    trips,
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
    path("day/off-season/", day.off_season, name="day-off-season"),
    path("scan/", scan.scan, name="scan"),
    path("scan/photo/", scan.photo, name="scan-photo"),
    path("scan/frame/", scan.frame, name="scan-frame"),
    path("scan/many/", scan.many, name="scan-many"),
    path("scan/send/", scan.send, name="scan-send"),
    path("scan/failed/", scan.failed, name="scan-failed"),
    path("thing/<code:code>/", thing.thing, name="thing"),
    path("thing/<code:code>/data/", thing.data, name="thing-data"),
    path("shop/first-run/", shop.first_run, name="shop-first-run"),
    path("shop/card/", shop.card, name="shop-card"),
    path("shop/host/", shop.host, name="shop-host"),
    path("people/sign-in/", people.sign_in, name="people-sign-in"),
    path("people/sign-out/", people.sign_out, name="people-sign-out"),
    path("people/", people.people, name="people"),
    path("people/take-on/", people.take_on, name="people-take-on"),
    path("people/units/", people.units, name="people-units"),
    path("people/devices/", people.devices, name="people-devices"),
    path("people/<uuid:person>/edit/", people.edit, name="people-edit"),
    path("people/<uuid:person>/way-in/", people.way_in, name="people-way-in"),
    path("people/<uuid:guest>/erase/", people.erase, name="people-erase"),
    path("people/<uuid:person>/erase-crew/", people.erase_crew, name="people-erase-crew"),
    path("people/<uuid:person>/end/", people.end, name="people-end"),
    path("people/<slug:device>/device-out/", people.device_out, name="people-device-out"),
    # a printed tag, in whatever case a phone sends it
    path("<obj:obj>/<str:code>", public.tag, name="public-tag"),
    path("public/<code:code>/record/", public.record, name="public-record"),
    path("public/<code:code>/pass-on/", public.pass_on, name="public-pass-on"),
    path("records/<code:code>/paper/", records.paper, name="records-paper"),
    # stock
    path("stock/", stock.stock, name="stock"),
    path("stock/receive/", stock.receive, name="stock-receive"),
    path("stock/<code:code>/open/", stock.open, name="stock-open"),
    path("stock/<code:code>/draw/", stock.draw, name="stock-draw"),
    path("stock/<code:code>/split/", stock.split, name="stock-split"),
    path("stock/<code:code>/count/", stock.count, name="stock-count"),
    path("stock/<code:code>/weigh/", stock.weigh, name="stock-weigh"),
    path("stock/<code:code>/hold/", stock.hold, name="stock-hold"),
    path("stock/<code:code>/lift/<uuid:hold>/", stock.lift, name="stock-lift"),
    path("stock/<code:code>/write-off/", stock.write_off, name="stock-write-off"),
    path("lots/<code:code>/card/", lots.card, name="lots-card"),
    path("lots/<code:code>/edit/", lots.edit, name="lots-edit"),
    path("materials/", materials.materials, name="materials"),
    path("materials/make/", materials.make, name="materials-make"),
    path("materials/<slug:key>/card/", materials.card, name="materials-card"),
    path("materials/<slug:key>/edit/", materials.edit, name="materials-edit"),
    path("catalogue/", catalogue.catalogue, name="catalogue"),
    path("suppliers/", suppliers.suppliers, name="suppliers"),
    path("suppliers/make/", suppliers.make, name="suppliers-make"),
    path("suppliers/<uuid:supplier>/card/", suppliers.card, name="suppliers-card"),
    path("suppliers/<uuid:supplier>/edit/", suppliers.edit, name="suppliers-edit"),
    path("suppliers/<uuid:supplier>/offer/", suppliers.offer, name="suppliers-offer"),
    path("suppliers/offer/<uuid:offer>/edit/", suppliers.offer_edit, name="suppliers-offer-edit"),
    path("equipment/", equipment.equipment, name="equipment"),
    path("equipment/make/", equipment.make, name="equipment-make"),
    path("equipment/<code:code>/card/", equipment.card, name="equipment-card"),
    path("equipment/<code:code>/edit/", equipment.edit, name="equipment-edit"),
    path("equipment/<code:code>/plan/", equipment.plan, name="equipment-plan"),
    path("equipment/<code:code>/replan/<uuid:inspection>/", equipment.replan, name="equipment-replan"),
    path("equipment/<code:code>/inspect/<uuid:inspection>/", equipment.inspect, name="equipment-inspect"),
    path("care/<code:code>/age/", care.age, name="care-age"),
    path("care/<code:code>/read/", care.read, name="care-read"),
    path("care/<code:code>/warm/", care.warm, name="care-warm"),
    path("care/<code:code>/retest/", care.retest, name="care-retest"),
    path("loggers/<code:code>/attach/", loggers.attach, name="loggers-attach"),
    path("loggers/<code:code>/keep/", loggers.keep, name="loggers-keep"),
    path("loggers/<code:code>/curve/", loggers.curve, name="loggers-curve"),
    path("papers/<uuid:about>/attach/", papers.attach, name="papers-attach"),
    path("papers/<uuid:paper>/show/", papers.show, name="papers-show"),
    path("papers/<uuid:paper>/withdraw/", papers.withdraw, name="papers-withdraw"),
    path("places/", places.places, name="places"),
    path("places/make/", places.make, name="places-make"),
    path("places/move/", places.move, name="places-move"),
    path("places/put-away/", places.put_away, name="places-put-away"),
    path("places/<code:code>/inside/", places.inside, name="places-inside"),
    path("places/<code:code>/edit/", places.edit, name="places-edit"),
    path("places/<code:code>/count/", places.count, name="places-count"),
    path("tags/choose/", tags.choose, name="tags-choose"),
    path("tags/sheet/", tags.sheet, name="tags-sheet"),
    path("tags/ahead/", tags.ahead, name="tags-ahead"),
    path("tags/stick/", tags.stick, name="tags-stick"),
    path("tags/<code:code>/single/", tags.single, name="tags-single"),
    path("tags/<code:code>/replace/", tags.replace, name="tags-replace"),
    # trips
    path("trips/", trips.trips, name="trips"),
    path("trips/plan/", trips.plan, name="trips-plan"),
    path("trips/<uuid:trip>/trip/", trips.trip, name="trips-trip"),
    path("trips/<uuid:trip>/edit/", trips.edit, name="trips-edit"),
    path("trips/<uuid:trip>/timetable/", trips.timetable, name="trips-timetable"),
    path("trips/<uuid:trip>/load-sheet/", trips.load_sheet, name="trips-load-sheet"),
    path("trips/<uuid:trip>/goods/", trips.goods, name="trips-goods"),
    path("trips/<uuid:trip>/copy/", trips.copy, name="trips-copy"),
    path("trips/<uuid:trip>/list/", trips.list, name="trips-list"),
    path("trips/<uuid:trip>/put-on/", trips.put_on, name="trips-put-on"),
    path("trips/<uuid:trip>/set-aside/", trips.set_aside, name="trips-set-aside"),
    path("trips/<uuid:trip>/take-off/", trips.take_off, name="trips-take-off"),
    # the bench
    path("bench/", bench.bench, name="bench"),
    path("builds/plan/", builds.plan, name="builds-plan"),
    path("builds/book/", builds.book, name="builds-book"),
    path("builds/<uuid:workshop>/workshop/", builds.workshop, name="builds-workshop"),
    path("builds/<uuid:workshop>/change/", builds.change, name="builds-change"),
    path("builds/<code:code>/spec/", builds.spec, name="builds-spec"),
    path("builds/<code:code>/design/", builds.design, name="builds-design"),
    path("builds/<code:code>/card/", builds.card, name="builds-card"),
    path("builds/<code:code>/tag/", builds.tag, name="builds-tag"),
    path("builds/<code:code>/step/<slug:step>/", builds.step, name="builds-step"),
    path("build-steps/", build_steps.build_steps, name="build-steps"),
    path("build-steps/add/", build_steps.add, name="build-steps-add"),
    path("build-steps/<slug:step>/change/", build_steps.change, name="build-steps-change"),
    path("seats/<uuid:workshop>/book/", seats.book, name="seats-book"),
    path("seats/<uuid:seat>/change/", seats.change, name="seats-change"),
    path("seats/<uuid:guest>/guest/", seats.guest, name="seats-guest"),
    path("layups/", layups.layups, name="layups"),
    path("layups/make/", layups.make, name="layups-make"),
    path("layups/<uuid:layup>/card/", layups.card, name="layups-card"),
    path("layups/<uuid:layup>/edit/", layups.edit, name="layups-edit"),
    path("layups/<uuid:layup>/layer/", layups.layer, name="layups-layer"),
    path("layups/<uuid:layup>/drop/<int:number>/", layups.drop, name="layups-drop"),
    path("artwork/<code:code>/path/", artwork.path, name="artwork-path"),
    path("artwork/<code:code>/plan/", artwork.plan, name="artwork-plan"),
    path("artwork/<code:code>/mark/", artwork.mark, name="artwork-mark"),
    path("artwork/<code:code>/attach/", artwork.attach, name="artwork-attach"),
    path("artwork/<code:code>/file/", artwork.file, name="artwork-file"),
    path("press/equipment/", press.equipment, name="press-equipment"),
    path("press/mix/", press.mix, name="press-mix"),
    path("mixing/<code:code>/correct/", mixing.correct, name="mixing-correct"),
    path("mixing/<code:code>/discard/", mixing.discard, name="mixing-discard"),
    path("press/lay-up/", press.lay_up, name="press-lay-up"),
    path("press/cycle/", press.cycle, name="press-cycle"),
    path("press/judge/", press.judge, name="press-judge"),
    path("press/inspect/", press.inspect, name="press-inspect"),
    path("press/finish/", press.finish, name="press-finish"),
    path("press/hand-over/", press.hand_over, name="press-hand-over"),
    # skis back
    path("skis-back/", skis_back.skis_back, name="skis-back"),
    path("skis-back/log/", skis_back.log, name="skis-back-log"),
    path("skis-back/unknown/", skis_back.unknown, name="skis-back-unknown"),
    path("skis-back/find/", skis_back.find, name="skis-back-find"),
    path("skis-back/<uuid:back>/case/", skis_back.case, name="skis-back-case"),
    path("skis-back/<uuid:back>/tie/", skis_back.tie, name="skis-back-tie"),
    path("skis-back/<uuid:back>/look/", skis_back.look, name="skis-back-look"),
    path("skis-back/<uuid:back>/answer/", skis_back.answer, name="skis-back-answer"),
    path("skis-back/<uuid:back>/repair/", skis_back.repair, name="skis-back-repair"),
    path("skis-back/<uuid:back>/service/", skis_back.service, name="skis-back-service"),
    path("skis-back/<uuid:back>/send/", skis_back.send, name="skis-back-send"),
    path("skis-back/suspects/", skis_back.suspects, name="skis-back-suspects"),
    path("skis-back/shares/", skis_back.shares, name="skis-back-shares"),
    path("skis-back/<code:code>/forward/", skis_back.forward, name="skis-back-forward"),
    path("skis-back/<code:code>/beside/", skis_back.beside, name="skis-back-beside"),
    path("recalls/", recalls.recalls, name="recalls"),
    path("recalls/open/", recalls.open, name="recalls-open"),
    path("recalls/<code:code>/hold/", recalls.hold, name="recalls-hold"),
    path("recalls/<uuid:recall>/recall/", recalls.recall, name="recalls-recall"),
    path("recalls/<uuid:recall>/tell/<code:code>/", recalls.tell, name="recalls-tell"),
    path("recalls/<uuid:recall>/letters/", recalls.letters, name="recalls-letters"),
    path("recalls/<uuid:recall>/paper/", recalls.paper, name="recalls-paper"),
    path("recalls/<uuid:recall>/authority/", recalls.authority, name="recalls-authority"),
    path("recalls/<uuid:recall>/add/", recalls.add, name="recalls-add"),
    path("recalls/<uuid:recall>/close/", recalls.close, name="recalls-close"),
    path("mock-recalls/", mock_recalls.mock_recalls, name="mock-recalls"),
    path("mock-recalls/<uuid:mock>/sheet/", mock_recalls.sheet, name="mock-recalls-sheet"),
    path("pressing/close/", pressing.close, name="pressing-close"),
    path("pressing/<code:code>/cycle/", pressing.cycle, name="pressing-cycle"),
    path("pressing/<code:code>/read/", pressing.read, name="pressing-read"),
    path("pressing/<code:code>/log/", pressing.log, name="pressing-log"),
    path("pressing/<code:code>/open/", pressing.open, name="pressing-open"),
    path("pressing/<code:code>/early/", pressing.early, name="pressing-early"),
    path("pressing/<code:code>/judge/", pressing.judge, name="pressing-judge"),
    # corrections
    path("books/undo/<uuid:act>/", books.undo, name="books-undo"),
    path("books/disagreements/", books.disagreements, name="books-disagreements"),
    path("books/settle/<uuid:disagreement>/", books.settle, name="books-settle"),
    # help
    path("help/", help.help, name="help"),
    path("help/refusals/", help.refusals, name="help-refusals"),
    path("help/rules/", help.rules, name="help-rules"),
    path("help/parts/", help.parts, name="help-parts"),
    path("help/tour/", help.tour, name="help-tour"),
    path("help/<path:page>/", help.page, name="help-page"),
]
