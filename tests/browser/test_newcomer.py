"""A newcomer's first day: a sheet of purchases in, ten labelled bottles out."""

from datetime import timedelta
from io import BytesIO

import pdfplumber

from production.models import Item, Lot
from production.record.reads.clock import today
from tests import make
from tests.production.buying.sheet_cases import demo_sheet

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def write_the_cards(walk):
    walk.open("/workshop/change/")
    walk.fill(name="Harbour Soap", address="2 Quay Street\nPort Ellery, Maine 04998")
    walk.fill(contact="207-555-0177", emergency="Ambulance: 911")
    walk.fill(country="United States")
    walk.press()
    for name, facts in {
        "Tap water": {
            "category": "water",
            "on_tap": True,
            "name_on_label": "water: Aqua",
        },
        "Paste": {"kind": "made here"},
        "Diluted soap": {"kind": "made here"},
        "Finished soap": {"kind": "made here"},
        "Hand wash 16 fl oz": {"kind": "made here", "unit": "piece"},
    }.items():
        walk.open("/items/add/")
        walk.fill(name=name, **facts)
        walk.press()


def take_the_purchases_in(walk):
    walk.open("/purchases/")
    walk.page.locator('main a[href="/purchases/sheet/"]').first.click()
    sheet = {"name": "purchases.xlsx", "mimeType": XLSX}
    sheet["buffer"] = demo_sheet()
    walk.page.set_input_files('main input[type="file"]', sheet)
    walk.press("Read it")
    walk.sees("Nothing is written yet", "NO-2477", "Will be added")
    walk.press("Write 3 purchases")
    walk.sees("NO-2477")


def name_the_oils(walk):
    """What the label and the arithmetic need to know of each oil."""
    for name, oil, label in (
        ("High-oleic safflower oil", "Safflower seed oil, high oleic", "safflower oil"),
        ("Oleic acid", "Oleic acid", "oleic acid"),
    ):
        item = Item.objects.get(name=name)
        walk.open(f"/items/{item.pk}/change/")
        walk.fill(oil=oil, name_on_label=label)
        walk.press()


def cook(walk, on):
    walk.open("/batches/run/cook/")
    walk.fill(on=on, item="Paste", amount="9940", lot_code="PASTE-1")
    walk.fill(uses__0__lot="SAF-3", uses__0__amount="5520")
    walk.fill(uses__1__lot="OLE-2", uses__1__amount="480")
    walk.fill(uses__2__lot="KOH-3", uses__2__amount="1240")
    walk.fill(uses__3__lot="Tap water", uses__3__amount="2924")
    with walk.page.expect_navigation():
        walk.page.locator("main .act button").click()
    walk.sees("lot KOH-3?")
    walk.fill(uses__2__read=True)
    walk.press()
    walk.open(f"/lots/PASTE-1/measure/?on={on}")
    walk.fill(what="neutrality", passed="yes", method="drop test", sampled="after")
    walk.tick("spots", "top", "bottom")
    walk.press()
    walk.open("/lots/PASTE-1/release/")
    walk.fill(on=on)
    walk.press()


def dilute_finish_fill(walk, on):
    walk.open("/day/?paste=PASTE-1&paste_amount=3000")
    walk.fill(on=on)
    for name, value in {
        "paste": "PASTE-1",
        "paste_amount": "3000",
        "water": "Tap water",
        "water_amount": "6000",
        "diluted_item": "Diluted soap",
        "finished_item": "Finished soap",
        "finished_amount": "9000",
        "fillings-0-what": "Hand wash 16 fl oz",
        "fillings-0-pieces": "10",
        "fillings-0-net_mass": "490",
        "fillings-0-container": "PUMP-3",
        "fillings-0-code": "WASH-1",
    }.items():
        walk.set(name, value)
    walk.press()
    walk.sees("WASH-1")


def see_the_cost(walk):
    walk.open("/lots/WASH-1/cost/")
    walk.sees("packaging", "PUMP-3", "KOH-3", "NO-2477")


def print_the_labels(walk):
    walk.open("/lots/WASH-1/label/")
    walk.sees("A draft", "missing")
    walk.page.get_by_role("link", name="Write the label card").click()
    walk.fill(identity="Liquid soap", function="For the hands", declared="16 fl oz")
    walk.fill(width="80", height="110", keeps_months="24")
    walk.fill(body="a liquid", shape="the label covers all of the side")
    walk.fill(cautions="For external use only. Avoid contact with eyes.")
    walk.press()
    walk.sees("Nothing is missing under these rules")
    walk.ask(labels="10")
    walk.press("Update the picture")
    walk.press("Issue and print 10")
    link = walk.page.get_by_role("link", name="Open the file").first
    answer = walk.page.request.get(walk.base + link.get_attribute("href"))
    assert answer.headers["content-type"] == "application/pdf"
    text = "".join(page.extract_text() for page in pages(answer.body()))
    assert text.count("WASH-1") == 10
    assert "DRAFT" not in text


def pages(raw):
    with pdfplumber.open(BytesIO(raw)) as paper:
        return list(paper.pages)


def test_a_newcomer_has_ten_labelled_bottles_by_evening(walk):
    make.owner()
    on = str(today() - timedelta(days=1))
    write_the_cards(walk)
    take_the_purchases_in(walk)
    name_the_oils(walk)
    cook(walk, on)
    dilute_finish_fill(walk, on)
    assert Lot.objects.get(code="WASH-1").item.name == "Hand wash 16 fl oz"
    see_the_cost(walk)
    print_the_labels(walk)
