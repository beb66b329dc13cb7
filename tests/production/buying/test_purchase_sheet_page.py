"""The page that reads purchases from a sheet: shown first, then written once."""

import os
import re
import time
from html import unescape

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.buying.files import purchase_template
from production.models import Deed, Lot, Purchase
from production.papers.files.sheets_in import MOST_BYTES, digest
from tests import make
from tests.production.buying.sheet_cases import HEAD, OIL, csv, opened, xlsx

URL = reverse("purchase-sheet")


@pytest.fixture(autouse=True)
def uploads(settings, tmp_path):
    settings.HOME = tmp_path
    return tmp_path / "uploads"


def sent(desk, raw, name="bought.xlsx"):
    answer = desk.post(URL, {"file": SimpleUploadedFile(name, raw)})
    assert answer.status_code == 200
    return unescape(answer.content.decode())


def token(page):
    return re.search(r'name="kept" value="([^"]+)"', page)[1]


def test_the_page_leads_to_the_sheet_to_fill_in(desk):
    assert reverse("purchase-sheet-template") in desk.get(URL).content.decode()
    assert URL in desk.get(reverse("purchases")).content.decode()
    answer = desk.get(reverse("purchase-sheet-template"))
    assert answer["Content-Disposition"] == 'attachment; filename="purchases.xlsx"'
    assert opened(answer)["A1"].value == "Date arrived"
    assert answer.content[:4] == purchase_template()[:4]


def test_what_was_understood_is_shown_before_anything_is_written(desk):
    head = (*HEAD, "Extra cost", "Extra amount", "Note")
    freight = ("", "", "", "", "", "", "", "freight", "2.50", "")
    before = make.book()
    page = sent(desk, csv((*OIL, "", "", "fine"), freight, head=head), "b.csv")
    page = " ".join(page.split())
    for words in (
        "This is what b.csv says. Nothing is written yet.",
        "Not read: Note.",
        "Northmere Oils, supplier",
        "olive oil, material, oil, kept in grams",
        "new code (5 kg)",
        "42.50",
        "freight, shared by weight",
        "Write the purchase",
    ):
        assert words in page
    assert make.book() == before


def test_the_button_writes_it_and_a_double_click_writes_it_once(desk, owner):
    kept = token(sent(desk, xlsx(OIL)))
    first, second = (desk.post(URL, {"kept": kept}) for _ in range(2))
    assert first.url == second.url == reverse("purchases")
    purchase = Purchase.objects.get()
    assert (purchase.number, purchase.deed.by) == ("NO-1", owner)
    # One deed for the card of the oil, one for its purchase.
    assert (Deed.objects.count(), Lot.objects.count()) == (2, 1)
    assert "NO-1 is in the book." in desk.get(first.url).content.decode()


def test_faults_stand_on_the_page_and_no_button_does(desk, uploads):
    page = sent(desk, xlsx((*OIL[:5], "much", "40")))
    assert "F2: much is not an amount" in page
    assert 'name="kept"' not in page
    assert not uploads.exists()


def test_a_thousand_faults_are_counted_and_the_first_are_shown(desk):
    page = sent(desk, csv(*[(*OIL[:5], "much", "40")] * 300))
    assert page.count("much is not an amount") == 200
    assert "Only the first 200 of 300 are shown." in page


def test_a_file_that_was_written_is_recognised(desk):
    raw = xlsx(OIL)
    desk.post(URL, {"kept": token(sent(desk, raw))})
    page = sent(desk, raw)
    assert "is in the book already. Nothing was added." in page
    assert Purchase.objects.get().get_absolute_url() in page
    assert 'name="kept"' not in page


def test_what_changed_since_it_was_shown_is_told(desk):
    kept = token(sent(desk, xlsx(OIL)))
    desk.post(URL, {"kept": token(sent(desk, csv(OIL)))})
    page = desk.post(URL, {"kept": kept}).content.decode()
    assert "C2: NO-1 is in the book already" in page
    assert Purchase.objects.count() == 1


@pytest.mark.parametrize("kept", ["", "rubbish", "W10:forged:mark"])
def test_a_token_that_is_not_ours_opens_nothing(desk, kept):
    page = desk.post(URL, {"kept": kept}).content.decode()
    assert "send it once again" in page


def test_a_sheet_is_kept_for_a_day_and_only_as_it_was_shown(desk, uploads):
    kept = token(sent(desk, xlsx(OIL)))
    (file,) = uploads.iterdir()
    assert file.name == digest(file.read_bytes())
    assert file.stat().st_mode & 0o077 == 0
    file.write_bytes(csv(OIL))
    page = desk.post(URL, {"kept": kept}).content.decode()
    assert "send it once again" in page
    yesterday = time.time() - 25 * 60 * 60
    os.utime(file, (yesterday, yesterday))
    sent(desk, csv((*OIL[:6], "41")))
    assert not file.exists()
    assert not Purchase.objects.exists()


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (b"%PDF-1.7\0", "neither an xlsx file nor csv text"),
        (b"x" * (MOST_BYTES + 1), "larger than 5 MB"),
        (b"", "empty"),
    ],
    ids=["pdf", "large", "empty"],
)
def test_a_file_that_is_no_sheet_is_refused(desk, raw, says):
    assert says in sent(desk, raw)


def test_no_file_is_asked_for(desk):
    assert "required" in desk.post(URL, {}).content.decode()


def test_words_of_a_sheet_are_never_drawn_as_a_page(desk):
    row = (*OIL[:3], "<script>alert(1)</script>", *OIL[4:])
    answer = desk.post(URL, {"file": SimpleUploadedFile("<b>.csv", csv(row))})
    page = answer.content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert" in page


def test_the_page_asks_the_same_for_2_rows_and_for_25(desk):
    def asked(rows):
        lots = [
            ("2026-03-02", "N", f"NO-{n}", f"oil {n}", "material", "1 kg", "3")
            for n in range(rows)
        ]
        with CaptureQueriesContext(connection) as questions:
            sent(desk, csv(*lots))
        return len(questions)

    assert asked(2) == asked(25)
