"""Several lots on one sheet go out in one deed; each lot's labels are counted alone."""

import pytest
from django.urls import reverse

from config.audit import audit
from labels.models import IssuedLabel, Sheet
from tests.labels.ready_bottles import bottles, card, lot, second
from tests.labels.test_issue_labels import words_across
from tests.labels.test_label_page import text

__all__ = ["bottles", "card", "second"]

SHEET = {
    "page_width": "210",
    "page_height": "297",
    "label_width": "60",
    "label_height": "90",
    "columns": "3",
    "rows": "3",
    "left": "10",
    "top": "10",
    "gap_across": "0",
    "gap_down": "0",
}


@pytest.fixture
def sheet(db):
    return Sheet.objects.create(**SHEET)


LOTS = {"lots": "FILL-1 4\nFILL-2 3", "start": "1"}


def to(name, sheet):
    where = reverse(name, args=[sheet.pk])
    return f"{where}?lots=FILL-1+4%0AFILL-2+3&start=1"


def test_a_look_says_so_and_counts_nothing(desk, card, second, sheet):
    look = desk.get(to("sheet-lots-pdf", sheet))
    assert words_across(look.content).startswith("NOTISSUED")
    assert lot("FILL-1").labelled is None
    assert not IssuedLabel.objects.exists()


def test_issued_each_lot_has_its_row_and_all_of_them_one_file(
    desk, card, second, sheet
):
    assert "Issue and print the sheet" in text(desk.get(to("sheet-lots", sheet)))
    for _ in range(2):
        answer = desk.post(to("sheet-lots-issue", sheet), {"key": "s1"})
        assert answer.status_code == 302, text(answer)
    rows = IssuedLabel.objects.order_by("pk")
    assert [(str(row.lot), row.printed) for row in rows] == [
        ("FILL-1", 4),
        ("FILL-2", 3),
    ]
    assert len({row.sha256 for row in rows}) == 1
    file = desk.get(reverse("label-file", args=[rows[0].pk]))
    assert words_across(file.content) == ""
    assert lot("FILL-2").labelled
    assert [f for one in audit() for f in one.faults if "label" in f] == []


def test_a_draft_among_them_stops_all(desk, card, second, sheet):
    card.declared = ""
    card.save()
    answer = desk.post(to("sheet-lots-issue", sheet), {"key": "s1"})
    assert "draft and is not issued" in text(answer)
    assert not IssuedLabel.objects.exists()


def test_a_small_label_over_the_old_one_is_issued_and_proved_too(desk, card):
    asked = "?labels=4&words=Now+250+mL"
    where = reverse("lot-stick-over-issue", args=["FILL-1"]) + asked
    for _ in range(2):
        answer = desk.post(where, {"key": "over"})
        assert answer.status_code == 302, text(answer)
    (row,) = IssuedLabel.objects.all()
    assert (str(row.lot), row.printed) == ("FILL-1", 4)
    assert lot("FILL-1").labelled is not None
    assert [f for one in audit() for f in one.faults if "label" in f] == []


def test_a_claim_on_a_small_label_makes_a_draft_of_it(desk, card):
    where = reverse("lot-stick-over", args=["FILL-1"])
    assert "Issue them" in text(desk.get(where, {"words": "Now with olive oil"}))
    shown = text(desk.get(where, {"words": "Kills 99% of germs"}))
    assert "Issue them" not in shown
    assert "Kind of product" in shown
