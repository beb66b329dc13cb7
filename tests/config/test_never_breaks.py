"""What nobody means to send is answered in words, never by a fault of the house."""

from contextlib import suppress
from datetime import date
from decimal import Decimal

import pytest
from django.conf import settings
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from production.batches.actions.batches import start_batch
from production.buying.actions.suppliers import ensure_supplier
from production.exchange.actions.replaying import import_history
from production.models import Item, Purchase, Version
from production.pages.forms.fields import DayField, NumberField, PercentField
from production.papers.files.sheets_in import MOST_CELLS, read_sheet
from production.quantities.domain.numbers import whole_number
from production.quantities.domain.refusal import Refused
from production.record.domain.odd_dates import FIRST, LAST
from production.workshop.actions.cards import set_up_workshop
from tests import make
from tests.fuzz.files import SHEET, cells, lies, plain_book, with_part
from tests.fuzz.search import search
from tests.make import act

pytestmark = pytest.mark.django_db
LISTS = ("lots", "batches", "purchases", "sales", "history", "items", "recipes")
ODD_NUMBERS = ("-1", "0", "\u00b2", "9" * 18, "9" * 40, "9" * 5000, "x", "", "1e9")


@pytest.mark.parametrize("name", [*LISTS, "book-value"])
@pytest.mark.parametrize("word", ["per_page", "page"])
def test_a_list_shows_a_page_whatever_number_is_asked_for(desk, name, word):
    make.lot()
    for number in ODD_NUMBERS:
        assert desk.get(reverse(name), {word: number}).status_code == 200


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize(
    "asked", [{"sort": "-nothing"}, {"sort": "-"}, {"find": "\x00"}, {"since": "9999"}]
)
def test_a_list_is_sorted_and_narrowed_by_what_it_knows(desk, name, asked):
    make.lot()
    assert desk.get(reverse(name), asked).status_code == 200


CHARSETS = ("foo", "utf-16", "utf-7", "idna", "hex", "undefined", "latin-1")


@pytest.mark.parametrize("charset", CHARSETS)
@pytest.mark.parametrize("kind", ["text/html", "application/x-www-form-urlencoded"])
def test_another_alphabet_than_utf_8_is_no_form(client, charset, kind):
    for path in (reverse("login"), reverse("start")):
        answer = client.generic("POST", path, b"\xff=%ff", f"{kind}; charset={charset}")
        assert answer.status_code == 400
        assert b"That could not be read" in answer.content


@pytest.mark.parametrize("charset", [*CHARSETS, "iso-8859-1", "windows-1252"])
def test_it_is_told_to_whoever_is_signed_in_too(owner, charset):
    """With the cookie that a form gives, as a browser sends it along."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(owner)
    client.get(reverse("stock-open"))
    assert settings.CSRF_COOKIE_NAME in client.cookies
    kind = f"application/x-www-form-urlencoded; charset={charset}"
    for path in ("/lots/open/", "/bench/", "/purchases/sheet/"):
        answer = client.generic("POST", path, b"a=b", kind)
        assert answer.status_code == 400
        assert b"That could not be read" in answer.content


def test_too_much_at_once_is_told_with_its_limit(desk):
    path, kind = reverse("purchase-record"), "application/x-www-form-urlencoded"
    boxes = "&".join(f"b{n}=" for n in range(30_000))
    for sent, says in ((boxes, "12,000 boxes"), ("a=" + "x" * 3_000_000, "2.5 MB")):
        answer = desk.generic("POST", path, sent, kind)
        assert answer.status_code == 400
        page = answer.content.decode()
        assert f"more than {says}: send fewer" in page or (
            f"more text than {says}: send fewer" in page
        )


def test_a_page_that_is_not_whole_is_told_in_our_words(desk):
    path = reverse("purchase-record")
    page = desk.post(path, {"on": "2026-03-02"}).content.decode()
    assert "This page: It is not whole" in page
    assert "not whole: open it again" in page
    for foreign in ("ManagementForm", "Key:", ">Key<", "submit"):
        assert foreign not in page.replace('type="submit"', "")
    rows = {"lines-TOTAL_FORMS": "501", "lines-INITIAL_FORMS": "0"}
    page = desk.post(path, rows).content.decode()
    assert "At most 500 rows" in page


@pytest.mark.parametrize("charset", ["utf-8", "UTF-8", '"utf-8"'])
def test_utf_8_is_read_however_it_is_written(client, charset):
    kind = f"application/x-www-form-urlencoded; charset={charset}"
    answer = client.generic("POST", reverse("login"), "username=x", kind)
    assert answer.status_code == 200


def test_a_superscript_is_no_number():
    assert whole_number(" 12 ") == 12
    for text in ("\u00b2", "\u0663", "-1", "1.0", "", "9" * 19):
        assert whole_number(text) is None


def test_a_superscript_in_the_hidden_boxes_of_a_page(desk):
    path = reverse("purchase-record")
    for rows in ("\u00b2", "-3", "9" * 40, ""):
        sent = {"add-lines": "1", "lines-TOTAL_FORMS": rows, "beside": "\u00b2"}
        assert desk.post(path, sent).status_code == 200
    for item in ("\u00b2", "9" * 40):
        asked = {"amount": "1 kg", "item": item}
        assert desk.get(reverse("echo-amount"), asked).status_code == 200
        assert desk.get(reverse("sheet-add"), {"from": item}).status_code == 200


@pytest.mark.parametrize("figure", ["9" * 30, "9" * 19, "1e30", "-" + "9" * 30])
def test_an_item_is_not_short_below_what_no_book_can_keep(desk, figure):
    item = make.item()
    path = reverse("item-change", args=[item.pk])
    form = desk.get(path).context["form"]
    sent = {name: form[name].value() or "" for name in form.fields}
    answer = desk.post(path, {**sent, "low_at": figure})
    assert answer.status_code == 200
    assert answer.context["form"].errors["low_at"]
    assert Item.objects.get(pk=item.pk).low_at is None


@pytest.mark.parametrize("text", ["1e999999999", "1e-999999999", "9" * 30, "sNaN"])
def test_a_figure_without_end_is_refused_and_not_written_out(text):
    for box in (NumberField(), PercentField()):
        with pytest.raises(ValidationError):
            box.clean(text)


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31", "1600-02-29"])
def test_a_day_of_another_age_is_refused_at_every_door(day):
    with pytest.raises(ValidationError, match="Write the year again"):
        DayField().clean(day)
    somebody = make.owner()
    with make.refused("Write the year again"):
        start_batch(stage="preparation", on=date.fromisoformat(day), by=somebody)


def test_the_first_and_the_last_day_can_be_counted_on_from():
    assert DayField().clean(FIRST.isoformat()) == FIRST
    assert DayField().clean(LAST.isoformat()) == LAST
    make.lot("OLD", on=FIRST, expires=LAST)


class TestASheetThatLies:
    def test_more_cells_than_any_purchase_has(self):
        many = with_part(plain_book(), SHEET, cells(MOST_CELLS + 50, b"<c/>"))
        with pytest.raises(Refused, match="cells"):
            read_sheet(many)

    def test_the_whole_of_a_large_sheet_is_still_read(self):
        one = b'<c t="inlineStr"><is><t>x</t></is></c>'
        some = with_part(plain_book(), SHEET, cells(10_000, one))
        assert len(read_sheet(some)) == 200

    @pytest.mark.parametrize(
        ("name", "raw"), [one for one in lies() if one[0] != "good.xlsx"]
    )
    def test_each_is_read_or_refused_in_words(self, name, raw):
        with suppress(Refused):
            read_sheet(raw)


@pytest.mark.parametrize(
    "text",
    ["9" * 5000, '{"version": ' + "9" * 5000 + "}", "[" * 200_000, '{"a":' * 90_000],
)
def test_a_history_of_odd_shape_is_refused_with_its_line(text):
    with pytest.raises(Refused):
        import_history(text=text)


def test_eighty_rows_of_a_purchase_are_one_form(desk):
    item = make.item("olive oil", category="oil")
    form = desk.get(reverse("purchase-record")).context["form"]
    sent = {
        "key": form["key"].value(),
        "on": "2026-03-02",
        "number": "LONG-1",
        "supplier": ensure_supplier("Northmere").pk,
    }
    for name in form.rows:
        sent |= {f"{name}-TOTAL_FORMS": "0", f"{name}-INITIAL_FORMS": "0"}
    sent["lines-TOTAL_FORMS"] = "80"
    empty = dict.fromkeys(form.rows["lines"].empty_form.fields, "")
    for row in range(80):
        facts = {**empty, "item": item.pk, "amount": "1 kg", "price": "2"}
        sent |= {f"lines-{row}-{name}": value for name, value in facts.items()}
    assert len(sent) > 1000
    answer = desk.post(reverse("purchase-record"), sent)
    assert answer.status_code == 302, answer.context["form"].errors.as_json()
    assert Purchase.objects.get(number="LONG-1").lines.count() == 80


def test_five_hundred_rows_of_a_recipe_are_one_form(desk):
    path = reverse("recipe-write")
    form = desk.get(path, {"stage": "dilution"}).context["form"]
    sent = {name: form[name].value() or "" for name in form.fields}
    for name, rows in form.rows.items():
        sent |= {f"{name}-TOTAL_FORMS": "500", f"{name}-INITIAL_FORMS": "0"}
        for row in range(500):
            sent |= {f"{name}-{row}-{box}": "" for box in rows.empty_form.fields}
    answer = desk.post(f"{path}?stage=dilution", sent)
    assert answer.status_code == 200
    assert not Version.objects.exists()


def test_a_few_hundred_odd_inputs_break_nothing(owner):
    """The fuzz of ``python -m tests.fuzz``, on a small book and with a fixed seed."""
    make.maker()
    filled = make.filled("FILL-1")
    make.sale(filled, "2")
    make.version(name="a paste")
    make.cook(code="PASTE-1")
    start_batch(stage="preparation", code="OPEN-1", **act(3))
    set_up_workshop(name="Harbour soap")
    make.attachment(lot=filled)
    make.lot("KEEPS", expires=date(2027, 1, 1), price=str(Decimal("9.50")))
    found = search(350, seed=7, most_pages=80, lies=False)
    told = []
    found.tell(told.append)
    assert not found.faults, "\n".join(told)
