"""The names of lots: issued by the house, or kept as they came."""

from decimal import Decimal

import pytest

from production.batches.actions.batches import start_batch
from production.buying.actions.purchases import open_stock
from production.models import CodeSeries, Lot
from production.quantities.domain.codes import ALPHABET, is_valid, next_code
from production.stock.actions.opening_lots import NewLot, issue_code
from tests import make
from tests.make import act

pytestmark = pytest.mark.django_db


def opened(code=""):
    lot = NewLot(Decimal(5), code=code)
    return open_stock(item=make.item(), lot=lot, **act())


@pytest.mark.parametrize("code", ["0815", "Lot 7-b", "ÖL-1", "I0O1-I", "7", "äéß 9"])
def test_a_code_from_outside_is_kept_as_given(code):
    assert opened(code).code == code


@pytest.mark.parametrize("code", ["  NM 8841 ", "NM  8841", "Lot 7/b"])
def test_one_that_could_be_misread_or_break_an_address_is_refused(code):
    make.item()
    make.owner()
    with make.refused("A code has no"):
        opened(code)


def test_the_suppliers_own_lot_code_stands_beside_ours():
    new = NewLot(Decimal(5), code="A-1", supplier_lot="0O1I/x")
    lot = open_stock(item=make.item(), lot=new, **act())
    assert (lot.code, lot.supplier_lot) == ("A-1", "0O1I/x")


def test_two_lots_may_have_the_same_supplier_lot():
    for _ in range(2):
        new = NewLot(Decimal(5), supplier_lot="NM 8841")
        open_stock(item=make.item(), lot=new, **act())
    assert Lot.objects.filter(supplier_lot="NM 8841").count() == 2


def test_without_a_code_the_house_issues_a_valid_one():
    codes = [opened().code for _ in range(20)]
    assert len(set(codes)) == 20
    assert all(is_valid(code) for code in codes)
    assert set("".join(codes)) <= set(ALPHABET) | {"-"}


def test_a_code_that_an_own_mark_took_is_passed_over():
    series = CodeSeries.objects.get_or_create(name="lot")[0]
    taken, used = next_code(series.last + 1)
    opened(taken)
    after, _ = next_code(used + 1)
    assert opened().code == after


def test_a_refused_deed_gives_its_code_back():
    before = make.book()["CodeSeries"]
    item = make.item()
    with make.refused("not worth less"):
        open_stock(item=item, lot=NewLot(Decimal(5)), value=Decimal(-1), **act())
    with make.refused("finer than 0.001"):
        open_stock(item=item, lot=NewLot(Decimal("5.0001")), **act())
    assert make.book()["CodeSeries"] == before


def test_own_batch_marks_may_be_set():
    batch = start_batch(stage="cook", code="Winter 3", **act())
    assert str(batch) == "Winter 3"


def test_a_batch_without_a_mark_gets_a_valid_code():
    batch = start_batch(stage="cook", **act())
    assert is_valid(batch.code.removeprefix("B-"))


def test_a_lot_and_its_batch_never_share_a_code_of_the_house():
    lot = make.filled()
    assert lot.code != lot.batch.code.removeprefix("B-")
    assert issue_code() not in {lot.code, lot.batch.code}
