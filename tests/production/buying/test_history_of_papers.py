"""The history file tells what stands, and leads every later bill to its own paper."""

import io
import json
from decimal import Decimal

import pytest
from django.core.management import call_command

from production.buying.actions.purchases import NewLine, price_line, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.correcting.actions.undoing import undo_deed
from production.exchange.actions.replaying import import_history
from production.quantities.domain.refusal import Refused
from production.stock.actions.opening_lots import label_printed
from tests import make
from tests.make import act, day
from tests.production.buying.test_papers_taken_back import bought, undone
from tests.production.history_cases import file_of

pytestmark = pytest.mark.django_db


def events(tmp_path):
    path = tmp_path / "told.json"
    call_command("export_history", str(path), stdout=io.StringIO())
    return json.loads(path.read_text(encoding="utf-8"))["events"]


def of_type(tmp_path, word):
    return [event for event in events(tmp_path) if event["type"] == word]


def test_what_was_taken_back_and_entered_again_is_told_once(tmp_path):
    undone(bought("17", "L1").deed)
    bought("17", "L1")
    undone(make.cook(batch_code="B7", code="P1").deed)
    make.cook(batch_code="B7", code="P1")
    told = events(tmp_path)
    papers = [event for event in told if event["type"] == "purchase"]
    assert [event["number"] for event in papers].count("17") == 1
    assert [event["code"] for event in told if event["type"] == "batch"] == ["B7"]
    assert "taken back" not in json.dumps(told)


def test_a_bill_for_something_without_goods_goes_with_its_purchase(tmp_path):
    paper = record_purchase(
        supplier=ensure_supplier("Cooper"),
        lines=[NewLine(item=None, text="sharpening", price=Decimal(5))],
        **act(),
    )
    goods = make.lot("L1")
    undo_deed(undone=goods.deed, **act(9))
    [told] = of_type(tmp_path, "purchase")
    assert told["number"] == paper.number


def test_a_later_bill_names_its_supplier_where_two_sent_that_number(tmp_path):
    first, second = bought("17", "L1"), bought("17", "L2", house="Cooper")
    third = bought("18", "L3")
    for paper, price in ((first, 3), (second, 4), (third, 5)):
        price_line(line=paper.lines.get(), price=Decimal(price), **act(5))
    told = of_type(tmp_path, "price")
    assert [event.get("supplier") for event in told] == [
        "Northmere Oils",
        "Cooper",
        None,
    ]


def test_the_file_asks_for_the_supplier_where_it_must():
    bought("17", "L1")
    bought("17", "L2", house="Cooper")
    price = {"type": "price", "date": "2026-03-05", "purchase": "17", "line": 1}
    price |= {"price": "4"}

    def taken(event):
        return import_history(text=file_of([event]))

    with pytest.raises(Refused, match="two suppliers sent a 17: name the"):
        taken(price)
    assert taken(price | {"supplier": "Cooper"}) == 1


def test_the_day_of_the_first_label_goes_along(tmp_path):
    lot = make.filled("F1")
    label_printed(lot, day(4))
    [made] = [
        event["makes"]
        for event in of_type(tmp_path, "batch")
        if event["makes"]["lot"] == "F1"
    ]
    assert made["labelled"] == "2026-03-04"
