"""An ordinary day of a small workshop, deed by deed on the pages.

Each deed is typed right unless it is told otherwise; a clumsy day is made of the same.
"""

from django.urls import reverse

from production.buying.actions.suppliers import ensure_supplier
from production.models import ReferenceOil
from production.selling.actions.customers import ensure_customer
from production.workshop.actions.cards import ensure_place
from tests import make

ARRIVED, COOKED, THINNED, FILLED, SOLD = (f"2026-03-0{day}" for day in range(2, 7))
STALL, SHOP, FRIEND = "Saturday stall", "The Tin Lantern", "Ada"


def cards():
    """The items' cards, whom it deals with, and the crate; all else is typed."""
    olive = ReferenceOil.objects.get(key="olive-oil")
    make.item("olive oil", category="oil", oil=olive)
    make.item("potassium hydroxide", category="alkali", alkali="KOH")
    make.item("tap water", category="water", on_tap=True)
    make.item("glycerin", category="additive")
    for size in ("250", "500"):
        make.item(f"bottle {size}", kind="packaging", unit="piece")
    for name in ("paste", "diluted soap"):
        make.item(name, kind="made")
    make.item("hand wash", kind="made", unit="piece")
    for name in ("Northmere Oils", "Southmere Oils"):
        ensure_supplier(name)
    for name in (SHOP, "The Copper Jug"):
        ensure_customer(name)
    ensure_place("workshop")
    ensure_place("crate")


def sign_in(walk):
    person = make.owner()
    person.set_password("kettle and spoon 7")
    person.save()
    walk.open("/login/")
    walk.fill(username="ines", password="kettle and spoon 7")
    walk.press()


# As a browser fills a form by itself; what is mended is typed key by key.
LAY_IN = """typed => {
    for (const [name, value] of Object.entries(typed)) {
        const box = document.querySelector(`main form[method=post] [name="${name}"]`);
        const wanted = o => o.value === value || o.text.includes(value);
        box.value = box.options ? [...box.options].find(wanted).value : value;
    }
}"""


def type_in(walk, path, right, wrong):
    """A form with what is right, but for what is typed wrong; it is not sent yet."""
    walk.open(path)
    typed = {**right, **wrong}
    boxes = {name.replace("__", "-"): value for name, value in typed.items()}
    walk.page.evaluate(LAY_IN, boxes)


GLYCERIN = {
    "item": "glycerin",
    "amount": "2000 g",
    "value": "14",
    "on": ARRIVED,
    "code": "GLY-1",
}


def open_stock(walk, **wrong):
    type_in(walk, "/lots/open/", GLYCERIN, wrong)
    walk.press()


PURCHASE = {
    "supplier": "Northmere Oils",
    "number": "PO-7",
    "on": ARRIVED,
    "rate": "1.1",
    "lines__0__item": "olive oil",
    "lines__0__amount": "15 kg",
    "lines__0__price": "78.50",
    "lines__0__code": "OIL-1",
    "lines__0__supplier_lot": "A-771",
    "lines__0__expires": "2027-06-30",
    "lines__1__item": "potassium hydroxide",
    "lines__1__amount": "5 kg",
    "lines__1__price": "31",
    "lines__1__purity": "89.9",
    "lines__1__code": "KOH-1",
    "lines__2__item": "bottle 250",
    "lines__2__amount": "40",
    "lines__2__price": "31.20",
    "lines__2__code": "BOT-1",
    "extra_costs__0__amount": "18",
    "extra_costs__0__by": "value",
}


def type_purchase(walk, **wrong):
    type_in(walk, "/purchases/record/", PURCHASE, wrong)


def buy(walk, **wrong):
    type_purchase(walk, **wrong)
    walk.press()


COOK = {
    "on": COOKED,
    "item": "paste",
    "amount": "9900",
    "lot_code": "PASTE-1",
    "code": "COOK-1",
    "uses__0__lot": "OIL-1",
    "uses__0__amount": "6000",
    "uses__1__lot": "KOH-1",
    "uses__1__amount": "1243",
    "uses__2__lot": "tap water",
    "uses__2__amount": "2924.3",
    "losses__0__kind": "steam",
    "losses__0__amount": "267.3",
    "work__0__hours": "1.5",
    "work__0__rate": "18",
}


def cook(walk, **wrong):
    type_in(walk, "/batches/run/cook/", COOK, wrong)
    # The name on the tub is read a second time before anything is written.
    walk.send()
    walk.fill(uses__1__read=True)
    walk.press()


def check_paste(walk, passed="yes"):
    walk.open(f"/lots/PASTE-1/measure/?on={COOKED}")
    walk.fill(what="neutrality", passed=passed, method="drop test", sampled="after")
    walk.tick("spots", "top", "bottom")
    walk.press()


def read_ph(walk, value="9.8"):
    walk.open(f"/lots/PASTE-1/measure/?what=pH&on={COOKED}")
    walk.fill(what="pH", value=value, sampled="after")
    walk.press()


def release(walk, code, on):
    walk.open(f"/lots/{code}/release/")
    walk.fill(on=on)
    walk.press()


START = {"stage": "dilution", "on": THINNED, "code": "THIN", "expected": "14800"}


def start_thinning(walk, **wrong):
    type_in(walk, "/batches/start/", START, wrong)
    walk.press()


USES = {
    "on": THINNED,
    "uses__0__lot": "PASTE-1",
    "uses__0__amount": "5000",
    "uses__1__lot": "tap water",
    "uses__1__amount": "9886",
    "uses__2__lot": "GLY-1",
    "uses__2__amount": "150",
}


def put_in(walk, **wrong):
    type_in(walk, "/batches/THIN/use/", USES, wrong)
    walk.press()


def note_step(walk, text="stirred in hot"):
    type_in(walk, "/batches/THIN/step/", {"on": THINNED, "text": text}, {})
    walk.press()


def note_work(walk, **wrong):
    hours = {"on": THINNED, "work__0__hours": "0.75", "work__0__rate": "18"}
    type_in(walk, reverse("batch-work", args=["THIN"]), hours, wrong)
    walk.press()


THIN = {
    "on": THINNED,
    "item": "diluted soap",
    "amount": "14700",
    "lot_code": "THIN-1",
    "losses__0__kind": "spill",
    "losses__0__amount": "100",
    "losses__1__kind": "left on the walls",
    "losses__1__amount": "236",
}


def make_thin(walk, **wrong):
    type_in(walk, "/batches/THIN/make/", THIN, wrong)
    walk.press()


FILL = {
    "on": FILLED,
    "item": "hand wash",
    "amount": "30",
    "lot_code": "FILL-1",
    "code": "FILL",
    "net_mass": "245",
    "uses__0__lot": "THIN-1",
    "uses__0__amount": "245*30",
    "uses__1__lot": "BOT-1",
    "uses__1__amount": "30",
}


def fill(walk, **wrong):
    type_in(walk, "/batches/run/filling/", FILL, wrong)
    walk.press()


def carry(walk, amount="12"):
    type_in(
        walk, "/lots/FILL-1/move/", {"amount": amount, "to": "crate", "on": SOLD}, {}
    )
    walk.press()


AT_THE_STALL = {
    "on": SOLD,
    "channel": STALL,
    "number": "S-1",
    "place": "crate",
    "lines__0__lot": "FILL-1",
    "lines__0__amount": "8",
    "lines__0__unit_price": "7.00",
}


def sell_at_the_stall(walk, **wrong):
    type_in(walk, "/sales/record/", AT_THE_STALL, wrong)
    walk.press()


TO_THE_SHOP = {
    "on": SOLD,
    "customer": SHOP,
    "number": "S-2",
    "place": "workshop",
    "lines__0__lot": "FILL-1",
    "lines__0__amount": "6",
    "lines__0__unit_price": "5.50",
}


def sell_to_the_shop(walk, **wrong):
    type_in(walk, "/sales/record/", TO_THE_SHOP, wrong)
    walk.press()


GIFT = {
    "amount": "1",
    "why": "gift",
    "recipient": FRIEND,
    "place": "workshop",
    "on": SOLD,
}


def give(walk, **wrong):
    type_in(walk, "/lots/FILL-1/give/", GIFT, wrong)
    walk.press()


def count_glycerin(walk, found="1848", **why):
    """Two grams less than the book, within what a scale tells."""
    type_in(walk, "/lots/GLY-1/count/", {"found": found, "on": SOLD}, why)
    walk.press()


def the_day(walk):
    """Nothing goes wrong."""
    open_stock(walk)
    buy(walk)
    cook(walk)
    check_paste(walk)
    read_ph(walk)
    release(walk, "PASTE-1", COOKED)
    start_thinning(walk)
    put_in(walk)
    note_step(walk)
    note_work(walk)
    make_thin(walk)
    fill(walk)
    release(walk, "FILL-1", FILLED)
    carry(walk)
    sell_at_the_stall(walk)
    sell_to_the_shop(walk)
    give(walk)
    count_glycerin(walk)
