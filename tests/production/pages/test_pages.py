"""Every page: behind the door, under the policy, in a fixed number of queries."""

import re
from copy import deepcopy
from decimal import Decimal

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test.utils import CaptureQueriesContext
from django.urls import NoReverseMatch, get_resolver, reverse

from production.batches.actions.batches import start_batch, use_lots
from production.batches.actions.losing import name_loss
from production.batches.actions.new_batch import Use
from production.buying.actions.purchases import NewLine, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.models import (
    Attachment,
    Deed,
    Loss,
    Measurement,
    Movement,
    PurchaseLine,
    ReferenceRuleOfThumb,
    SaleLine,
    Stage,
)
from production.recipes.actions.formulas import NewVersionLine, write_version
from production.recipes.actions.rules_of_thumb import write_rule
from production.release.actions.readings import note_measurement, note_step
from production.release.actions.statuses import hold_lot
from production.selling.actions.sales import NewSaleLine, sell, take_back
from production.stock.actions.opening_lots import NewLot, Reading
from production.workshop.actions.cards import add_vessel, set_up_workshop
from production.yields.domain.hours_and_losses import NewLoss
from tests import make
from tests.once import built_once

OPEN_TO_ALL = {"login", "splash", "healthz"}
# They answer what was typed so far.
ANSWERS = {
    "recipe-preview",
    "run-superfat",
    "batch-superfat",
    "day-superfat",
    "scents-superfat",
}
INLINE = re.compile(
    r"<style|<script(?![^>]*\ssrc=)|\sstyle=|\son(click|load|change|submit|error)\s*=",
    re.IGNORECASE,
)


def a_workshop():
    """One of everything, so that every page has something to show."""
    olive = make.item("olive oil", category="oil")
    oil = make.lot("OIL-1", grams="9000", expires=make.day(28), item=olive)
    lye = make.koh(grams="3000")
    version = write_version(
        name="Tideline",
        stage="cook",
        makes=make.item("paste", kind="made"),
        lines=[NewVersionLine(oil.item, Decimal(1))],
        superfat=Decimal("0.02"),
        water_per_alkali=Decimal("2.2"),
        on=make.DAY,
        by=make.owner(),
    )
    paste = make.batch("cook", uses=[(oil, "1000"), (lye, "200")], makes="paste")
    bottles = make.bottles()
    filled = make.batch(
        "filling",
        uses=[(paste, "500"), (bottles, "10")],
        makes="hand wash",
        unit="piece",
        amount="10",
        net_mass="50",
        code="FILL-1",
    )
    started = start_batch(stage="cook", version=version, on=make.DAY, by=make.owner())
    note_step(batch=started, text="melted", on=make.DAY, by=make.owner())
    sale = make.sale(filled, "3")
    back = take_back(
        line=sale.lines.get(),
        amount=Decimal(1),
        then="restock",
        on=make.DAY,
        by=make.owner(),
    )
    make.attachment(lot=filled)
    spill = [NewLoss("spill", Decimal(1))]
    name_loss(
        batch=filled.batch, losses=spill, on=make.DAY, by=make.owner(), reason="wet"
    )
    note_measurement(lot=paste, readings=[make.check()], on=make.DAY, by=make.owner())
    return {"filled": filled, "batch": started, "sale": sale, "back": back}


RULE = {
    "topic": "clear when diluted",
    "figure": "oleic",
    "low": Decimal("0.5"),
    "high": None,
    "says": "Clear.",
    "source": "invented",
}


def a_rule():
    return ReferenceRuleOfThumb.objects.create(
        key="invented", standing="recalled", **RULE
    )


def own_rule():
    return write_rule(**RULE, **make.act())


def names():
    """Every named page of the house with the kind of thing it needs."""
    patterns = get_resolver("production.urls").reverse_dict
    return sorted(name for name in patterns if isinstance(name, str))


def address(name, there):
    """The page's address, with something real in it."""
    head = name.split("-")[0]
    numbers = {
        "purchase": lambda: PurchaseLine.objects.first().purchase_id,
        "line": lambda: PurchaseLine.objects.first().pk,
        "supplier": lambda: PurchaseLine.objects.first().purchase.supplier_id,
        "formula": lambda: there["batch"].version.formula_id,
        "version": lambda: there["batch"].version_id,
        "sale": lambda: there["sale"].pk,
        "customer": lambda: there["sale"].customer_id,
        "item": lambda: there["filled"].item_id,
        "place": lambda: Movement.objects.first().place_id,
        "deed": lambda: Deed.objects.first().pk,
        "check": lambda: Measurement.objects.filter(passed=True).first().pk,
        "entry": lambda: Movement.objects.first().pk,
        "attachment": lambda: Attachment.objects.first().pk,
        "lot-code": lambda: there["filled"].pk,
        "batch-code": lambda: there["batch"].pk,
        "person": lambda: make.maker().pk,
        "vessel": lambda: add_vessel(name="kettle", volume=Decimal(24000)).pk,
        "rule": lambda: a_rule().pk,
        "loss": lambda: Loss.objects.first().pk,
        "return": lambda: there["back"].pk,
        "hint": lambda: own_rule().pk,
    }
    of_stage = ("batch-run", "run-sheet", "run-sheet-pdf", "recipe-preview")
    if name in (*of_stage, "run-superfat"):
        return reverse(name, args=[Stage.COOK])
    if name in ("lot-code", "batch-code"):
        return reverse(name, args=[numbers[name]()])
    if name == "sale-take-back":
        return reverse(name, args=[SaleLine.objects.get().pk])
    if head == "batch":
        args = [there["batch"].code]
    elif head == "lot":
        args = [there["filled"].code]
    elif head == "alkali":
        args = ["K1"]
    else:
        args = [numbers[head]()] if head in numbers else []
    try:
        return reverse(name)
    except NoReverseMatch:
        return reverse(name, args=args)


@pytest.mark.parametrize("stage", Stage.values)
def test_every_stage_has_its_page_and_its_recipe_form(desk, stage):
    run = desk.get(reverse("batch-run", args=[stage]))
    recipe = desk.get(reverse("recipe-write"), {"stage": stage})
    assert run.status_code == recipe.status_code == 200
    assert not INLINE.search(run.content.decode() + recipe.content.decode())


def add_more(there, number):
    """One more row on every list, and one more line on every paper."""
    by = {"on": make.DAY, "by": make.owner()}
    oil = make.lot(f"M{number}", item=make.item(f"oil {number}", category="oil"))
    make.lot(f"H{number}", expires=make.day(28))
    hold_lot(lot=make.lot(f"D{number}"), reason="cloudy", **by)
    ensure_supplier(f"Supplier {number}")
    soap = make.batch(
        "finishing",
        uses=[(oil, "10"), (there["spring"], "5")],
        makes="soap",
        amount="15",
        status="quarantine",
    )
    ph = Reading("pH", Decimal("9.5"))
    note_measurement(lot=there["spring"], readings=[ph], **by)
    note_measurement(batch=there["batch"], readings=[ph], **by)
    note_step(batch=there["batch"], text="stirred", **by)
    use_lots(batch=there["batch"], uses=[Use(lot=oil, amount=Decimal(1))], **by)
    bottled = make.batch(
        "filling", uses=[(oil, "1")], makes="hand wash", unit="piece", amount="10"
    )
    sale = make.sale(bottled, "2", customer=f"Customer {number}")
    take_back(line=sale.lines.get(), amount=Decimal(1), then="destroy", **by)
    start_batch(stage="cook", **by)
    line = NewVersionLine(oil.item, Decimal("0.2"))
    brine = make.item("brine", kind="made")
    write_version(name="Brine", stage="preparation", makes=brine, lines=[line], **by)
    return soap


def long_papers(there, rows):
    """A purchase and a sale with so many lines."""
    lines = [
        NewLine(
            item=make.item(f"salt {number}", category="salt"),
            lots=[NewLot(amount=Decimal(100))],
            price=Decimal(1),
        )
        for number in range(rows)
    ]
    bought = record_purchase(
        supplier=ensure_supplier("Pan & Sieve"),
        lines=lines,
        on=make.DAY,
        by=make.owner(),
    )
    lots = [line.lots.get() for line in bought.lines.all()]
    sold = sell(
        lines=[NewSaleLine(lot, Decimal(1)) for lot in lots],
        channel="stall",
        on=make.DAY,
        by=make.owner(),
    )
    return [bought.get_absolute_url(), sold.get_absolute_url()]


LISTS = [
    "start",
    "purchases",
    "items",
    "suppliers",
    "customers",
    "recipes",
    "batches",
    "lots",
    "filled",
    "sales",
    "returns",
    "places",
    "history",
    "batch",
    "formula",
    "version",
    "supplier",
    "customer",
    "item",
    "workshop",
]


def asked(desk, urls):
    """How many questions each page puts to the database."""
    found = []
    for url in urls:
        with CaptureQueriesContext(connection) as questions:
            assert desk.get(url).status_code == 200
        found.append(len(questions))
    return found


SORTED = [
    *("purchases", "items", "suppliers", "customers", "recipes", "batches", "lots"),
    *("filled", "sales", "returns", "places", "history"),
]

built = built_once(a_workshop)


@pytest.fixture
def there(built, db):
    return deepcopy(built)


class TestEveryPage:
    @pytest.mark.parametrize("name", names())
    def test_every_page_opens_and_carries_nothing_inline(self, desk, there, name):
        where = address(name, there)
        # A sheet of nothing planned leads back to where it is planned.
        answer = desk.post(where) if name in ANSWERS else desk.get(where, follow=True)
        assert answer.status_code == 200
        assert "default-src 'self'" in answer["Content-Security-Policy"]
        # One of them is a spreadsheet, not text.
        assert not INLINE.search(answer.content.decode(errors="replace"))

    @pytest.mark.parametrize("name", names())
    def test_no_page_opens_without_signing_in(self, client, owner, there, name):
        answer = client.get(address(name, there))
        if name in OPEN_TO_ALL:
            assert answer.status_code == 200
        else:
            assert answer.status_code == 302
            assert answer.url.startswith(reverse("login"))

    def test_a_page_asks_the_same_for_2_rows_and_for_9(self, desk, there):
        there |= {"spring": make.lot("SPRING")}
        urls = [address(name, there) for name in LISTS]
        urls += [reverse("lot", args=["SPRING"]), f"{reverse('trace')}?lot=SPRING"]
        for number in range(2):
            add_more(there, number)
        few = asked(desk, urls)
        for number in range(2, 9):
            add_more(there, number)
        many = asked(desk, urls)
        assert dict(zip(urls, few, strict=True)) == dict(zip(urls, many, strict=True))

    def test_a_paper_asks_the_same_for_2_lines_and_for_9(self, desk, there):
        assert asked(desk, long_papers(there, 2)) == asked(desk, long_papers(there, 25))

    @pytest.mark.parametrize("name", SORTED)
    def test_a_list_sorts_by_every_heading_and_narrows_by_every_box(
        self, desk, there, name
    ):
        page = desk.get(reverse(name))
        for column in page.context["table"].columns:
            if column.orderable:
                answer = desk.get(reverse(name), {"sort": f"-{column.name}"})
                assert answer.context["table"].order_by == (f"-{column.name}",)
                assert "listed" in answer.content.decode()
        for box in page.context["filters"].form:
            choices = getattr(box.field, "choices", [("2030-01-01", "")])
            for value, _ in choices:
                assert desk.get(reverse(name), {box.name: value}).status_code == 200
        found = desk.get(reverse(name), {"find": "no such words"})
        assert "Nothing matches what you asked for" in found.content.decode()

    @pytest.mark.parametrize("name", ["batch-use", "batch-run"])
    def test_cautions_stand_where_lye_is_weighed(self, desk, there, name):
        page = desk.get(address(name, there)).content.decode()
        for words in (
            "safety data sheet",
            "Goggles",
            "Never water onto alkali",
            "aluminium",
        ):
            assert words in page


def test_a_list_sorts_narrows_and_pages(desk):
    for number in range(30):
        make.lot(f"N{number:02}", grams=f"{number + 1}")
    first = desk.get(reverse("lots"), {"sort": "on_hand"}).content.decode()
    assert "N00" in first
    assert "N29" not in first
    second = desk.get(reverse("lots"), {"sort": "on_hand", "page": 2}).content.decode()
    assert "N29" in second
    found = desk.get(reverse("lots"), {"find": "N17"}).content.decode()
    assert "N17" in found
    assert "N18" not in found


def test_an_empty_list_leads_to_what_would_fill_it(desk):
    page = desk.get(reverse("purchases")).content.decode()
    assert "Nothing was bought yet." in page
    assert page.count(f'href="{reverse("purchase-record")}"') == 2


def test_the_splash_page_shows_the_emergency_numbers_to_anybody(client, db):
    set_up_workshop(name="Wrackline", emergency="Poison help 555-0100")
    page = client.get(reverse("splash")).content.decode()
    assert "Poison help 555-0100" in page
    assert reverse("splash") in client.get(reverse("login")).content.decode()


@pytest.mark.parametrize("stage", ["preparation", "rework"])
def test_cautions_stand_on_lye_stock_and_rework(desk, stage):
    page = desk.get(reverse("batch-run", args=[stage])).content.decode()
    assert "Never water onto alkali" in page


def test_no_caution_where_no_lye_is_weighed(desk):
    page = desk.get(reverse("batch-run", args=["filling"])).content.decode()
    assert "Never water onto alkali" not in page


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("NOPE", "There is no lot NOPE"),
        ("3K7Q-5", "is mistyped"),
    ],
)
def test_a_code_that_is_not_there_is_told_apart_from_a_mistyped_one(desk, typed, says):
    assert says in desk.get(reverse("trace"), {"lot": typed}).content.decode()


def test_a_code_from_outside_is_looked_up_as_it_stands(desk):
    make.lot("3K7Q-5")
    page = desk.get(reverse("trace"), {"lot": "3K7Q-5"}).content.decode()
    assert "mistyped" not in page
    assert "Nothing: it came from outside." in page


def test_a_page_that_is_not_there_says_so_in_house_words(desk):
    answer = desk.get("/nowhere/")
    assert answer.status_code == 404
    assert "Nothing stands under this address" in answer.content.decode()


def test_what_was_typed_is_read_back(desk):
    read = desk.get(
        reverse("echo-amount"),
        {"uses-0-amount": "2 lb 3 oz"},
        headers={"HX-Request": "true", "HX-Trigger-Name": "uses-0-amount"},
    )
    assert "992.233" in read.content.decode()
    make.koh(code="K1")
    named = desk.get(
        reverse("echo-lot"),
        {"uses-0-lot": "K1"},
        headers={"HX-Request": "true", "HX-Trigger-Name": "uses-0-lot"},
    )
    assert "potassium hydroxide" in named.content.decode()


def test_a_code_with_a_slash_has_its_pages(desk):
    made = make.lot("AB-12")
    # As a book of earlier days may hold it.
    type(made).objects.filter(pk=made.pk).update(code="AB/12 #3")
    for name in ("lot", "lot-count", "lot-release"):
        assert desk.get(reverse(name, args=["AB/12 #3"])).status_code == 200


@pytest.mark.parametrize("name", ["400", "403", "403_csrf", "404", "429", "500", "503"])
def test_a_page_for_a_bad_day_needs_nothing_to_be_drawn(name):
    page = render_to_string(f"{name}.html")
    assert "<h1>" in page
    assert reverse("splash") in page
    assert not INLINE.search(page)


def test_there_are_no_raw_tables(desk, owner):
    """Who is what is told by deeds alone, and no page writes past them."""
    owner.is_staff = owner.is_superuser = True
    owner.save()
    for path in ("/admin/", "/admin/production/lot/", "/admin/auth/user/"):
        assert desk.get(path).status_code == 404
    assert "/admin/" not in desk.get(reverse("workshop")).text


def test_a_password_is_changed(desk, owner):
    owner.set_password("kettle-book-1")
    owner.save()
    desk.force_login(owner)
    sent = {"old_password": "kettle-book-1"}
    sent |= dict.fromkeys(["new_password1", "new_password2"], "kettle-book-2")
    assert desk.post(reverse("password"), sent).url == reverse("workshop")
    owner.refresh_from_db()
    assert owner.check_password("kettle-book-2")
