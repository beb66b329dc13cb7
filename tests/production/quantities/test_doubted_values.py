"""Values that cannot well be so are asked about, paper in hand.

Solid potash: 90 to 92 % KOH (The Great Soviet Encyclopedia); JECFA and USP 85.0 % or
more. Acid values: CODEX STAN 210-1999, 1.7. Saponification values: the published table.
"""

from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse

from production.buying.actions.purchases import open_stock
from production.buying.actions.suppliers import ensure_supplier
from production.chemistry.domain.doubts import (
    KnownOil,
    doubt,
    purity_band,
    whole_alkali,
)
from production.models import Item, Lot, Measurement, ReferenceOil
from production.quantities.domain.floors import without_floor
from production.quantities.domain.refusal import Refused
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import NewLot, Reading
from tests import make
from tests.production.buying.sheet_cases import HEAD, OIL, csv
from tests.production.buying.sheets_read import faults, imported
from tests.production.writing import fill, typed

D = Decimal
OLIVE = KnownOil("olive oil", D(184), D(196))
OLEIC = KnownOil("oleic acid", D(195), D(204), "acid")


@pytest.mark.parametrize(
    ("what", "value", "facts", "says"),
    [
        ("saponification value", "184", {"oil": OLIVE}, ""),
        ("saponification value", "196", {"oil": OLIVE}, ""),
        ("saponification value", "250", {"oil": OLIVE}, "250 is outside the published"),
        ("saponification value", "19", {"oil": OLIVE}, "184 to 196 mg KOH/g of olive"),
        ("saponification value", "250", {}, ""),
        ("acid value", "4", {"oil": OLIVE}, ""),
        (
            "acid value",
            "40",
            {"oil": OLIVE},
            "above the 10 mg KOH/g that olive oil may",
        ),
        ("acid value", "199", {"oil": OLEIC}, ""),
        ("acid value", "1.9", {"oil": OLEIC}, "outside the published 195 to 204"),
        ("purity", "0.92", {"alkali": "KOH"}, ""),
        ("purity", "0.45", {"alkali": "KOH"}, ""),
        (
            "purity",
            "0.985",
            {"alkali": "KOH"},
            "98.5 % is more than flakes of KOH have",
        ),
        ("purity", "0.985", {"alkali": "NaOH"}, ""),
        ("purity", "1", {"alkali": "NaOH"}, "100 % is more than flakes of NaOH have"),
        ("purity", "1", {}, ""),
        ("carbonate", "0.9", {"alkali": "KOH"}, ""),
    ],
)
def test_what_is_doubted(what, value, facts, says):
    found = doubt(what, D(value), **facts)
    assert bool(found) == bool(says)
    assert says in found


def test_two_shares_of_a_tub_are_no_more_than_the_tub():
    whole_alkali(D("0.9"), D("0.1"))
    with pytest.raises(Refused, match="together are 101 %"):
        whole_alkali(D("0.9"), D("0.11"))


@pytest.mark.parametrize(
    ("purity", "floor", "low", "high"),
    [
        ("0.9", False, "0.895", "0.905"),  # 90 %: half a percent
        ("0.899", False, "0.8985", "0.8995"),  # 89.9 %: half of a tenth
        ("0.89930", False, "0.8988", "0.8998"),  # never finer than 0.1 %
        ("0.998", False, "0.9975", "0.9985"),
        ("1", False, "0.995", "1"),
        ("0.85", True, "0.85", "0.995"),  # all but the carbonate of 0.5 %
        ("0.998", True, "0.998", "0.9985"),  # never narrower than if it was printed
    ],
)
def test_a_certificate_has_a_width_and_a_floor_never_less(purity, floor, low, high):
    band = purity_band(D(purity), D("0.005"), floor=floor)
    assert band == (D(low), D(high))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("min. 85 %", ("85 %", True)),
        ("min 85", ("85", True)),
        ("Minimum 85%", ("85%", True)),
        (">= 85 %", ("85 %", True)),
        ("\N{GREATER-THAN OR EQUAL TO} 85 %", ("85 %", True)),
        ("at least 85 %", ("85 %", True)),
        ("mind. 85 %", ("85 %", True)),
        ("85 % min.", ("85 %", True)),
        ("85 % or more", ("85 %", True)),
        ("89.9 %", ("89.9 %", False)),
        ("", ("", False)),
    ],
)
def test_a_floor_is_read_as_drums_say_it(text, says):
    assert without_floor(text) == says


def open_drum(readings):
    return open_stock(
        item=make.item("caustic potash"),
        lot=NewLot(D(1000), code="K9", readings=readings),
        **make.act(),
    )


def read(value, what="purity", **facts):
    return (Reading(what, D(value), "stated", **facts),)


@pytest.mark.django_db
class TestDeeds:
    @pytest.fixture(autouse=True)
    def potash(self, db):
        make.item("caustic potash")

    def test_a_purity_above_that_of_flakes_needs_the_paper(self):
        with make.refused("98.5 % is more than flakes of KOH have", "paper in hand"):
            open_drum(read("0.985"))
        lot = open_drum(read("0.985", confirmed=True))
        assert lot.measurements.get().value == D("0.985")

    @pytest.mark.parametrize(
        ("value", "says"), [("1.1", "more than the whole"), ("-0.1", "below nothing")]
    )
    def test_no_paper_makes_a_share_of_what_is_none(self, value, says):
        with make.refused(says):
            open_drum(read(value, confirmed=True))

    def test_a_value_outside_the_range_of_its_oil_needs_the_paper(self):
        oil = ReferenceOil.objects.get(key="olive-oil")
        lot = make.lot(item=make.item("olive oil", category="oil", oil=oil))
        wrong = oil.sv_high + 1
        with make.refused("outside the published"):
            note_measurement(
                lot=lot, readings=read(wrong, "saponification value"), **make.act()
            )
        sure = read(wrong, "saponification value", confirmed=True)
        note_measurement(lot=lot, readings=sure, **make.act())
        assert lot.measurements.get().value == wrong

    @pytest.mark.parametrize("share", ["0", "1.2", "-0.1"])
    def test_a_constituent_that_is_no_share_is_refused(self, share):
        rose = make.item("rose", category="fragrance")
        new = NewLot(D(100), constituents={"Linalool": D(share)})
        with make.refused("Linalool"):
            open_stock(item=rose, lot=new, **make.act())


@pytest.mark.django_db
class TestPages:
    def test_a_floor_typed_at_the_drum_stays_a_floor(self, desk):
        item = make.item("caustic potash", category="alkali")
        cells = {"item": item.pk, "amount": "5 kg", "purity": "min. 85 %"}
        fill(desk, reverse("stock-open"), **{n: str(v) for n, v in cells.items()})
        [reading] = Measurement.objects.filter(what="purity")
        assert (reading.basis, reading.value) == ("minimum", D("0.85"))

    def test_the_tick_appears_with_the_sentence_and_lets_it_through(self, desk):
        item = make.item("caustic potash", category="alkali")
        ensure_supplier("Northmere Oils")
        url = reverse("purchase-record")
        first = typed(desk.get(url))
        assert "I have the paper in hand" not in desk.get(url).content.decode()
        sent = first | {
            "supplier": next(key for key in _choices(desk, url) if key),
            "lines-0-item": str(item.pk),
            "lines-0-amount": "5 kg",
            "lines-0-purity": "98 %",
        }
        page = unescape(desk.post(url, sent).content.decode())
        assert "A purity of 98 % is more than flakes of KOH have" in page
        assert "I have the paper in hand" in page
        assert 'value="98 %"' in page
        assert not Lot.objects.exists()
        assert desk.post(url, sent | {"lines-0-confirmed": "on"}).status_code == 302
        assert Lot.objects.get().measurements.get().value == D("0.98")

    def test_a_reading_is_asked_about_the_same_way(self, desk):
        lot = make.koh("0.9")
        url = reverse("lot-measure", args=[lot.code])
        sent = typed(desk.get(url)) | {"what": "purity", "value": "97 %", "passed": ""}
        page = unescape(desk.post(url, sent).content.decode())
        assert "A purity of 97 % is more than flakes of KOH have" in page
        assert "I have the paper in hand" in page
        assert lot.measurements.filter(what="purity").count() == 1
        assert desk.post(url, sent | {"confirmed": "on"}).status_code == 302
        assert lot.measurements.filter(what="purity").last().value == D("0.97")

    def test_a_sheet_asks_in_the_cell_and_takes_a_yes(self, owner, tmp_path):
        row = (*OIL[:3], "caustic potash", *OIL[4:], "98 %")
        [told] = faults(csv((*row, ""), head=(*HEAD, "Purity", "Paper in hand")))
        assert told.startswith("H2: A purity of 98 % is more than flakes of KOH have")
        sheet = csv((*row, "yes"), head=(*HEAD, "Purity", "Paper in hand"))
        imported(tmp_path, sheet, name="bought.csv")
        assert Measurement.objects.get().value == D("0.98")

    def test_a_floor_in_a_sheet_stays_a_floor(self, owner, tmp_path):
        row = (*OIL[:3], "caustic potash", *OIL[4:], "min. 85 %")
        imported(tmp_path, csv(row, head=(*HEAD, "Purity")), name="bought.csv")
        assert Measurement.objects.get().basis == "minimum"
        assert Item.objects.get().alkali == "KOH"


def _choices(desk, url):
    field = desk.get(url).context["form"].fields["supplier"]
    return [str(key) for key, _ in field.choices]
