"""Sums of what is in a pot: thinned, added to, blended, acidified, titrated."""

import pytest

from production.models import ReferenceOil
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.make import act
from tests.production.bench.sums_asked import OVER, D, asked, fault, figures, near, said


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
