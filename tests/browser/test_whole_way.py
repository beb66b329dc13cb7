"""From a purchase to the person who has the bottle, in a real browser."""

from production.buying.actions.suppliers import ensure_supplier
from production.models import ReferenceOil
from production.selling.actions.customers import ensure_customer
from tests import make

DAY = "2026-03-02"


def cards():
    """The items' cards; everything else is typed in the browser."""
    olive = ReferenceOil.objects.get(key="olive-oil")
    make.item("olive oil", category="oil", oil=olive)
    make.item("potassium hydroxide", category="alkali", alkali="KOH")
    make.item("tap water", category="water", on_tap=True)
    make.item("bottle 250", kind="packaging", unit="piece")
    make.item("paste", kind="made")
    make.item("diluted soap", kind="made")
    make.item("hand wash", kind="made", unit="piece")
    ensure_supplier("Northmere Oils")
    ensure_customer("The Tin Lantern")


def buy(walk):
    walk.open("/purchases/record/")
    walk.fill(supplier="Northmere Oils", number="PO-7", on=DAY)
    walk.fill(lines__0__item="olive oil", lines__0__amount="35 lb")
    walk.fill(lines__0__price="78.50", lines__0__code="OIL-1")
    walk.fill(lines__1__item="potassium hydroxide", lines__1__amount="5 kg")
    walk.fill(lines__1__price="31", lines__1__purity="89.9", lines__1__code="KOH-1")
    walk.fill(lines__2__item="bottle 250", lines__2__amount="40")
    walk.fill(lines__2__price="31.20", lines__2__code="BOT-1")
    walk.press()
    walk.sees("PO-7", "OIL-1", "KOH-1", "BOT-1")


def cook(walk):
    walk.open("/batches/run/cook/")
    walk.sees("lye burns skin and blinds eyes")
    walk.fill(on=DAY, item="paste", amount="9.9 kg", lot_code="PASTE-1")
    walk.fill(uses__0__lot="OIL-1", uses__0__amount="6 kg")
    walk.fill(uses__1__lot="KOH-1", uses__1__amount="1243")
    walk.fill(uses__2__lot="tap water", uses__2__amount="2924.3")
    # The name on the tub is read a second time before anything is written.
    with walk.page.expect_navigation():
        walk.page.locator("main .act button").click()
    walk.sees("Is it potassium hydroxide, 89.9 %, lot KOH-1?")
    walk.fill(uses__1__read=True)
    walk.press()
    walk.open(f"/lots/PASTE-1/measure/?on={DAY}")
    walk.fill(what="neutrality", passed="yes", method="drop test", sampled="after")
    walk.tick("spots", "top", "bottom")
    walk.press()
    walk.open("/lots/PASTE-1/release/")
    walk.fill(on=DAY)
    walk.press()


def dilute_and_fill(walk):
    walk.open("/batches/run/dilution/")
    walk.fill(on=DAY, item="diluted soap", amount="14.9 kg", lot_code="THIN-1")
    walk.fill(uses__0__lot="PASTE-1", uses__0__amount="5 kg")
    walk.fill(uses__1__lot="tap water", uses__1__amount="9886")
    walk.press()
    walk.open("/batches/run/filling/")
    walk.fill(on=DAY, item="hand wash", amount="40", lot_code="FILL-1", net_mass="245")
    walk.fill(uses__0__lot="THIN-1", uses__0__amount="245*40")
    walk.fill(uses__1__lot="BOT-1", uses__1__amount="40")
    walk.press()
    walk.open("/lots/FILL-1/release/")
    walk.fill(on=DAY)
    walk.press()


def test_from_a_purchase_to_the_person_who_has_the_bottle(walk):
    cards()
    buy(walk)
    cook(walk)
    dilute_and_fill(walk)
    walk.open("/sales/record/")
    walk.fill(on=DAY, customer="The Tin Lantern")
    walk.fill(lines__0__lot="FILL-1", lines__0__amount="12")
    walk.fill(lines__0__unit_price="7.00")
    walk.press()
    walk.open("/lots/FILL-1/cost/")
    walk.sees("packaging", "BOT-1", "OIL-1")
    walk.open("/trace/?lot=OIL-1")
    walk.sees("PASTE-1", "THIN-1", "FILL-1", "The Tin Lantern")
