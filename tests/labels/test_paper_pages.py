# ruff: noqa: F401, F811 (fixtures of another file)
"""Pages of the mark, of rolls, of several lots on a sheet and of a stick-over."""

import io

import pdfplumber
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from labels.models import LabelCard, MakersMark, Sheet
from production.papers.files.attachments import path_of
from production.record.reads.clock import today
from tests.labels.test_label_page import (
    CARD,
    SHEET,
    bottles,
    card,
    page,
    pdf,
    text,
)

DRAWN = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 10">
<path d="M0 10L10 0L20 10Z"/></svg>"""


def words(answer):
    with pdfplumber.open(io.BytesIO(answer.content)) as made:
        return [" ".join(one.extract_text().split()) for one in made.pages]


def give(desk, where, raw=DRAWN, name="mark.svg"):
    return desk.post(where, {"file": SimpleUploadedFile(name, raw)})


def test_the_mark_of_all_products_stands_on_every_label_until_one_has_its_own(
    desk,
    bottles,
    card,
    settings,
):
    assert "M0 10L10 0" not in text(page(desk, bottles))
    assert give(desk, reverse("workshop-mark")).status_code == 302
    assert "M0 10L10 0" in text(page(desk, bottles))
    own = DRAWN.replace(b"L10 0", b"L11 0")
    assert (
        give(desk, reverse("item-mark", args=[bottles.item_id]), own).status_code == 302
    )
    assert "M0 10L11 0" in text(page(desk, bottles))
    assert MakersMark.objects.count() == 2
    desk.post(reverse("item-mark", args=[bottles.item_id]), {"none": "on"})
    assert "M0 10L10 0" in text(page(desk, bottles))


def test_a_mark_that_runs_something_is_refused_and_nothing_is_kept(desk, bottles, card):
    answer = give(
        desk, reverse("workshop-mark"), DRAWN.replace(b"<path", b"<script/><path")
    )
    assert answer.status_code == 200
    assert "holds a script" in text(answer)
    assert not MakersMark.objects.exists()
    assert "Choose the file of the mark" in text(
        desk.post(reverse("workshop-mark"), {})
    )


def test_a_mark_whose_file_is_gone_is_told_of_on_the_label(
    desk, bottles, card, settings
):
    give(desk, reverse("workshop-mark"))
    path_of(settings.HOME, MakersMark.objects.get().sha256).unlink()
    assert "The file of the mark mark.svg is gone" in text(page(desk, bottles))
    assert give(desk, reverse("workshop-mark")).status_code == 302
    assert "M0 10L10 0" in text(page(desk, bottles))


def test_name_scent_and_design_come_from_the_card(desk, bottles, card):
    where = reverse("label-card", args=[bottles.item_id])
    assert "soap 250" in words(pdf(desk, bottles, print="one"))[0]
    desk.post(where, CARD | {"product": "Tide", "scent": "Cedar", "layout": "pair"})
    front, *_ = words(pdf(desk, bottles, print="one", width="80", height="120"))
    assert "Tide" in front
    assert "Cedar" in front
    assert LabelCard.objects.get().layout == "pair"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"shelf": "4006381333932"}, "its last figure would be 1"),
        ({"estimated": "on", "declared": "4 mL"}, "5 g or mL to 10 kg or L"),
        ({"product": "海"}, "has no sign"),
    ],
)
def test_what_cannot_be_printed_is_refused_on_the_card(
    desk, bottles, card, typed, says
):
    answer = desk.post(reverse("label-card", args=[bottles.item_id]), CARD | typed)
    assert answer.status_code == 200
    assert says in text(answer)


def test_a_roll_is_added_by_three_numbers(desk):
    desk.post(reverse("sheet-add-roll"), {"width": "50", "height": "80", "gap": "3"})
    assert str(Sheet.objects.get()) == "roll of 50 x 80 mm"
    refused = desk.post(reverse("sheet-add-roll"), {"width": "0", "height": "80"})
    assert "counts above 0" in text(refused)


def test_a_sheet_is_moved_and_its_ruler_page_with_it(desk):
    desk.post(reverse("sheet-add"), SHEET | {"moved_right": "-0.5", "moved_down": "1"})
    sheet = Sheet.objects.get()
    assert str(sheet) == "A4, 2 x 7 of 99.1 x 38.1 mm, 0.5 mm left, 1 mm down"
    with pdfplumber.open(
        io.BytesIO(desk.get(reverse("sheet-ruler", args=[sheet.pk])).content)
    ) as made:
        left = min(rect["x0"] for rect in made.pages[0].rects if rect["stroke"])
    assert left * 25.4 / 72 == pytest.approx(4.15, abs=0.05)
    far = desk.post(reverse("sheet-add"), SHEET | {"moved_right": "12"})
    assert "more than 10 mm" in text(far)


def test_several_lots_are_looked_at_and_printed_from_a_cell_on(desk, bottles, card):
    desk.post(reverse("sheet-add"), SHEET)
    sheet = Sheet.objects.get()
    asked = {"lots": "FILL-1 3\nfill-1 2", "start": "13"}
    shown = text(desk.get(reverse("sheet-lots", args=[sheet.pk]), asked))
    assert "3 of" in shown
    assert "soap 250" in shown
    made = words(desk.get(reverse("sheet-lots-pdf", args=[sheet.pk]), asked))
    assert [one.count("Batch FILL-1") for one in made[:2]] == [2, 3]
    bottles.refresh_from_db()
    assert bottles.labelled == today()


@pytest.mark.parametrize(
    ("lots", "says"),
    [
        ("FILL-1", "write the code of a lot, a space and how many"),
        ("FILL-1 0", "write the code of a lot, a space and how many"),
        ("NONE-9 3", "NONE-9"),
        ("FILL-1 20000", "1 to 10,000 labels"),
    ],
)
def test_lots_that_cannot_be_printed_lead_back_with_what_was_typed(
    desk,
    bottles,
    card,
    lots,
    says,
):
    desk.post(reverse("sheet-add"), SHEET)
    where = reverse("sheet-lots-pdf", args=[Sheet.objects.get().pk])
    answer = desk.get(where, {"lots": lots, "start": "1"})
    assert answer.status_code == 302
    shown = text(desk.get(answer.url))
    assert says in shown
    assert lots in shown


def test_a_stick_over_is_drawn_and_printed(desk, bottles, card):
    where = reverse("lot-stick-over", args=[bottles.code])
    assert 'width="40mm" height="15mm"' in text(desk.get(where))
    made = words(
        desk.get(reverse("lot-stick-over-pdf", args=[bottles.code]), {"labels": "4"})
    )
    assert made[0].count("FILL-1") == 4
    told = desk.get(where, {"words": "Now with olive oil", "width": "5"})
    assert "Make it 10 to 300 mm wide" in text(told)
    assert "Now with olive oil" in text(told)
