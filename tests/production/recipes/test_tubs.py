"""No tub is taken by itself while they differ; another tub says what the plan was for.

The amounts are worked by hand: what 89.9 % needs 1,000 g of needs 899 / 0.85 of 85 %.
"""

from decimal import Decimal as D
from html import unescape

import pytest
from django.urls import reverse

from production.lots.actions.lot_deeds import discard
from production.models import Batch, ReferenceOil
from production.recipes.actions.formulas import NewVersionLine
from production.recipes.forms.bench import as_on_the_tub
from production.recipes.reads.tubs import (
    WhichTub,
    instead_of,
    last_tubs,
    lyes_for,
    tubs_of,
    tubs_to_weigh,
)
from production.release.actions.statuses import hold_lot
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.make import refused
from tests.once import remembered
from tests.production.writing import typed

pytestmark = pytest.mark.django_db


def page(answer):
    return " ".join(unescape(answer.content.decode()).split())


@pytest.fixture
@remembered
def version(owner):
    olive = make.item(
        "olive oil", category="oil", oil=ReferenceOil.objects.get(key="olive-oil")
    )
    make.lot("OIL", grams="9000", item=olive)
    make.item("tap water", category="water", on_tap=True)
    return make.version(
        superfat=D("0.02"),
        water_per_alkali=D("2.2"),
        loss=D(0),
        lines=[NewVersionLine(olive, share=D(1))],
    )


class TestADefaultTub:
    def test_tubs_that_are_alike_need_no_question(self, owner):
        make.koh(code="K1")
        make.koh(code="K2")
        assert tubs_of({"KOH"}, {})["KOH"].lot.code == "K2"

    def test_tubs_that_differ_are_named_with_their_strengths(self, owner):
        make.koh(code="K1", purity="0.899")
        make.koh(code="K2", purity="0.85")
        with pytest.raises(WhichTub) as caught:
            tubs_of({"KOH"}, {})
        assert "K1 is 89.9 %" in str(caught.value)
        assert "K2 is 85 %" in str(caught.value)

    def test_a_floor_is_not_the_same_as_a_value(self, owner):
        make.koh(code="K1", purity="0.85")
        least = Reading("purity", D("0.85"), "minimum")
        make.lot("K2", item=make.item("potassium hydroxide"), readings=(least,))
        with pytest.raises(WhichTub, match="K2 is at least 85 %"):
            tubs_of({"KOH"}, {})

    def test_a_tub_of_unknown_purity_beside_another_is_asked_about(self, owner):
        make.koh(code="K1")
        make.koh(code="K2", purity=None)
        with pytest.raises(WhichTub, match="K2 is of a purity that is not in the book"):
            tubs_of({"KOH"}, {})

    def test_what_is_used_up_or_held_does_not_count(self, owner):
        make.koh(code="K1")
        held = make.koh(code="K2", purity="0.85")
        hold_lot(lot=held, reason="damp", **make.act())
        gone = make.koh(code="K3", purity="0.8", grams="100")
        discard(lot=gone, amount=D(100), reason="spilt", **make.act())
        assert tubs_of({"KOH"}, {})["KOH"].lot.code == "K1"

    def test_the_one_that_is_named_is_taken(self, owner):
        first = make.koh(code="K1")
        make.koh(code="K2", purity="0.85")
        assert lyes_for({"KOH"}, {"KOH": first})["KOH"].purity == D("0.9")

    def test_soda_is_not_asked_about_where_only_potash_is_used(self, owner):
        make.koh(code="K1")
        soda = make.item("soda", category="alkali", alkali="NaOH")
        for code, purity in (("S1", "0.98"), ("S2", "0.9")):
            reading = Reading("purity", D(purity), "stated")
            make.lot(code, item=soda, readings=(reading,))
        assert set(tubs_of({"KOH"}, {})) == {"KOH"}


class TestATubToWeighFrom:
    def test_it_stands_in_the_box_of_its_alkali(self, owner):
        tub = make.koh(code="K1")
        with refused("K1 is potassium hydroxide, not NaOH", "Read the code"):
            tubs_to_weigh({"NaOH"}, {"NaOH": tub}, by_itself=True)

    def test_none_is_named_that_is_not_used(self, owner):
        tub = make.koh(code="K1")
        with refused("No KOH is used here: put K1 back and leave it out"):
            tubs_to_weigh({"NaOH"}, {"KOH": tub}, by_itself=True)

    def test_a_plan_may_take_one_and_a_batch_asks_for_its_code(self, owner):
        tub = make.koh(code="K1")
        found = tubs_to_weigh({"KOH"}, {"KOH": None}, by_itself=True)
        assert (found["KOH"].lot, found["KOH"].lye.purity) == (tub, D("0.9"))
        with refused("Type the code of the KOH lot: its purity decides"):
            tubs_to_weigh({"KOH"}, {"KOH": None}, by_itself=False)

    def test_where_none_has_a_purity_that_is_said(self, owner):
        make.koh(code="K1", purity=None)
        with refused("no tub in the book has one"):
            tubs_to_weigh({"KOH"}, {}, by_itself=True)

    def test_a_tub_of_which_only_a_floor_is_known_is_looked_at_by_it(self, owner):
        least = Reading("purity", D("0.85"), "minimum")
        kind = make.koh(code="K1").item
        tub = make.lot("K2", item=kind, readings=(least,))
        assert as_on_the_tub(tub) == "potassium hydroxide, at least 85 %, lot K2"


class TestATubForAPrice:
    def test_the_last_that_has_a_purity_and_else_the_last_there_was(self, owner):
        gone = make.koh(code="K1", purity="0.8", grams="100")
        discard(lot=gone, amount=D(100), reason="spilt", **make.act())
        assert last_tubs({"KOH", "NaOH"})["KOH"].lot == gone
        last = make.koh(code="K2", purity="0.85")
        make.koh(code="K3", purity=None)
        assert last_tubs({"KOH"})["KOH"].lot == last
        assert last_tubs(()) == {}


class TestOnPages:
    @pytest.fixture
    def tubs(self, version):
        make.koh(code="K1", purity="0.899")
        make.koh(code="K2", purity="0.85")
        return version

    def test_a_plan_asks_which_tub(self, desk, tubs):
        asked = {"version1": tubs.pk, "amount1": "1 kg"}
        said = page(desk.get(reverse("plan"), asked))
        assert "K1 is 89.9 %, K2 is 85 %" in said
        answer = desk.get(reverse("plan"), asked | {"alkali_lot": "K1"})
        assert answer.context["planned"]

    def test_a_recipes_page_asks_and_leads_to_either(self, desk, tubs):
        url = tubs.get_absolute_url()
        answer = desk.get(url)
        assert "K1 is 89.9 %, K2 is 85 %" in page(answer)
        assert "?alkali_lot=K1" in page(answer)
        strong = desk.get(url, {"alkali_lot": "K1"}).context["cooked"].result
        weak = desk.get(url, {"alkali_lot": "K2"}).context["cooked"].result
        ratio = weak.koh_weighed / strong.koh_weighed
        assert abs(ratio - D("0.899") / D("0.85")) < D("1e-5")

    def test_two_versions_side_by_side_ask_too(self, desk, tubs):
        asked = {"a": tubs.pk, "b": tubs.pk}
        said = page(desk.get(reverse("compare"), asked))
        assert "K1 is 89.9 %, K2 is 85 %" in said
        found = desk.get(reverse("compare"), asked | {"alkali_lot": "K2"})
        assert found.context["found"].figures

    def test_a_recipe_that_is_written_asks_in_its_answer(self, desk, tubs):
        sent = typed(desk.get(reverse("version-next", args=[tubs.pk])))
        answer = desk.post(reverse("recipe-preview", args=["cook"]), sent)
        assert "K1 is 89.9 %, K2 is 85 %" in page(answer)


class TestASwap:
    def test_it_says_what_the_plan_was_for_and_what_to_weigh(self, owner):
        """By hand: 1000 x 89.9 / 85 is 1057.647."""
        make.koh(code="K1", purity="0.899")
        other = make.koh(code="K2", purity="0.85")
        says = instead_of("K1", D(1000), other)
        assert "The plan was for K1, 89.9 %; K2 is 85 %" in says
        assert "weigh 1057.647 g instead of 1000 g" in says

    def test_a_tub_of_the_same_strength_needs_no_word(self, owner):
        make.koh(code="K1")
        assert instead_of("K1", D(1000), make.koh(code="K2")) == ""

    def test_an_unknown_strength_is_not_guessed(self, owner):
        make.koh(code="K1")
        says = instead_of("K1", D(1000), make.koh(code="K2", purity=None))
        assert "Note it from the tub" in says

    def test_another_alkali_is_the_wrong_tub(self, owner):
        make.koh(code="K1")
        soda = make.item("soda", category="alkali", alkali="NaOH")
        says = instead_of("K1", D(1000), make.lot("S1", item=soda))
        assert "read the code of the right tub" in says

    def test_the_page_says_it_and_the_tub_is_read_again(self, desk, version):
        make.koh(code="K1", purity="0.899")
        make.koh(code="K2", purity="0.85")
        asked = f"?version={version.pk}&oils=1+kg&alkali_lot=K1"
        url = reverse("batch-run", args=["cook"]) + asked
        answer = desk.get(url)
        row = next(r for r in answer.context["form"].rows["uses"] if r.is_lye)
        sent = typed(answer)
        sent |= {"amount": "1650 g", "on": "2026-03-02", f"{row.prefix}-lot": "K2"}
        sent |= {f"{row.prefix}-amount": "212 g"}
        said = page(desk.post(url, sent))
        assert "The plan was for K1, 89.9 %; K2 is 85 %: weigh" in said
        assert not Batch.objects.exists()
        # It happened: the tub is read, and what was weighed is written, with the steam.
        sent["lost_as"] = "steam"
        sent[f"{row.prefix}-read"] = "potassium hydroxide, 85 %, lot K2"
        assert desk.post(url, sent).status_code == 302
