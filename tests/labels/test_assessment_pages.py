"""Pages of the kind of product, of its assessments, and the sheet for an assessor."""

import io
from decimal import Decimal

import openpyxl
import pdfplumber
import pytest
from django.urls import reverse

from labels.models import Assessment, KindDecision, LabelCard
from labels.reads.assessments import last_assessment
from labels.reads.composition import composition_sheet, shares_of
from labels.reads.planned import planned_sheet
from production.contents.reads.contents import contents_of
from production.models import Formula, Item, Lot
from production.recipes.actions.formulas import NewVersionLine
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.labels.scented import note, scented_bottles


def text(response):
    return " ".join(response.content.decode().split())


@pytest.fixture
def bottles(db):
    made = scented_bottles()
    LabelCard.objects.create(
        item=made.item, identity="Liquid soap", function="For hands"
    )
    return made


def kind_page(desk, item, rules="us"):
    return text(desk.get(reverse("item-kind", args=[item.pk]), {"rules": rules}))


def test_the_page_says_the_kind_and_what_then_applies(desk, bottles):
    shown = kind_page(desk, bottles.item)
    assert "It is soap: the bulk of what does not evaporate" in shown
    assert "No ingredient list is asked for by FDA" in shown
    assert "more than one half is our reading" in shown
    assert "What tips it" not in shown
    shown = kind_page(desk, bottles.item, "eu")
    assert "It is a cosmetic: put on the skin to clean it." in shown
    assert "as pH adjuster only up to pH 11" in shown


def test_the_claim_that_tips_it_is_named_on_the_page(desk, bottles):
    LabelCard.objects.update(claims="Kills germs & smells nice")
    shown = kind_page(desk, bottles.item)
    assert "“Kills germs” in what else is said of it" in shown
    assert "not printed here" in shown
    assert "21 CFR 701.20" in shown


def decision(desk, item, kind, why="", **more):
    page = reverse("item-kind", args=[item.pk]) + "?rules=us"
    sent = {"kind": kind, "why": why, "on": "2026-03-20", "key": "form-kind", **more}
    return desk.post(page, sent)


LEANS = "Ada Birch, counsel, 19 March 2026"


@pytest.mark.parametrize("on", ["1999-12-31", "2926-03-20"])
def test_a_decision_of_another_age_is_refused(desk, bottles, on):
    shown = text(decision(desk, bottles.item, "drug", LEANS, on=on))
    assert LEANS in shown
    assert not KindDecision.objects.exists()
    assert assessment(desk, bottles.item, on=on).status_code == 200
    assert not Assessment.objects.exists()


def test_the_bulk_is_told_where_it_counts_alone(desk, bottles):
    assert "701.20" in kind_page(desk, bottles.item)
    for rules in ("eu", "uk", "ca"):
        shown = kind_page(desk, bottles.item, rules)
        assert "701.20" not in shown
        assert "does not evaporate" not in shown


def test_the_maker_decides_on_the_page(desk, bottles):
    LabelCard.objects.update(claims="Healing Waters")
    refused = decision(desk, bottles.item, "soap")
    assert "We read it as a drug" in text(refused)
    assert not KindDecision.objects.exists()
    assert decision(desk, bottles.item, "soap", LEANS).status_code == 302
    shown = kind_page(desk, bottles.item)
    assert "The maker decided on 20 March 2026 that it is soap, against our" in shown
    assert "The decision leans on: Ada Birch, counsel" in shown
    LabelCard.objects.update(claims="Kills germs")
    assert "That decision counts no more" in kind_page(desk, bottles.item)


def test_a_bath_foam_shows_its_caution_under_us_rules_alone(desk, bottles):
    assert "Excessive use" not in kind_page(desk, bottles.item)
    LabelCard.objects.update(bath_foam=True)
    assert "Excessive use or prolonged exposure" in kind_page(desk, bottles.item)
    assert "Excessive use" not in kind_page(desk, bottles.item, "eu")
    LabelCard.objects.update(adults_only=True)
    assert "Excessive use or prolonged" not in kind_page(desk, bottles.item)


def assessment(desk, item, **more):
    rows = {
        "recipes-TOTAL_FORMS": "1",
        "recipes-INITIAL_FORMS": "0",
        "recipes-0-formula": Formula.objects.get(name="Tideline").pk,
        "recipes-0-first": "1",
        "fragrances-TOTAL_FORMS": "1",
        "fragrances-INITIAL_FORMS": "0",
        "fragrances-0-fragrance": Item.objects.get(name="lavender").pk,
        "fragrances-0-most": "1 %",
    }
    facts = {
        "key": "form-a",
        "on": "2026-03-20",
        "rules": "eu",
        "reference": "CPSR-7",
        "assessor": "Ada Birch",
        "assessed_on": "2026-03-01",
        "notification": "4711",
        "pack": Item.objects.get(name="bottle 250").pk,
    }
    page = reverse("item-assessment-add", args=[item.pk])
    return desk.post(page, {**rows, **facts, **more})


def test_an_assessment_is_written_and_compared(desk, bottles):
    page = reverse("item-assessments", args=[bottles.item_id])
    assert "No assessment is on file" in text(desk.get(page))
    assert assessment(desk, bottles.item).status_code == 302
    [row] = Assessment.objects.all()
    assert [one.most for one in row.fragrances.all()] == [Decimal("0.01")]
    assert row.recipes.get().last_version is None
    shown = text(desk.get(page))
    assert "Assessment: present" in shown
    assert "CPSR-7 by Ada Birch, 1 March 2026" in shown
    assert "Notification: missing" in shown, "Great Britain has one of its own"
    again = assessment(desk, bottles.item)
    assert again.status_code == 302
    assert Assessment.objects.count() == 1


def test_what_was_typed_stays_where_it_is_refused(desk, bottles):
    shown = text(
        assessment(desk, bottles.item, assessor="", **{"fragrances-0-most": ""})
    )
    assert "Write how many percent were assessed at most." in shown
    assert 'value="CPSR-7"' in shown
    assert not Assessment.objects.exists()


def test_the_next_assessment_starts_from_the_last(desk, bottles):
    note(bottles)
    page = reverse("item-assessment-add", args=[bottles.item_id])
    shown = text(desk.get(page, {"rules": "eu"}))
    assert 'value="Ada Birch"' in shown
    assert 'value="CPSR-7"' not in shown, "another report has another reference"
    assert "4711" not in shown, "another one has another notification"
    assert 'value="1"' in shown


def test_an_older_assessment_takes_the_place_of_none(desk, bottles):
    assessment(desk, bottles.item)
    older = {"key": "form-b", "reference": "CPSR-6", "assessed_on": "2026-02-01"}
    page = reverse("item-assessments", args=[bottles.item_id])
    assert assessment(desk, bottles.item, **older).status_code == 302
    shown = text(desk.get(page))
    assert "CPSR-7 still counts: it is dated 2026-03-01" in shown
    assert last_assessment(bottles.item, "eu").reference == "CPSR-7"
    assert "Assessment: present" in shown
    same = {"key": "form-c", "reference": "CPSR-8"}
    assessment(desk, bottles.item, **same)
    assert last_assessment(bottles.item, "eu").reference == "CPSR-8"


def test_the_same_fragrance_twice_is_refused(desk, bottles):
    rows = {
        "fragrances-TOTAL_FORMS": "2",
        "fragrances-1-fragrance": Item.objects.get(name="lavender").pk,
        "fragrances-1-most": "2 %",
    }
    shown = text(assessment(desk, bottles.item, **rows))
    assert "lavender stands twice. Keep the right row." in shown
    assert 'value="CPSR-7"' in shown
    assert not Assessment.objects.exists()


def named(*pairs):
    for name, inci in pairs:
        Item.objects.filter(name=name).update(own_inci=inci)


@pytest.fixture
def listed(bottles):
    named(("olive oil", "Olea Europaea Fruit Oil"))
    named(("potassium hydroxide", "Potassium Hydroxide"))
    Item.objects.filter(name="olive oil").update(own_potassium_soap="Potassium Olivate")
    return bottles


def test_the_sheet_holds_both_shares_of_every_name(listed):
    sheet = composition_sheet(listed)
    rows = {row.name: row for row in sheet.ingredients}
    # Of 1,000 g 10 are fragrance.
    assert rows["Parfum"].finished == Decimal("1.0000")
    assert rows["Potassium Olivate"].added is None
    assert rows["Olea Europaea Fruit Oil"].added > 50
    assert rows["Glycerin"].finished > 0
    assert rows["Olea Europaea Fruit Oil"].cas == "8001-25-0"
    whole = sum(row.finished or 0 for row in sheet.ingredients)
    # What the inventory calls no ingredient may be left out, and nothing else.
    assert Decimal("99.9") < whole <= Decimal("100.001")
    assert sheet.recipes == ("Tideline v1",)
    assert sheet.packs == ("bottle 250",)
    assert sheet.ph is None
    assert "What allergens lavender" in " ".join(sheet.unknown)


def test_the_ph_of_what_was_filled_is_that_of_the_bottle(listed):
    soap = Lot.objects.get(item__name="scented soap")
    reading = [Reading("pH", Decimal("9.6"))]
    note_measurement(lot=soap, readings=reading, **make.act(21))
    assert composition_sheet(listed).ph == Decimal("9.6")


def test_the_sheet_is_a_pdf_and_a_table(desk, listed):
    page = reverse("lot-composition", args=[listed.code])
    answer = desk.get(page)
    assert answer.headers["Content-Type"] == "application/pdf"
    with pdfplumber.open(io.BytesIO(answer.content)) as pdf:
        printed = " ".join(pdf.pages[0].extract_text().split())
    for word in ("Potassium Olivate", "8001-25-0", "not measured", "Ada", listed.code):
        assert (word in printed) == (word != "Ada")
    answer = desk.get(page, {"sheet": "xlsx"})
    book = openpyxl.load_workbook(io.BytesIO(b"".join(answer.streaming_content)))
    rows = {row[0]: row for row in book.active.iter_rows(values_only=True)}
    assert rows["Ingredient"][2] == "As added, %"
    assert rows["Parfum"][3] == 1
    assert rows["Microbiology"][1] == "not known to this book"


def test_without_a_label_name_the_sheet_says_what_to_do(desk, bottles):
    Item.objects.filter(name="lavender").update(own_inci="")
    answer = desk.get(reverse("lot-composition", args=[bottles.code]), follow=True)
    assert "label name (INCI)" in text(answer)


def test_shares_name_what_only_went_in_with_nothing(listed):
    shares = shares_of(contents_of(listed))
    assert shares["Potassium Hydroxide"] == 0
    assert shares["Parfum"] == 1


def test_the_label_page_leads_to_both(desk, bottles):
    shown = text(desk.get(reverse("lot-label", args=[bottles.code])))
    assert reverse("item-kind", args=[bottles.item_id]) in shown
    assert reverse("item-assessments", args=[bottles.item_id]) in shown


@pytest.fixture
def planned(listed):
    """The same soap by recipes from the oil on: 5 % superfat, 2 g of water to 1 g of
    alkali, nothing lost."""
    paste, soap = Item.objects.get(name="paste"), Item.objects.get(name="scented soap")
    oil = Item.objects.get(name="olive oil")
    terms = {"superfat": Decimal("0.05"), "water_per_alkali": Decimal(2)}
    make.version(
        makes=paste,
        lines=[NewVersionLine(oil, share=Decimal(1))],
        loss=Decimal(0),
        **terms,
    )
    bottle = Item.objects.get(name="bottle 250")
    make.version(
        "filling",
        makes=listed.item,
        lines=[
            NewVersionLine(soap, each=Decimal(250)),
            NewVersionLine(bottle, each=Decimal(1)),
        ],
        loss=Decimal(0),
    )
    return listed.item


def test_a_plan_is_followed_from_the_oil_to_the_bottle(planned):
    sheet = planned_sheet(planned, make.day(21))
    rows = {row.name: row for row in sheet.ingredients}
    assert rows["Parfum"].added == rows["Parfum"].finished == Decimal("1.0000")
    assert sheet.packs == ("bottle 250",)
    assert "a plan" in sheet.of
    assert "Tideline v1" in sheet.recipes
    # By hand: 1 g of oil wants sv x 0.95 mg of pure potash, weighed at 90 %.
    sv = Item.objects.get(name="olive oil").oil.sv / 1000
    alkali = rows["Potassium Hydroxide"].added / rows["Olea Europaea Fruit Oil"].added
    assert alkali == pytest.approx(sv * Decimal("0.95"), abs=Decimal("0.0005"))
    whole = sum(row.finished or 0 for row in sheet.ingredients if not row.inside)
    assert Decimal("99.9") < whole <= Decimal("100.001")
    assert "Which allergens lavender holds" in " ".join(sheet.unknown)


def test_the_plan_is_handed_out_and_refused_in_words(desk, planned):
    page = reverse("item-composition", args=[planned.pk])
    answer = desk.get(page)
    assert answer.headers["Content-Type"] == "application/pdf"
    assert desk.get(page, {"sheet": "xlsx"}).status_code == 200
    other = make.item("soap to come", kind="made", unit="piece")
    page = reverse("item-composition", args=[other.pk])
    assert "No recipe makes soap to come" in text(desk.get(page, follow=True))
