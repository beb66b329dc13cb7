"""The foot of a list sums what the list was narrowed to, on all its pages."""

from decimal import Decimal

from django.urls import reverse

from production.lots.actions.lot_deeds import move_lot
from production.models import Place
from production.selling.actions.sales import take_back
from tests import make
from tests.production.papers.test_export_lists import taken, values


def foot(desk, name, **narrowed):
    return desk.get(reverse(name), narrowed).context["table"].in_all


def last(desk, name, **narrowed):
    return values(taken(desk, name, **narrowed))[-1]


def many_lots():
    """30 lots of oil, more than a page, and one of another name."""
    for number in range(30):
        make.lot(f"Q{number:02}", grams=f"{number + 1}.5")
    make.lot("OTHER", grams="1000")


def test_the_sum_covers_all_pages_and_follows_the_filter(desk):
    many_lots()
    for page in (1, 2):
        found = foot(desk, "lots", page=page)
        assert found == {"on_hand": [(Decimal(1480), "g")]}
    assert foot(desk, "lots", find="Q") == {"on_hand": [(Decimal(480), "g")]}
    assert foot(desk, "lots", find="Q0") == {"on_hand": [(Decimal(60), "g")]}


def test_the_sheet_ends_with_the_same_sum(desk):
    many_lots()
    assert last(desk, "lots", find="Q") == ["In all", None, 480, None, None, None]


def test_grams_and_pieces_are_never_added_together(desk):
    make.lot("OIL", grams="1234.5")
    make.lot("OIL-2", grams="0.5")
    make.bottles("BOT", pieces="50")
    sums = [(Decimal(1235), "g"), (Decimal(50), "piece")]
    assert foot(desk, "lots") == {"on_hand": sums}
    assert foot(desk, "places") == {"total": sums}
    assert last(desk, "lots")[2:4] == [1235, 50]
    assert last(desk, "places") == ["In all", None, None, 1235, 50]
    page = desk.get(reverse("lots")).content.decode()
    drawn = page.split("<tfoot>")[1].split("</tfoot>")[0]
    for words in ("In all", "1\u202f235 <small>g<", "50 <small>pcs<"):
        assert words in drawn


def test_places_sum_what_stands_at_the_place_that_was_asked_for(desk):
    here = Place.objects.create(name="Crate")
    for code in ("A", "B", "C"):
        lot = make.lot(code, grams="100")
        if code != "C":
            move_lot(lot=lot, amount=Decimal(30), to=here, **make.act())
    assert foot(desk, "places", place=here.pk) == {"total": [(Decimal(60), "g")]}
    assert foot(desk, "places") == {"total": [(Decimal(300), "g")]}


def test_one_row_or_none_has_no_foot(desk):
    assert "<tfoot>" not in desk.get(reverse("lots")).content.decode()
    make.lot("ONE")
    make.bottles("TWO")
    assert "<tfoot>" not in desk.get(reverse("lots"), {"find": "ONE"}).content.decode()
    assert len(values(taken(desk, "lots", find="ONE"))) == 2


def test_a_last_page_of_one_row_has_the_foot_too(desk):
    for number in range(26):
        make.lot(f"Q{number:02}", grams="1")
    page = desk.get(reverse("lots"), {"page": 2})
    assert len(page.context["table"].paginated_rows) == 1
    assert "26 <small>g<" in page.content.decode().split("<tfoot>")[1]


def test_filled_lots_sum_their_pieces(desk):
    make.filled("F1", "20")
    make.filled("F2", "15")
    assert foot(desk, "filled") == {"on_hand": [(Decimal(35), "piece")]}


def test_returns_sum_what_came_back(desk):
    bottles = make.filled("F1", "20")
    for customer in ("Ada", "Ben", "Ben"):
        sold = make.sale(bottles, "2", customer=customer)
        take_back(
            line=sold.lines.get(), amount=Decimal(1), then="restock", **make.act()
        )
    assert foot(desk, "returns") == {"pieces": [(Decimal(3), "piece")]}
    assert foot(desk, "sales", find="Ben") == {"pieces": [(2, "")]}
    assert 2 in last(desk, "sales", find="Ben")


def test_purchases_sum_their_lines_and_count_each_purchase_once(desk):
    make.lot(price=None)
    make.lot()
    make.bottles()
    assert foot(desk, "purchases") == {"lines": [(3, "")], "unpriced": [(1, "")]}
    found = foot(desk, "purchases", find="rapeseed")
    assert found == {"lines": [(2, "")], "unpriced": [(1, "")]}
