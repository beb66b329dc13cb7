"""Sums at the bench, each against a figure worked by hand, and nothing written."""

import re
from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse

from production.bench.files import density_tables
from production.bench.forms import SUMS
from production.models import ReferenceOil
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.make import act

D = Decimal
TIMES, OVER = "\N{MULTIPLICATION SIGN}", "\N{DIVISION SIGN}"
SUM_NAMES = [form.name for form in SUMS]


def sent(name, **typed):
    """What the form of one sum sends: the rest of it empty, as a browser does."""
    form = next(form for form in SUMS if form.name == name)
    fields = {field: kept.initial or "" for field, kept in form.base_fields.items()}
    assert typed.keys() <= fields.keys()
    return {"sum": name} | {f"{name}-{f}": v for f, v in (fields | typed).items()}


def asked(desk, name, **typed):
    """The page, with the fields and the answer of that sum."""
    return desk.get(reverse("bench-sums"), sent(name, **typed))


def said(answer):
    """What the page says, without its marks."""
    text = re.sub(r"<[^>]*>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", unescape(text))


def figures(answer):
    """The figures of the sum in use, by name."""
    found = next(s["answer"] for s in answer.context["sums"] if s["form"].in_use)
    assert found, fault(answer)
    return {f.name: f.text or f.value for f in (*found.figures, *found.weigh)}


def fault(answer):
    """The faults of the sum in use, by field."""
    used = next(s["form"] for s in answer.context["sums"] if s["form"].in_use)
    return {field: " ".join(words) for field, words in used.errors.items()}


def near(value, wanted):
    return abs(value - D(wanted)) < D("0.006")


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


class TestDilution:
    def test_three_parts_of_water(self, desk):
        """60 % / (1 + 3) = 15 %."""
        shown = asked(desk, "dilution", paste="1 kg", content="60", parts="3")
        assert figures(shown) == {
            "Soap content": D("0.15"),
            "Water": 3000,
            "Together": 4000,
        }
        assert f"60 % {OVER} (1 + 3) = 15 %" in said(shown)

    def test_to_a_content_with_additions(self, desk):
        # 1,000 x 60 / 20 = 3,000 g; 1 % and 2 % of it are 30 g and 60 g; 1,910 g left.
        shown = asked(
            desk,
            "dilution",
            content="60",
            wanted="20",
            name_1="fragrance",
            share_1="1 %",
            name_2="salt",
            share_2="2",
        )
        found = {"Water": 1910, "Finished": 3000, "fragrance": 30, "salt": 60}
        assert figures(shown) == found

    def test_the_content_of_a_lot(self, desk):
        paste = make.cook(code="P1")
        read = [Reading("soap content", D("0.6"))]
        note_measurement(lot=paste, readings=read, **act(3))
        shown = asked(desk, "dilution", lot="P1", parts="3")
        assert figures(shown)["Soap content"] == D("0.15")
        assert "P1: 60 % soap, measured on 2026-03-03." in said(shown)

    @pytest.mark.parametrize(
        ("typed", "field", "says"),
        [
            ({"content": "30", "wanted": "60"}, "wanted", "of 30 % soap cannot be"),
            ({"content": "30"}, "wanted", "one of the two"),
            ({"parts": "3"}, "content", "one of the two"),
            (
                {"content": "30", "wanted": "29", "share_1": "5"},
                "wanted",
                "the additions alone are 5 %",
            ),
            (
                {"content": "30", "parts": "2", "share_2": "5"},
                "share_2",
                "write the soap content wanted",
            ),
            (
                {"content": "30", "wanted": "20", "name_1": "salt"},
                "share_1",
                "Write the share of salt",
            ),
            ({"lot": "L1", "parts": "3"}, "lot", "is not in the book"),
        ],
    )
    def test_what_cannot_be_is_said_at_its_field(self, desk, typed, field, says):
        make.lot("L1")
        assert says in fault(asked(desk, "dilution", **typed))[field]


class TestAdditions:
    def test_they_are_shares_of_the_finished_mass(self, desk):
        # 970 / (1 - 0.03) = 1,000 g; 2 % are 20 g, 1 % are 10 g.
        shown = asked(
            desk, "additions", soap="970", name_1="salt", share_1="2", share_2="1 %"
        )
        assert figures(shown) == {"salt": 20, "addition 2": 10, "Finished": 1000}

    @pytest.mark.parametrize(
        ("typed", "field", "says"),
        [
            ({"soap": "970"}, "share_1", "Write the share of one addition"),
            ({"soap": "9", "share_1": "60", "share_2": "40"}, "share_1", "no room"),
            (
                {
                    "soap": "9",
                    "share_1": "2",
                    "name_1": "a",
                    "name_2": "a",
                    "share_2": "3",
                },
                "name_2",
                "is there twice",
            ),
            ({"share_1": "2"}, "soap", "required"),
        ],
    )
    def test_what_cannot_be_is_said_at_its_field(self, desk, typed, field, says):
        assert says in fault(asked(desk, "additions", **typed))[field]


class TestBlends:
    def test_two_contents(self, desk):
        # A quarter of the way from 20 to 60 %: 250 g and 750 g.
        shown = asked(desk, "blend", first="60", second="20", wanted="30", total="1000")
        assert figures(shown) == {"First": 250, "Second": 750}

    def test_a_wish_outside_them_is_refused_in_percent(self, desk):
        typed = {"first": "60", "second": "20", "total": "1"}
        shown = asked(desk, "blend", wanted="70", **typed)
        assert "No blend of 60 % and 20 % gives 70 %" in fault(shown)["wanted"]
        shown = asked(desk, "blend", first="20", second="20", wanted="20", total="1")
        assert "Both are 20 %" in fault(shown)["wanted"]

    def test_two_viscosities_are_a_first_guess(self, desk):
        # ln(1000/100) / ln(10000/100) = 1/2.
        shown = asked(
            desk, "thickness", thick="10000", thin="100", wanted="1000", total="500"
        )
        found = figures(shown)
        assert near(found["Thick"], "250")
        text = said(shown)
        assert "A first guess only" in text
        assert "For a sample of 100 g: 50 g thick and 50 g thin." in text

    def test_a_viscosity_of_nothing_is_refused(self, desk):
        shown = asked(desk, "thickness", thick="10", thin="0", wanted="5", total="1")
        assert "above 0 mPa·s" in fault(shown)["thin"]


def a_pot():
    """A kilo of a published oil with more potash than it takes, and 500 g of water."""
    published = ReferenceOil.objects.get(key="rapeseed-oil-low-erucic")
    oil = make.item("rapeseed oil", category="oil", oil=published)
    water = make.item("water", category="water")
    uses = [
        (make.lot(grams="1000", item=oil), "1000"),
        (make.koh(), "250"),
        (make.lot(grams="500", item=water), "500"),
    ]
    why = "the lye was weighed twice"
    return published, make.batch(
        "cook", uses=uses, makes="paste", amount="1750", reason=why
    )


class TestAcid:
    TYPED = {"soap": "1000", "content": "20", "free": "0.1", "purity": "100"}

    def test_the_dose_that_only_neutralises(self, desk):
        """1 g of KOH / 0.876084 = 1.1414 g of dry citric acid."""
        shown = asked(desk, "acid", **self.TYPED)
        found = figures(shown)
        assert near(found["Acid"], "1.14")
        assert near(found["Half of it first"], "0.57")
        text = said(shown)
        assert "test again before any more" in text
        assert "Goggles and gloves" in text

    def test_too_much_costs_soap(self, desk):
        """30 mol of hydrogen in 192.123 g x 10: 0.156150 mol; 0.017824 of them find
        1 g of KOH, 0.138326 mol find soap. A kilo of oils of 190 mg KOH/g, 3.38649
        mol, gives 1,000 + 190 g less 1.12883 mol of glycerol (92.094) of soap; its acid
        is lighter by K - H, 38.0903."""
        moles = D(190) / D("56.1053")
        soap = (1000 + 190 - moles / 3 * D("92.094")) / moles
        sour = 3 * 10 / D("192.123") - 1 / D("56.1053")
        found = figures(asked(desk, "acid", dose="10", **self.TYPED))
        assert near(found["Free alkali taken up"], 1)
        assert near(found["Soap lost"], sour * soap)
        assert near(found["Fatty acid freed"], sour * (soap - D("38.0903")))
        assert "expect a haze" in said(asked(desk, "acid", dose="10", **self.TYPED))

    def test_half_the_dose_touches_no_soap(self, desk):
        shown = asked(desk, "acid", dose="0.57", **self.TYPED)
        assert figures(shown)["Soap lost"] == 0
        assert "No soap is touched: 0.5 g of KOH stay free." in said(shown)

    def test_a_lot_is_reckoned_by_what_went_in(self, desk):
        """250 g of potash at 90 % are 225 g of KOH; a kilo of oil takes as many grams
        as its saponification value says, the rest stays free."""
        published, lot = a_pot()
        typed = {"soap": "1750", "lot": lot.code, "purity": "100"}
        shown = asked(desk, "acid", **typed)
        left = 225 - published.sv
        assert near(figures(shown)["Acid"], left / D("0.876084"))
        assert "as worked out from what went in" in said(shown)
        # 0.1 % of 1,750 g, as read, are 1.75 g of KOH.
        read = [Reading("free alkali", D("0.001"))]
        note_measurement(lot=lot, readings=read, **act(4))
        shown = asked(desk, "acid", **typed)
        assert near(figures(shown)["Acid"], D("1.75") / D("0.876084"))
        assert "free alkali 0.1 % as last read" in said(shown)
        half = figures(asked(desk, "acid", **(typed | {"soap": "875"})))
        assert near(half["Acid"], D("0.875") / D("0.876084"))

    @pytest.mark.parametrize(
        ("typed", "field", "says"),
        [
            ({"free": ""}, "free", "0 if there is none"),
            ({"content": ""}, "content", "one of the two"),
            ({"content": "", "lot": "L1", "free": ""}, "lot", "cannot be worked out"),
            ({"content": "99", "free": "5"}, "free", "more than the whole"),
            ({"purity": "0"}, "purity", "above 0 %"),
            ({"sv": "5"}, "sv", "from 10 to 650"),
            ({"sv": ""}, "sv", "from 10 to 650"),
            ({"content": "", "lot": "L2"}, "lot", "holds no soap"),
        ],
    )
    def test_what_cannot_be_is_said_at_its_field(self, desk, typed, field, says):
        make.lot("L1")
        make.lot("L2", item=make.item("glycerol", category="additive"))
        assert says in fault(asked(desk, "acid", **(self.TYPED | typed)))[field]


class TestTitration:
    TYPED = {"sample": "10", "normality": "0.1", "titrant": "2.40", "blank": "0.05"}

    def test_free_alkali(self, desk):
        """0.235 mmol x 56.1053 g/mol / 10 g = 0.1318 %; / 1.4027 = 0.094 % as NaOH."""
        shown = asked(desk, "titration", **self.TYPED)
        found = {"Free alkali as KOH": "0.132 %", "As NaOH": "0.094 %"}
        assert figures(shown) == found
        text = said(shown)
        assert "Never test by tongue" in text
        assert "at most 0.1 % as NaOH (0.14 % as KOH). SNI 06-3532-1994" in text

    @pytest.mark.parametrize(
        ("typed", "field", "says"),
        [
            ({"blank": "3"}, "blank", "The blank took 3 mL"),
            ({"normality": "0"}, "normality", "shows nothing"),
            ({"titrant": "99999"}, "titrant", "more alkali than soap"),
            ({"sample": ""}, "sample", "required"),
        ],
    )
    def test_what_cannot_be_is_said_at_its_field(self, desk, typed, field, says):
        assert says in fault(asked(desk, "titration", **(self.TYPED | typed)))[field]


def test_the_tables_are_read_once():
    assert density_tables() is density_tables()
    assert density_tables().keys() == {"NaCl", "KOH", "NaOH"}
