"""Who did what is half a history: to what is the other half.

A maker reads down the history for the act that went wrong. Each row says what it was
about and leads there: the tub, the kettle, the trial, the bill, the customer.
"""

import io
from datetime import date
from decimal import Decimal
from html import unescape

import pytest
from django.apps import apps
from django.urls import reverse
from openpyxl import load_workbook

from production.batches.actions.batches import start_batch
from production.buying.actions.purchases import price_line
from production.closing.actions import close_book
from production.correcting.reads import about
from production.correcting.reads.about import named_in
from production.lots.actions.lot_deeds import move_lot
from production.models import Deed
from production.record.models.ink import ByDeed
from production.release.actions.readings import note_measurement, note_step
from production.release.actions.statuses import hold_lot, release_lot
from production.selling.actions.sales import take_back
from production.workshop.actions.cards import ensure_place
from production.workshop.actions.items import restate_item
from production.workshop.actions.people import change_person
from tests import make
from tests.make import act, day
from tests.production.buying.test_papers_taken_back import bought, undone


def said(deed):
    return {(one.kind, one.name) for one in named_in([deed])[deed.pk]}


def latest():
    return Deed.objects.order_by("pk").last()


@pytest.mark.django_db
class TestWhatAnActIsAbout:
    def test_a_purchase_its_supplier_and_its_lots(self):
        paper = bought("17", "L1 L2")
        assert said(paper.deed) == {
            ("purchase", "17"),
            ("supplier", "Northmere Oils"),
            ("lot", "L1"),
            ("lot", "L2"),
        }
        price_line(line=paper.lines.first(), price=Decimal(3), **act(3))
        assert said(latest()) == {("purchase", "17")}
        make.attachment(purchase=paper)
        assert said(latest()) == {("purchase", "17")}

    def test_a_sale_its_customer_and_what_came_back(self):
        lot = make.filled("F1")
        sale = make.sale(lot, "3", number="S1", on=day(3))
        assert said(sale.deed) == {
            ("sale", "S1"),
            ("customer", "The Tin Lantern"),
            ("lot", "F1"),
        }
        facts = {"line": sale.lines.get(), "amount": Decimal(1), "then": "restock"}
        back = take_back(**facts, **act(4))
        assert said(back.deed) == {("sale", "S1"), ("lot", "F1")}

    def test_a_batch_in_which_nothing_moved_yet(self):
        batch = start_batch(stage="cook", code="B7", **act())
        assert said(batch.deed) == {("batch", "B7")}
        note_step(batch=batch, text="warmed up", **act())
        assert said(latest()) == {("batch", "B7")}

    def test_a_trial_is_called_one(self):
        batch = start_batch(stage="cook", code="T7", trial=True, **act())
        assert said(batch.deed) == {("trial", "T7")}

    def test_a_hold_its_lifting_and_a_check(self):
        lot = make.lot("L1")
        hold_lot(lot=lot, reason="smells odd", **act(3))
        assert said(latest()) == {("lot", "L1")}
        release_lot(lot=lot, reason="it was the lid", **act(4))
        assert said(latest()) == {("lot", "L1")}
        note_measurement(lot=lot, readings=[make.check()], **act(4))
        assert said(latest()) == {("lot", "L1")}

    def test_goods_moved_name_both_places(self):
        lot = make.lot("L1")
        move_lot(lot=lot, amount=Decimal(5), to=ensure_place("crate"), **act(3))
        names = {("lot", "L1"), ("place", "crate"), ("place", "workshop")}
        assert said(latest()) == names

    def test_an_item_a_person_a_recipe_and_a_month(self):
        item = make.item("olive oil")
        restate_item(item=item, category="oil", **act(3))
        assert said(latest()) == {("item", "olive oil")}
        tobias = make.maker()
        change_person(person=tobias, group="maker", active=False, **act(3))
        assert said(latest()) == {("person", "tobias")}
        version = make.version(name="Tide")
        assert said(version.deed) == {("version", "Tide 1")}
        close_book(through=date(2026, 2, 28), **act(3))
        assert said(latest()) == {("through", "2026-02-28")}

    def test_an_act_taken_back_is_about_the_same(self):
        paper = bought("17", "L1")
        undone(paper.deed)
        assert ("purchase", "17") in said(latest())
        assert ("lot", "L1") in said(latest())

    def test_nothing_that_an_act_writes_is_left_without_a_way_to_its_object(self):
        """A kind of row that is added later must say what it is of."""
        ways = {*about.PURCHASES, *about.SALES, *about.BATCHES, *about.LOTS}
        ways |= {about.Version, about.Restated, about.Closing}
        ways |= {about.Restored, about.SinceBackup, *about.RATES}
        written = {
            model
            for model in apps.get_app_config("production").get_models()
            if issubclass(model, ByDeed) or hasattr(model, "deed")
        }
        assert written - ways == set()


def test_the_page_leads_to_each_in_a_fixed_number_of_questions(
    desk, django_assert_max_num_queries
):
    def asked():
        with django_assert_max_num_queries(99) as counted:
            page = desk.get(reverse("history")).content.decode()
        return len(counted), unescape(page)

    paper = bought("17", "L1")
    # The first page of a process asks a few questions more.
    asked()
    before, page = asked()
    assert f'<a href="{paper.get_absolute_url()}">purchase 17</a>' in page
    assert f'<a href="{reverse("lot", args=["L1"])}">L1</a>' in page
    assert f'<a href="{paper.supplier.get_absolute_url()}">Northmere Oils</a>' in page
    make.sale(make.filled("F1"), "2", on=day(3))
    start_batch(stage="cook", code="B7", trial=True, **act())
    assert asked()[0] == before


def test_of_many_it_names_the_first_and_leads_to_all(desk):
    paper = bought("17", " ".join(f"L{number}" for number in range(9)))
    page = desk.get(reverse("history")).content.decode()
    assert f'<a href="{reverse("deed", args=[paper.deed_id])}">and 6 more</a>' in page
    sheet = b"".join(desk.get(reverse("history"), {"sheet": "xlsx"}).streaming_content)
    rows = load_workbook(io.BytesIO(sheet)).worksheets[0].iter_rows(values_only=True)
    cells = [str(cell) for row in rows for cell in row]
    assert any(cell.startswith("purchase 17, Northmere Oils, L0, L1") for cell in cells)
    page = desk.get(reverse("deed", args=[paper.deed_id])).content.decode()
    assert f'<a href="{reverse("lot", args=["L8"])}">L8</a>' in page
