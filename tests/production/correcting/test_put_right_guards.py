"""What putting a figure right may never do.

A maker may say that a figure was mistyped; soap does not get fit by it, an expired lot
does not get young by it, and what somebody judged is judged again on its own page.
"""

from decimal import Decimal as D

import pytest

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.new_batch import Use
from production.buying.actions.purchases import NewLine, open_stock, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.closing.actions import close_book
from production.correcting.actions.putting_right import deed as deeds
from production.correcting.actions.putting_right.expiry import extend_expiry
from production.correcting.actions.undoing import undo_deed
from production.exchange.reads import history_events
from production.fitness.reads.rows import load
from production.lots.actions.lot_deeds import give, reweigh_lot
from production.models import Given, Lot, Measurement, ReferenceOil, Restated, Status
from production.quantities.domain.refusal import Refused
from production.record.reads.restated import history_of
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import NewLot, Reading
from production.tracing.reads.trace import trace
from tests import make
from tests.make import act, day

pytestmark = pytest.mark.django_db


def put_right(
    of, row, reason="mistyped", written=12, by=None, confirmed=False, **figures
):
    return deeds.put_right(
        of=of,
        row=row.pk,
        figures=figures,
        confirmed=confirmed,
        **act(written, by=by, reason=reason),
    )


def fit(lot, number=28):
    return load([lot]).family(day(number)).open_points(lot.code) == ()


# -- a wrong item


def test_an_oil_is_not_an_alkali_and_an_alkali_is_no_oil():
    lye = make.koh("0.9")
    bought = make.lot("OIL", item=make.item("rapeseed oil", category="oil"))
    for lot, item in ((bought, lye.item), (lye, bought.item)):
        with make.refused("something else in the pot", "enter it again"):
            put_right("lot", lot, item=item)
    soda = make.item("soda", category="alkali", alkali="NaOH")
    with make.refused("something else in the pot"):
        put_right("lot", lye, item=soda)


def test_what_nobody_stated_is_no_equal_of_anything():
    bare = make.lot("BARE", item=make.item("mystery"))
    other = make.item("another mystery")
    with make.refused("something else in the pot"):
        put_right("lot", bare, item=other)


def test_a_made_lot_is_made_again_instead():
    paste = make.proven("P", item=make.item("paste", kind="made"))
    soap = make.batch(uses=[(paste, "9")], amount="9")
    other = make.item("another soap", kind="made")
    with make.refused("was made here"):
        put_right("lot", soap, item=other)


def test_every_lot_of_the_line_is_of_the_item():
    sunflower = make.item("sunflower oil", category="oil")
    safflower = make.item("safflower oil", category="oil")
    lots = [NewLot(D(10), code="A"), NewLot(D(20), code="B")]
    bought = record_purchase(
        supplier=ensure_supplier("Northmere"),
        lines=[NewLine(sunflower, lots, D(9))],
        **act(2),
    )
    put_right("lot", Lot.objects.get(code="A"), item=safflower)
    assert {lot.item.name for lot in Lot.objects.all()} == {"safflower oil"}
    [event] = [row for row in history_events() if row["type"] == "purchase"]
    assert event["number"] == bought.number
    assert [row["item"] for row in event["lines"]] == ["safflower oil"]


def test_goods_that_should_wait_for_a_check_wait():
    plain = make.item("scent", category="fragrance")
    checked = make.item("rare scent", category="fragrance", needs_check=True)
    lot = make.lot("FRA", item=plain)
    put_right("lot", lot, item=checked)
    assert lot.statuses.last().status == Status.Word.QUARANTINE


# -- a value, and the soap that stands on it


def cooked():
    """Paste at a superfat of some 5 %, tested and passed."""
    sv = Reading("saponification value", D(190), "stated")
    fat = make.lot("OIL", item=make.item(category="oil"), readings=(sv,))
    paste = make.batch(
        "cook",
        uses=[(fat, "1000"), (make.koh("0.9"), "200")],
        makes="paste",
        amount="1200",
        code="PASTE",
    )
    assert fit(paste)
    return paste


def reading(what):
    return Measurement.objects.get(what=what)


def test_a_value_put_right_voids_a_pass_that_rested_on_the_wrong_one():
    paste = cooked()
    put_right("reading", reading("purity"), value=D("0.98"), confirmed=True)
    assert not fit(paste)
    with make.refused("Test it again"):
        make.sale(paste, on=day(14), customer=None, channel="stall")


def test_a_value_put_right_frees_nothing():
    """Free alkali by the book: a higher value of the oil does not clear it unseen."""
    paste = cooked()
    put_right("reading", reading("saponification value"), value=D(165))
    assert not fit(paste)
    put_right("reading", reading("saponification value"), value=D(190), written=13)
    assert fit(paste), "it is as it was when it was tested"


def test_another_oil_voids_a_pass_as_its_own_value_would():
    light = ReferenceOil.objects.order_by("sv").first()
    heavy = ReferenceOil.objects.filter(kind="fat").order_by("-sv").first()
    entered = make.item("heavy oil", category="oil", oil=heavy)
    really = make.item("light oil", category="oil", oil=light)
    fat = make.lot("OIL", item=entered)
    potash = heavy.sv / 1000 * 1000 * D("0.95") / D("0.9")
    paste = make.batch(
        "cook",
        uses=[(fat, "1000"), (make.koh("0.9"), str(round(potash, 1)))],
        makes="paste",
        amount="1270",
        code="PASTE",
    )
    assert fit(paste)
    put_right("lot", fat, item=really)
    assert not fit(paste)


@pytest.mark.parametrize("what", ["neutrality", "pH", "free alkali"])
def test_a_check_is_taken_back_and_never_put_right(what):
    paste = cooked()
    facts = {"pH": {"value": D("12.8")}, "free alkali": {"value": D(0)}}
    read = Reading(what, **facts.get(what, {"passed": True}))
    note_measurement(lot=paste, readings=[read], **act(6))
    row = Measurement.objects.filter(what=what).last()
    with make.refused("taken back on its own page"):
        put_right("reading", row, value=D("0.01"))


def test_a_ph_that_judged_nothing_is_put_right_while_it_judges_nothing():
    paste = cooked()
    read = Reading("pH", D("9.3"))
    note_measurement(lot=paste, readings=[read], **act(6))
    row = Measurement.objects.get(what="pH")
    put_right("reading", row, value=D("9.8"))
    with make.refused("A pH of 12.8", "reading of its own"):
        put_right("reading", row, value=D("12.8"))


def test_what_a_weighing_worked_out_is_weighed_again():
    lye = make.koh("0.9", code="K", grams="1000")
    reweigh_lot(lot=lye, found=D(1020), **act(3))
    row = Measurement.objects.filter(what="purity").last()
    with make.refused("Take that weighing back"):
        put_right("reading", row, value=D("0.95"))


# -- a gift


def test_naming_who_has_a_sample_asks_like_a_gift():
    fat = make.lot("OIL", item=make.item(category="oil"))
    soap = make.batch(
        "cook",
        uses=[(fat, "900"), (make.koh(), "9")],
        makes="paste",
        status="quarantine",
    )
    give(lot=soap, amount=D(1), why="sample", **act(3))
    with make.refused():
        put_right("given", Given.objects.get(), recipient="Ada")


def test_who_has_it_is_who_it_was_put_right_to():
    soap = make.filled("SOAP")
    give(lot=soap, amount=D(1), why="gift", recipient="Ida", **act(3))
    put_right("given", Given.objects.get(), recipient="Ada")
    assert trace(soap).customers == ["Ada"]


# -- how long it keeps


def keeps(until=10, **facts):
    return make.lot("KEEPS", grams="100", expires=day(until), **facts)


def test_an_expiry_is_put_right_earlier_by_anybody_who_wrote_it():
    lot = keeps()
    put_right("lot", lot, expires=day(5))
    assert Lot.objects.get().expires == day(5)


def test_a_later_expiry_is_put_right_by_an_owner_while_nothing_went_on():
    lot = keeps()
    put_right("lot", lot, expires=day(20))
    assert Lot.objects.get().expires == day(20)


def test_a_maker_puts_no_expiry_later(owner):
    item = make.item("rapeseed oil")
    new = NewLot(D(10), code="MINE", expires=day(10))
    hand = make.maker()
    lot = open_stock(item=item, lot=new, **act(2, by=hand))
    with make.refused("Only an owner"):
        put_right("lot", lot, by=hand, expires=day(20))
    put_right("lot", lot, by=hand, expires=day(9))


def test_what_went_on_after_its_day_makes_a_longer_life_a_decision():
    lot = keeps(item=make.item(category="oil"))
    batch = start_batch(stage="cook", **act(11))
    uses = [Use(D(5), lot=lot)]
    why = act(11, reason="smells fine")
    use_lots(batch=batch, uses=uses, override=True, **why)
    with make.refused("went on after", "extend the expiry"):
        put_right("lot", lot, expires=day(20))


def extend(lot, written=12, by=None, reason="tested again", **facts):
    return extend_expiry(lot=lot, **act(written, by=by, reason=reason), **facts)


def test_an_extension_names_its_test():
    lot = keeps()
    with make.refused("Name the test"):
        extend(lot, expires=day(30))
    with make.refused("Write the reason"):
        extend(lot, expires=day(30), paper="report 7", reason="")
    with make.refused("Only an owner"):
        extend(lot, expires=day(30), paper="report 7", by=make.maker())
    with make.refused("earlier day"):
        extend(lot, expires=day(9), paper="report 7")
    with make.refused("has passed"):
        extend(lot, expires=day(11), paper="report 7")
    extend(lot, expires=day(30), paper="report 7")
    assert Lot.objects.get().expires == day(30)
    says = [row.says for row in history_of("lot", lot.pk)]
    assert "tested again: report 7" in says


def test_an_extension_rests_on_a_reading_of_this_lot_taken_since():
    value = Reading("acid value", D("0.2"))
    lot = keeps(readings=(value,))
    with make.refused("came with the lot"):
        extend(lot, expires=day(30), reading=reading("acid value"))
    other = make.lot("OTHER")
    note_measurement(lot=other, readings=[value], **act(11))
    row = Measurement.objects.last()
    with make.refused("of another lot"):
        extend(lot, expires=day(30), reading=row)
    note_measurement(lot=lot, readings=[value], **act(11))
    extend(lot, expires=day(30), reading=Measurement.objects.last())
    assert (
        Restated.objects.filter(field="retest").get().value
        == "acid value of 2026-03-11"
    )


# -- closed months


def test_a_day_is_neither_taken_out_of_a_closed_month_nor_put_into_it():
    soap = make.filled("SOAP")
    sale = make.sale(soap, on=day(5))
    close_book(through=day(6), past=True, **act(8))
    with make.refused("closed through"):
        put_right("sale", sale, on=day(7))
    later = make.sale(soap, on=day(9))
    with make.refused("closed through"):
        put_right("sale", later, on=day(5))
    put_right("sale line", sale.lines.get(), unit_price=D(8))


def test_a_figure_of_a_row_that_was_taken_back_is_left_alone():
    oil = make.item(category="oil")
    new = NewLot(D(10), code="X")
    lot = open_stock(item=oil, lot=new, value=D(3), **act(2))
    entry = lot.movements.get()
    undo_deed(undone=entry.deed, **act(3, reason="never came"))
    with pytest.raises(Refused, match="taken back"):
        put_right("entry", entry, value=D(4))
