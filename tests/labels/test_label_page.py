"""Label pages: of a lot, of a product, their card, and the sheets."""

import io

import pdfplumber
import pytest
from django.urls import reverse

from labels.actions.assessments import Covered, note_assessment
from labels.models import LabelCard, Sheet
from production.models import Formula, Lot, ReferenceOil
from production.workshop.actions.cards import set_up_workshop
from tests import make
from tests.once import remembered

MM = 25.4 / 72
CARD = {
    "identity": "Tideline",
    "function": "Liquid hand soap",
    "declared": "250 mL",
    "body": "liquid",
    "rules": "eu",
    "language": "en",
    "sold_in": "IE",
    "width": "60",
    "height": "90",
    "keeps_months": "24",
    "cautions": "Avoid the eyes.",
    "shape": "label",
}
SHEET = {
    "page_width": "210",
    "page_height": "297",
    "label_width": "99.1",
    "label_height": "38.1",
    "columns": "2",
    "rows": "7",
    "left": "4.65",
    "top": "15.15",
    "gap_across": "2.5",
    "gap_down": "0",
}


@pytest.fixture
@remembered
def bottles(db):
    """Filled bottles, each thing in them with its label name, of a maker in France."""
    set_up_workshop(
        name="Atelier Moreau",
        address="3 rue des Salines\n17000 La Rochelle",
        country="FR",
        contact="bonjour@example.org",
    )
    rape = ReferenceOil.objects.get(key="rapeseed-oil-low-erucic")
    oil = make.item("rapeseed oil", category="oil", oil=rape, own_inci="Canola Oil")
    water = make.item("water", category="water", own_inci="Aqua")
    paste = make.batch(
        "cook",
        uses=[
            (make.lot(item=oil), "500"),
            (make.koh(), "100"),
            (make.lot(item=water), "300"),
        ],
        makes="paste",
        amount="900",
        version=make.version(
            name="Cook", superfat=make.Decimal("0.05"), water_per_alkali=make.Decimal(3)
        ),
    )
    return make.batch(
        "filling",
        uses=[(paste, "500"), (make.bottles(), "2")],
        makes="soap 250",
        unit="piece",
        amount="2",
        net_mass="250",
        code="FILL-1",
    )


@pytest.fixture
def card(desk, bottles):
    written = desk.post(reverse("label-card", args=[bottles.item_id]), CARD)
    assert written.status_code == 302
    note_assessment(
        item=bottles.item,
        rules="eu",
        reference="A-1",
        assessor="Ada Birch",
        assessed_on=make.day(1),
        notification="4711",
        responsible="Atelier Moreau",
        recipes=(Covered(Formula.objects.get(name="Cook"), 1),),
        **make.act(20),
    )
    return LabelCard.objects.get()


def page(desk, lot, **asked):
    return desk.get(reverse("lot-label", args=[lot.code]), asked)


def pdf(desk, lot, **asked):
    return desk.get(reverse("lot-label-pdf", args=[lot.code]), asked)


def text(response):
    return response.content.decode()


def test_before_there_is_a_card_the_label_is_a_draft_that_leads_to_it(desk, bottles):
    shown = text(page(desk, bottles))
    assert "A draft" in shown
    assert reverse("label-card", args=[bottles.item_id]) in shown
    assert "Write on the label card what one of them holds" in shown


def test_with_its_card_nothing_is_missing_and_it_is_seen_as_printed(
    desk, bottles, card
):
    shown = text(page(desk, bottles))
    assert "Nothing is missing under these rules." in shown
    assert '<svg xmlns="http://www.w3.org/2000/svg" class="drawn-label"' in shown
    assert "Canola Oil" in shown
    assert "style=" not in shown


def test_one_label_is_a_pdf_of_its_size(desk, bottles, card):
    answer = pdf(desk, bottles, print="one")
    assert answer.headers["Content-Type"] == "application/pdf"
    bottles.refresh_from_db()
    assert bottles.labelled is None, "a look puts no code into the world"
    assert answer.headers["Content-Disposition"] == (
        'inline; filename="label-soap-250-fill-1.pdf"'
    )
    with pdfplumber.open(io.BytesIO(answer.content)) as made:
        (one,) = made.pages
        assert float(one.width) * MM == pytest.approx(60, abs=0.01)
        words = " ".join(one.extract_text().split())
    for told in ("250 mL", "Batch FILL-1", "Canola Oil", "end of 02/2028"):
        assert told in words


def test_a_sheet_of_ones_own_gives_the_label_its_size(desk, bottles, card):
    desk.post(reverse("sheet-add"), SHEET)
    sheet = Sheet.objects.get()
    answer = pdf(
        desk, bottles, print="sheet", sheet=str(sheet.pk), labels="15", start="2"
    )
    with pdfplumber.open(io.BytesIO(answer.content)) as made:
        assert [float(one.width) for one in made.pages] == pytest.approx(
            [210 / MM] * 2, abs=0.01
        )
        batches = [one.extract_text().count("FILL-1") for one in made.pages]
    assert batches == [13, 2]
    assert f"{sheet}: 14 on a sheet" in text(page(desk, bottles, sheet=str(sheet.pk)))


def test_a_cell_that_the_sheet_lacks_is_refused_on_the_page(desk, bottles, card):
    answer = pdf(desk, bottles, print="sheet", start="99")
    assert answer.status_code == 302
    shown = text(desk.get(answer.url))
    assert "Start at one of the cells 1 to" in shown
    assert 'value="99"' in shown


def test_a_sign_that_the_font_lacks_is_refused_where_it_is_typed(desk, bottles):
    answer = desk.post(
        reverse("label-card", args=[bottles.item_id]), CARD | {"identity": "海"}
    )
    assert "has no sign" in text(answer)
    assert "Avoid the eyes." in text(answer)
    assert not LabelCard.objects.exists()


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"declared": "giant 250 mL"}, "Contents are a number and a unit"),
        ({"declared": "250 mugs"}, "mugs is no unit of a label"),
        ({"width": "250"}, "does not fit on A4"),
        ({"shape": "round"}, "Give the height of the straight wall"),
        ({"shape": "round", "panel_height": "95"}, "once round it or its diameter"),
        ({"shape": "flat", "panel_height": "95"}, "Give the height and the width"),
        ({"shape": "other"}, "Give all of the surface of the bottle"),
        ({"shape": "", "panel_height": "95"}, "choose what it is like"),
        ({"shape": "flat", "panel_height": "89", "panel_across": "70"}, "label of 90"),
        (
            {"shape": "round", "panel_height": "95", "panel_across": "190"}
            | {"panel_diameter": "65"},
            "65 mm is 204 mm round, not 190",
        ),
        ({"declared": "8 fl oz 240 mL"}, "8 fl oz and 240 mL do not agree"),
        ({"no_cautions": "on"}, "There are precautions"),
    ],
)
def test_nonsense_on_a_card_is_refused_and_nothing_typed_is_lost(
    desk, bottles, typed, says
):
    answer = desk.post(reverse("label-card", args=[bottles.item_id]), CARD | typed)
    assert answer.status_code == 200
    assert says in text(answer)
    assert "Liquid hand soap" in text(answer)
    assert not LabelCard.objects.exists()


def test_a_card_is_changed_and_leads_back_to_the_lot(desk, bottles, card):
    where = reverse("label-card", args=[bottles.item_id])
    answer = desk.post(f"{where}?lot=FILL-1", CARD | {"identity": "Slipway"})
    assert answer.url == reverse("lot-label", args=["FILL-1"])
    card.refresh_from_db()
    assert card.identity == "Slipway"


def test_a_bottle_asks_for_higher_letters_than_its_label(desk, bottles, card):
    round_one = {"shape": "round", "panel_height": "216", "panel_across": "267"}
    desk.post(
        reverse("label-card", args=[bottles.item_id]),
        CARD | round_one | {"declared": "8 fl oz", "width": "90", "height": "120"},
    )
    # 35.7 sq in: 3/16 in, so 4.76 mm and not 3.18 mm.
    answer = pdf(desk, bottles, print="one", rules="us", basis="added")
    with pdfplumber.open(io.BytesIO(answer.content)) as made:
        sizes = [c["size"] * MM for c in made.pages[0].chars if c["text"] in "8z"]
    assert max(sizes) >= 4.7625 / 0.496


def test_a_product_shows_the_list_of_its_last_lot_and_a_line_for_the_batch(
    desk, bottles, card
):
    shown = text(desk.get(reverse("item-label", args=[bottles.item_id])))
    assert "The list is that of FILL-1, the last lot made." in shown
    assert "Batch" in shown
    assert "Batch FILL-1" not in shown


def test_once_the_recipe_changed_its_list_is_that_of_the_new_lot(desk, bottles, card):
    """What the next bottles hold is what the last ones held, not the first."""
    oil = make.item("olive oil", category="oil", own_inci="Olea Europaea Fruit Oil")
    water = make.item("water", category="water")
    uses = [
        (make.lot(item=oil), "500"),
        (make.koh(code="K2"), "110"),
        (make.lot(item=water), "300"),
    ]
    paste = make.batch("cook", uses=uses, makes="paste", amount="900")
    make.batch(
        "filling",
        uses=[(paste, "500"), (make.bottles(), "2")],
        makes="soap 250",
        unit="piece",
        amount="2",
        net_mass="250",
        code="FILL-2",
    )
    shown = text(desk.get(reverse("item-label", args=[bottles.item_id])))
    assert "The list is that of FILL-2, the last lot made." in shown
    assert "Olea Europaea Fruit Oil" in shown
    assert "Canola Oil" not in shown


def test_a_product_never_made_is_a_draft_without_a_list(desk, bottles):
    new = make.item("soap 500", kind="made", unit="piece")
    where = reverse("item-label", args=[new.pk])
    assert "No soap 500 was made yet" in text(desk.get(where))
    answer = desk.get(reverse("item-label-pdf", args=[new.pk]))
    with pdfplumber.open(io.BytesIO(answer.content)) as made:
        assert "No soap 500 was made yet" in made.pages[1].extract_text()


def test_a_label_is_for_those_who_signed_in(client, bottles):
    for name in ("lot-label", "lot-label-pdf"):
        answer = client.get(reverse(name, args=[bottles.code]))
        assert answer.status_code == 302
        assert reverse("login") in answer.url


def test_sheets_are_added_from_a_preset_changed_and_never_twice(desk):
    listed = text(desk.get(reverse("sheets")))
    assert "A4, 2 x 7 of 99.1 x 38.1 mm" in listed
    form = text(desk.get(f"{reverse('sheet-add')}?from=0"))
    assert 'value="99.1"' in form
    assert desk.post(reverse("sheet-add"), SHEET).url == reverse("sheets")
    assert "known already" in text(desk.post(reverse("sheet-add"), SHEET))
    where = reverse("sheet-change", args=[Sheet.objects.get().pk])
    assert "the page is 210 mm wide" in text(desk.post(where, SHEET | {"left": "20"}))
    desk.post(where, SHEET | {"left": "4"})
    assert Sheet.objects.get().left == 4


@pytest.mark.parametrize("sheets", [1, 12])
def test_the_label_page_asks_the_same_however_many_sheets(
    desk, bottles, card, sheets, django_assert_num_queries
):
    for number in range(sheets):
        desk.post(reverse("sheet-add"), SHEET | {"left": f"4.{number:02}"})
    assert Sheet.objects.count() == sheets
    with django_assert_num_queries(71):
        page(desk, Lot.objects.get(code="FILL-1"))


@pytest.mark.parametrize(
    ("card", "rules", "says"),
    [
        # No shape is assumed: 21 CFR 701.10, 701.13(i); C.R.C., c. 417, s. 14.
        ({"shape": ""}, "us", "Say on the label card what the bottle is like"),
        ({"shape": ""}, "ca", "Say on the label card what the bottle is like"),
        ({"body": ""}, "us", "whether it is a liquid or a thick paste"),
        # 250 g of soap at 1.05 g/mL are 238 mL: the label declares 250 mL.
        ({}, "us", "so at least 250 mL"),
        ({}, "eu", "so at least 250 mL"),
    ],
)
def test_what_is_not_known_of_a_bottle_makes_a_draft_that_says_so(
    desk, bottles, card, rules, says
):
    type(bottles.item).objects.filter(name="paste").update(density="1.05")
    desk.post(reverse("label-card", args=[bottles.item_id]), CARD | card)
    shown = text(page(desk, bottles, rules=rules))
    assert "A draft" in shown
    assert says in shown


def test_a_bottle_that_holds_what_is_declared_prints_without_a_word(desk, bottles):
    type(bottles.item).objects.filter(name="paste").update(density="1.0")
    desk.post(reverse("label-card", args=[bottles.item_id]), CARD)
    shown = text(page(desk, bottles, rules="eu"))
    assert "so at least 250 mL" not in shown
    assert "Not compared with the fill" not in shown


def test_a_density_that_nobody_measured_is_asked_for(desk, bottles, card):
    assert "measure the density at 20 °C" in text(page(desk, bottles))
