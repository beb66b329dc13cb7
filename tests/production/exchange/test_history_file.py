"""Moving house: a history file in, the same file out."""

import io
import json
from decimal import ROUND_HALF_UP, Decimal

import pytest
from django.contrib.auth import get_user_model
from django.core.management import CommandError, call_command

from config.audit import audit
from costing.reads import whole_book
from production.correcting.actions.undoing import undo_deed
from production.models import Deed, Lot, Measurement, Status
from production.record.domain.keys import EVENTS
from production.release.actions.readings import note_measurement
from tests import make
from tests.production.history_cases import (
    EVERY_TYPE,
    FIRST_MONTH,
    FIRST_MONTH_CANONICAL,
    FIRST_MONTH_STOCK,
    file_of,
)

pytestmark = pytest.mark.django_db
NANO = 10**9

OIL = {
    "type": "purchase",
    "date": "2026-01-05",
    "number": "PO-1",
    "supplier": "Northmere Oils",
    "lines": [
        {
            "lot": "R1",
            "item": "rapeseed oil",
            "unit": "g",
            "amount": "5000",
            "price": "21.50",
        }
    ],
}
SPILL = {"type": "loss", "date": "2026-01-06", "lot": "R1", "amount": "1"}
SPILL |= {"reason": "spill"}


@pytest.fixture
def take_in(tmp_path):
    """Import a text through the command and say what it printed."""

    def run(text, *arguments):
        path = tmp_path / "past.json"
        path.write_text(text, encoding="utf-8")
        out = io.StringIO()
        call_command("import_history", str(path), *arguments, stdout=out)
        return out.getvalue()

    return run


def told(tmp_path):
    path = tmp_path / "again.json"
    call_command("export_history", str(path), stdout=io.StringIO())
    return path.read_text(encoding="utf-8")


def stock():
    out = io.StringIO()
    call_command("stock", "--json", stdout=out)
    return json.loads(out.getvalue())


def six(figure):
    return str(Decimal(figure).quantize(Decimal("1e-6"), ROUND_HALF_UP))


def laws_hold():
    return not [fault for finding in audit() for fault in finding.faults]


def test_the_first_month_gives_its_answers_lot_by_lot(take_in):
    assert take_in(FIRST_MONTH) == "7 events were replayed.\n"
    found = {
        row["code"]: (row["on_hand"], six(row["unit_cost"]), six(row["value"]))
        for row in stock()["lots"]
    }
    assert found == FIRST_MONTH_STOCK


def test_the_first_month_adds_up_to_its_totals(take_in):
    take_in(FIRST_MONTH)
    totals = stock()["totals"]
    assert {name: six(figure) for name, figure in totals.items()} == {
        "purchases": "72.030000",
        "opening": "0.000000",
        "making_cost": "77.375000",
        "work_in_progress": "0.000000",
        "stock": "134.243862",
        "cost_of_goods_sold": "9.606225",
        "losses": "5.554913",
    }
    exact = whole_book().valuation.totals
    assert six(Decimal(exact.abnormal) / NANO) == "1.097991"
    assert laws_hold()


def test_freight_falls_on_the_lines_by_their_weight(take_in):
    take_in(FIRST_MONTH)
    book = whole_book()
    prices = {"R1": "21.50", "R2": "9.80", "R3": "4.33", "R4": "24.00"}
    costs = {node.code: sum(node.bought.values()) for node in book.lots}
    shares = {
        code: Decimal(costs[code]) / NANO - Decimal(price)
        for code, price in prices.items()
    }
    assert shares == {
        "R1": Decimal("2.35"),
        "R2": Decimal("0.48"),
        "R3": Decimal("9.04"),
        "R4": Decimal("0.53"),
    }


def test_it_is_written_out_in_its_canonical_form(take_in, tmp_path):
    take_in(FIRST_MONTH)
    assert told(tmp_path) == FIRST_MONTH_CANONICAL


def test_the_canonical_form_gives_the_same_bytes_again(take_in, tmp_path):
    take_in(FIRST_MONTH_CANONICAL)
    assert told(tmp_path) == FIRST_MONTH_CANONICAL


def test_every_type_of_event_comes_back_as_it_went_in(take_in, tmp_path):
    assert {event["type"] for event in EVERY_TYPE} == set(EVENTS)
    text = file_of(EVERY_TYPE)
    take_in(text)
    again = told(tmp_path)
    assert json.loads(again)["events"] == EVERY_TYPE
    assert again == text
    assert laws_hold()


def test_an_empty_book_is_an_empty_file(tmp_path, take_in):
    text = told(tmp_path)
    assert text == file_of([]).replace("[\n ]", "[]")
    assert take_in(text) == "0 events were replayed.\n"


def test_export_prints_with_a_hyphen(take_in, capsys):
    take_in(FIRST_MONTH)
    call_command("export_history", "-")
    assert capsys.readouterr().out == FIRST_MONTH_CANONICAL


def test_import_reads_what_is_piped_in(monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO(FIRST_MONTH))
    call_command("import_history", "-", stdout=io.StringIO())
    assert Lot.objects.count() == 7


def test_the_same_file_twice_is_noticed_and_adds_nothing(take_in):
    take_in(FIRST_MONTH)
    before = make.book()
    with pytest.raises(CommandError, match="imported before"):
        take_in(FIRST_MONTH)
    assert make.book() == before


def test_the_inactive_user_history_signs(take_in):
    take_in(FIRST_MONTH)
    clerk = get_user_model().objects.get(username="history")
    assert not clerk.is_active
    assert not clerk.has_usable_password()
    assert {deed.by for deed in Deed.objects.all()} == {clerk}


def test_somebody_may_sign_instead(take_in):
    ines = make.owner()
    take_in(FIRST_MONTH, "--by", "ines")
    assert {deed.by for deed in Deed.objects.all()} == {ines}
    assert not get_user_model().objects.filter(username="history").exists()


def test_an_unknown_signer_is_refused(take_in):
    with pytest.raises(CommandError, match="There is no person nobody here"):
        take_in(FIRST_MONTH, "--by", "nobody")
    assert not Deed.objects.exists()


def test_lots_are_released_on_their_own_day_unless_said_otherwise(take_in):
    waits = OIL | {"lines": [OIL["lines"][0] | {"status": "quarantine"}]}
    take_in(file_of([waits]))
    assert [row.status for row in Status.objects.all()] == ["quarantine"]
    with pytest.raises(CommandError, match=r"R1 was in quarantine on 2026-01-06"):
        take_in(file_of([a_batch(date="2026-01-06")]))


def test_released_without_a_word(take_in):
    take_in(file_of([OIL]))
    status = Status.objects.get()
    assert (status.status, str(status.on)) == ("released", "2026-01-05")


def test_an_imported_paste_has_no_check_on_file(take_in):
    take_in(FIRST_MONTH)
    assert not Measurement.objects.filter(what="neutrality").exists()


def a_batch(**facts):
    return {
        "type": "batch",
        "date": "2026-01-06",
        "code": "B-1",
        "stage": "cook",
        "uses": [{"lot": "R1", "amount": "3000"}],
        "makes": {"lot": "P1", "item": "paste", "unit": "g", "amount": "2900"},
        "expected": None,
        "work": [],
        **facts,
    }


def line(**facts):
    """The purchase with one thing about its line changed."""
    return OIL | {"lines": [OIL["lines"][0] | facts]}


@pytest.mark.parametrize(
    ("events", "says"),
    [
        ([OIL | {"type": "gossip"}], r"Line 2, gossip: this type .* not known"),
        ([OIL | {"colour": "red"}], r"Line 2, purchase: 'colour' is not known here"),
        ([OIL, SPILL | {"why": "?"}], r"Line 3, loss: 'why' is not known here"),
        ([line(colour="red")], r"Line 2, purchase, lines 1: 'colour' is not known"),
        ([line(amount=5000)], r"'amount' is a number in quotes, not 5000"),
        ([line(amount=5000.5)], r"'amount' is a number in quotes, not 5000.5"),
        ([line(amount="a lot")], r"'amount' is a number in quotes, not 'a lot'"),
        ([line(amount="NaN")], r"'amount' is a number in quotes, not 'NaN'"),
        ([line(price=21.5)], r"'price' is a number in quotes, not 21.5"),
        ([line(price="21.12345")], r"Line 2, purchase: .*finer than 0.0001"),
        ([line(amount="0.0001")], r"Line 2, purchase: .*finer than 0.001"),
        ([line(amount="0")], r"Line 2, purchase: .* more than nothing"),
        ([line(price="-1")], r"Line 2, purchase: .*credit"),
        ([line(unit="pound")], r"Line 2, purchase: .*pound"),
        ([line(kind="gossip")], r"Line 2, purchase: .*gossip"),
        ([line(status="fine")], r"Line 2, purchase: .*fine"),
        ([line(lot=7)], r"'lot' is a text in quotes, not 7"),
        ([line(lot="x" * 61)], r"Line 2, purchase: .*40"),
        ([OIL | {"date": "5 January"}], r"'date' is a day like 2026-01-31"),
        ([OIL | {"lines": []}], r"Line 2, purchase: .*at least one line"),
        ([OIL | {"lines": "R1"}], r"Line 2, purchase: 'lines' is a list"),
        ([OIL | {"lines": ["R1"]}], r"lines 1: this is a group in braces"),
        ([OIL | {"extra_costs": [{}]}], r"extra_costs 1: 'kind' is missing"),
        ([OIL | {"reason": "x" * 501}], r"Line 2, purchase: .*500 characters"),
        ([OIL, OIL], r"Line 3, purchase: .*[Nn]umber"),
        ([SPILL], r"Line 2, loss: there is no lot R1 yet"),
        ([OIL, SPILL | {"reason": ""}], r"Line 3, loss: Write the reason"),
        ([OIL, SPILL | {"amount": "5001"}], r"Line 3, loss: Only 5000 g of R1"),
        ([OIL, SPILL | {"date": "2026-01-04"}], r"Line 3, loss: .*R1"),
        ([OIL, a_batch(stage="dance")], r"Line 3, batch: .*dance"),
        ([OIL, a_batch(formula={"name": "X", "version": 1})], r"no version 1 of X"),
        ([OIL, a_batch(makes={"lot": "P1"})], r"batch, makes: 'item' is missing"),
        ([OIL, a_batch(trial="no")], r"'trial' is true or false, not 'no'"),
        (
            [OIL, {"type": "price", "date": "2026-01-06", "purchase": "PO-1"}],
            r"Line 3, price: 'line' is missing",
        ),
        (
            [OIL, {"type": "status", "date": "2026-01-06", "lot": "R1"}],
            r"Line 3, status: 'status' is missing",
        ),
    ],
)
def test_a_fault_is_named_with_its_line_and_nothing_is_taken_in(take_in, events, says):
    make.owner()
    before = make.book()
    with pytest.raises(CommandError, match=says):
        take_in(file_of(events))
    assert make.book() == before
    assert not get_user_model().objects.filter(username="history").exists()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", r"Line 1: this is no JSON"),
        ("{\n\n", r"Line 3: this is no JSON"),
        ("[]", r"one group in braces"),
        ('{"format": "other"}', r'says "format": "kettlebook-history"'),
        ('{"format": "kettlebook-history", "version": 2}', "version 2 is not known"),
        ('{"format": "kettlebook-history", "version": 1}', '"events" is missing'),
        (file_of([], currency="dollars"), "three capital letters"),
        (file_of([]).replace('"version"', '"mood": 1, "version"'), "'mood' is not"),
        (file_of([]).replace('"version"', '"format": 1, "version"'), "written twice"),
        (file_of(["R1"]), r"Line 2: an event is a group in braces"),
        (file_of([{}]), r"Line 2, event: 'type' is missing"),
    ],
)
def test_what_is_no_history_file_is_refused_in_a_sentence(take_in, text, says):
    with pytest.raises(CommandError, match=says):
        take_in(text)
    assert not Deed.objects.exists()


def test_a_missing_file_is_said_in_a_sentence():
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("import_history", "no-such-file.json")


def test_one_workshop_keeps_one_currency(take_in):
    take_in(FIRST_MONTH)
    with pytest.raises(CommandError, match="in EUR, the workshop in USD"):
        take_in(file_of([OIL], currency="EUR"))


def test_a_second_file_goes_on_where_the_first_ended(take_in):
    take_in(FIRST_MONTH)
    take_in(file_of([SPILL | {"date": "2026-03-01"}]))
    assert make.on_hand(Lot.objects.get(code="R1")) == Decimal("1999")
    assert laws_hold()


def test_what_was_taken_back_stays_behind(take_in, tmp_path, owner):
    take_in(FIRST_MONTH)
    soap = Lot.objects.get(code="F1")
    note_measurement(lot=soap, readings=[make.check()], **make.act(1))
    make.sale(soap, "2", on=make.day(1))
    undone = Deed.objects.first()
    undo_deed(undone=undone, on=make.day(2), by=owner)
    checked = (
        '{"type": "measurement", "date": "2026-03-01", "lot": "F1", '
        '"what": "neutrality", "basis": "measured", "value": null, "passed": true}'
    )
    assert told(tmp_path) == FIRST_MONTH_CANONICAL.replace(
        "]}\n", f",\n {checked}]}}\n"
    )
