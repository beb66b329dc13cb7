"""Sums at the bench, each against a figure worked by hand, and nothing written."""

import re

import pytest
from django.urls import reverse

from production.bench.files import density_tables
from production.bench.forms import SUMS
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.production.bench.sums_asked import (
    OVER,
    TIMES,
    D,
    asked,
    fault,
    figures,
    near,
    said,
    sent,
)

SUM_NAMES = [form.name for form in SUMS]


class TestThePage:
    def test_it_is_a_short_list_of_folded_sums(self, desk):
        shown = desk.get(reverse("bench-sums")).content.decode()
        assert all(form.heading in shown for form in SUMS)
        assert shown.count('<details class="sum">') == len(SUMS)
        assert 'role="status"' not in shown

    @pytest.mark.parametrize("name", SUM_NAMES)
    def test_a_link_opens_one_of_them_without_a_fault(self, desk, name):
        shown = desk.get(reverse("bench-sums"), {"sum": name})
        assert shown.content.decode().count('<details class="sum" open') == 1
        assert not fault(shown)

    def test_a_link_may_fill_in_a_part(self, desk):
        typed = {"sum": "dilution", "dilution-paste": "2 kg"}
        shown = desk.get(reverse("bench-sums"), typed)
        assert 'value="2 kg"' in shown.content.decode()
        partly = {"sum": "thickness", "thickness-thick": "5000"}
        assert not fault(desk.get(reverse("bench-sums"), partly))

    def test_a_name_that_is_no_sum_opens_none(self, desk):
        shown = desk.get(reverse("bench-sums"), {"sum": "<b>"})
        assert shown.status_code == 200
        assert "<b>" not in shown.content.decode()

    def test_each_sum_keeps_what_was_typed_in_it(self, desk):
        both = sent("brine", strength="20", water="1000") | sent("lye", strength="33")
        shown = desk.get(reverse("bench-sums"), both).content.decode()
        assert '<input type="hidden" name="brine-strength" value="20">' in shown
        # In its own form it stands ready, and is not worked out again.
        box = r'<input type="text" name="brine-strength" value="20"[^>]*>'
        assert len(re.findall(box, shown)) == 1
        assert "Salt, g" not in shown

    def test_it_only_reads(self, desk):
        before = make.book()
        for name in SUM_NAMES:
            asked(desk, name)
        assert desk.post(reverse("bench-sums"), {}).status_code == 405
        assert make.book() == before

    @pytest.mark.parametrize(
        "typed",
        [
            {},
            {"sum": "brine", "brine-strength": "20", "brine-water": "1000"},
            {"sum": "additions", "additions-soap": "970", "additions-share_1": "3"},
        ],
    )
    def test_a_sum_asks_the_book_for_nothing(
        self, desk, typed, django_assert_num_queries
    ):
        desk.get(reverse("bench-sums"))
        with django_assert_num_queries(BARE):
            desk.get(reverse("bench-sums"), typed)

    def test_codes_of_lots_are_looked_up_where_they_are_in_use(
        self, desk, django_assert_num_queries
    ):
        for code in ("S1", "S2"):
            read = (Reading("soap content", D("0.2")),)
            make.lot(code, item=make.item("soap", kind="made"), readings=read)
        typed = sent("blend", first_lot="S1", second_lot="S2", wanted="20", total="9")
        desk.get(reverse("bench-sums"), typed)
        # Of each the lot, the day of the workshop, and its latest reading.
        with django_assert_num_queries(BARE + 6):
            assert fault(desk.get(reverse("bench-sums"), typed))
        with django_assert_num_queries(BARE):
            desk.get(reverse("bench-sums"), typed | {"sum": "brine"})


# The session, the person, and the workshop of the head.
BARE = 3


class TestBrine:
    def test_twenty_per_cent_of_a_kilo_of_water(self, desk):
        """1,000 / 0.8 = 1,250 g; of that 250 g of salt. Poradnik fizykochemiczny:
        1.1478 g/mL at 20 degC, so 1,089.04 mL."""
        shown = asked(desk, "brine", strength="20", water="1 kg")
        assert figures(shown) == {"Salt": 250, "Water": 1000, "Brine": 1250}
        text = said(shown)
        assert f"1 000 g water {TIMES} 20 {OVER} (100 \N{MINUS SIGN} 20)" in text
        assert "1.1478 g/mL at 20 °C: it takes 1 089 mL." in text

    def test_what_twenty_per_cent_may_mean(self, desk):
        """16.7 % to 100 g of water, 17.7 % in 100 mL, worked by hand."""
        text = said(asked(desk, "brine", strength="20", water="1000"))
        assert "20 g in 100 g of the whole 20 % 250 1 000" in text
        assert "20 g to 100 g of water 16.7 % 200 1 000" in text
        assert re.search(r"20 g in 100 mL of the whole 17\.7 % 21\d", text)

    def test_from_salt_and_from_the_whole_in_volume(self, desk):
        shown = asked(desk, "brine", strength="20", salt="250")
        assert figures(shown)["Water"] == 1000
        # 1,000 mL at 1.1478 g/mL are 1,147.8 g, a fifth of them salt.
        shown = asked(desk, "brine", strength="20", total="1 L")
        assert figures(shown)["Salt"] == D("229.56")

    def test_water_by_volume_and_in_pounds(self, desk):
        # 500 mL x 0.998 = 499 g; a quarter of that is salt.
        assert figures(asked(desk, "brine", strength="20", water="500 mL")) == {
            "Salt": D("124.75"),
            "Water": 499,
            "Brine": D("623.75"),
        }
        # 35 oz of 28.349523125 g are 992.233 g.
        shown = asked(desk, "brine", strength="20", water="2 lb 3 oz")
        assert figures(shown)["Water"] == D("992.233")

    def test_the_strength_is_read_from_a_density(self, desk):
        """Poradnik fizykochemiczny: 1.1478 g/mL at 20 degC is 20 %."""
        shown = asked(desk, "brine", density="1.1478", total="1000")
        assert figures(shown)["Salt"] == 200
        assert "The brine is 20 % salt by mass." in said(shown)

    @pytest.mark.parametrize(
        ("typed", "field", "says"),
        [
            ({"strength": "30", "salt": "100"}, "strength", "at most 26.4 % salt"),
            ({"water": "100"}, "strength", "strength or the density"),
            ({"strength": "20"}, "total", "Write one amount"),
            ({"strength": "20", "salt": "1", "water": "1"}, "water", "one amount"),
            ({"strength": "20", "salt": "a"}, "salt", "not an amount"),
            ({"density": "1147.8", "salt": "5"}, "density", "read the hydrometer"),
            (
                {"density": "1.1", "salt": "5", "temperature": "60"},
                "temperature",
                "known here from 15 to 25 °C",
            ),
            ({"strength": "0.2", "salt": "5"}, "strength", "Write it with the sign"),
            ({"strength": "0", "salt": "5"}, "strength", "above 0 %"),
        ],
    )
    def test_what_cannot_be_is_said_at_its_field(self, desk, typed, field, says):
        shown = asked(desk, "brine", **typed)
        assert says in fault(shown)[field]
        kept = next(iter(typed.values()))
        assert f'value="{kept}"' in shown.content.decode()

    def test_off_the_table_there_is_no_density(self, desk):
        shown = asked(desk, "brine", strength="20", salt="250", temperature="40")
        assert figures(shown)["Salt"] == 250
        assert "No density is given" in said(shown)


class TestLye:
    def test_a_kilo_of_half_lye(self, desk):
        """500 g of pure alkali / 0.9 = 555.56 g to weigh, 444.44 g of water. The table:
        1.512 g/mL at 20 degC."""
        shown = asked(desk, "lye", purity="90", strength="50", total="1000")
        found = figures(shown)
        assert near(found["KOH to weigh"], "555.56")
        assert near(found["Water"], "444.44")
        text = said(shown)
        assert "1.512 g/mL at 20 °C" in text
        assert "Danger: lye burns skin" in text
        assert shown.content.index(b'id="caution"') < shown.content.index(b"to weigh<")

    def test_the_purity_of_a_lot_comes_from_the_book(self, desk):
        make.koh(purity="0.9", code="K1")
        shown = asked(desk, "lye", lot="K1", strength="45", weighed="500")
        # 450 g of pure alkali / 0.45 = 1,000 g of lye.
        assert figures(shown) == {"KOH to weigh": 500, "Water": 500, "Lye": 1000}
        assert "Purity 90 %, lot K1, stated" in said(shown)

    def test_a_lye_too_strong_for_a_cold_room_is_said(self, desk):
        """100 g of water hold 51 g of NaOH at 10 degC, 109 g at 20."""
        typed = {"alkali": "NaOH", "purity": "99", "strength": "40", "total": "1000"}
        cold = said(asked(desk, "lye", temperature="10", **typed))
        assert "At 10 °C 400 g of NaOH need 784.3 g of water" in cold
        assert "need" not in said(asked(desk, "lye", **typed)).split("to weigh")[-1]

    @pytest.mark.parametrize(
        ("typed", "field", "says"),
        [
            ({"strength": "40", "total": "100"}, "lot", "none is assumed"),
            ({"lot": "K0", "strength": "40", "total": "1"}, "lot", "not in the book"),
            ({"lot": "L1", "strength": "40", "total": "1"}, "lot", "neither KOH"),
            ({"lot": "XX", "strength": "40", "total": "1"}, "lot", "There is no lot"),
            (
                {"purity": "90", "strength": "95", "total": "1"},
                "strength",
                "leaves no water to add",
            ),
            ({"purity": "90", "strength": "40"}, "total", "Write one amount"),
            (
                {"purity": "90", "strength": "40", "total": "1", "temperature": "90"},
                "temperature",
                "from 0 to 50 °C",
            ),
        ],
    )
    def test_what_cannot_be_is_said_at_its_field(self, desk, typed, field, says):
        make.koh(purity=None, code="K0")
        make.lot("L1")
        assert says in fault(asked(desk, "lye", **typed))[field]


def test_the_tables_are_read_once():
    assert density_tables() is density_tables()
    assert density_tables().keys() == {"NaCl", "KOH", "NaOH"}
