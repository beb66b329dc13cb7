"""The page of a fragrance's papers: written in percent, judged at a strength."""

import re
from decimal import Decimal
from html import unescape

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.fragrance.forms import ConstituentRow, DegreesField
from production.models import FragranceDocument
from tests import make
from tests.production.fragrance.test_fragrance_documents import note, scent
from tests.production.writing import holds, typed

pytestmark = pytest.mark.django_db

WRITTEN = {
    "edition": "Rev. 4",
    "dated": "2026-01-12",
    "flash_point": "62",
    "most": "1.5",
    "vanillin": "0.4",
    "on": "2026-03-03",
    "constituents-0-name": "Linalool",
    "constituents-0-share": "8.25",
    "constituents-1-name": "Citral",
    "constituents-1-share": "0.5",
}


def address(code="FRA-1"):
    return reverse("lot-fragrance", args=[code])


def words(answer):
    text = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", unescape(text))


@pytest.mark.parametrize(
    ("typed_in", "degrees"),
    [("93", "93"), ("93.5 C", "93.5"), ("200 F", "93.3"), ("140 °F", "60"), ("", None)],
)
def test_a_flash_point_in_either_scale(typed_in, degrees):
    """By hand: (200 - 32) x 5 / 9 = 93.3."""
    field = DegreesField(required=False)
    assert field.clean(typed_in) == (degrees and Decimal(degrees))


@pytest.mark.parametrize("typed_in", ["above 93", "9300", "-80"])
def test_what_is_no_flash_point_is_refused(typed_in):
    with pytest.raises(ValidationError):
        DegreesField().clean(typed_in)


def test_small_percents_are_read_as_printed():
    share = ConstituentRow.base_fields["share"]
    assert share.clean("0.05") == Decimal("0.0005")
    with pytest.raises(ValidationError):
        share.clean("150")


def test_the_page_keeps_every_promise(desk):
    scent()
    bad = {"constituents-1-share": "95"}
    answer = holds(desk, address(), WRITTEN, bad, "add up to 103.25 %")
    assert answer.url == address()
    row = FragranceDocument.objects.get()
    assert (row.most, row.vanillin) == (Decimal("0.015"), Decimal("0.004"))
    assert row.flash_point == Decimal(62)
    assert dict(row.constituents.values_list("inci", "share")) == {
        "Linalool": Decimal("0.0825"),
        "Citral": Decimal("0.005"),
    }
    said = words(desk.get(address()))
    assert "Rev. 4 is in force, dated 2026-01-12" in said
    assert "Flash point 62 °C: let the soap cool well below it" in said
    assert "Linalool 8.25 %" in said


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"edition": ""}, "required"),
        ({"constituents-1-name": "linalool"}, "linalool is written twice"),
        ({"constituents-1-share": ""}, "Write how many percent"),
        ({"constituents-1-name": ""}, "Write what it is"),
        ({"flash_point": "hot"}, "hot is no temperature"),
        ({"dated": "2026-03-04"}, "after 2026-03-03"),
    ],
)
def test_a_refusal_says_why_and_writes_nothing(desk, sent, says):
    scent()
    answer = desk.post(address(), typed(desk.get(address())) | WRITTEN | sent)
    assert says in words(answer)
    assert not FragranceDocument.objects.exists()


def test_the_next_edition_starts_from_the_one_in_force(desk):
    lot = scent()
    note(lot, "3", most=Decimal("0.02"), constituents={"Citral": Decimal("0.005")})
    sent = typed(desk.get(address()))
    assert sent["edition"] == ""
    assert sent["most"] == "2"
    assert sent["constituents-0-name"] == "Citral"
    answer = desk.post(address(), sent | {"edition": "4", "on": "2026-03-09"})
    assert answer.status_code == 302
    said = words(desk.get(address()))
    assert "4 is in force" in said
    assert FragranceDocument.objects.count() == 2
    assert said.count("Citral 0.5 %") == 2


def test_the_limits_are_checked_at_the_strength_it_is_used_at(desk):
    lot = scent()
    note(lot, most=Decimal("0.015"), vanillin=Decimal("0.2"), flash_point=Decimal(62))
    assert "safety assessor decides" not in words(desk.get(address()))
    answer = desk.get(address(), {"share": "2", "warmth": "60"})
    said = words(answer)
    assert (
        "FRA-1 is 2 % of the finished soap; its document allows at most 1.5 %" in said
    )
    assert "expect it to turn brown" in said
    assert "The soap at 60 °C is too near the flash point" in said
    assert "A qualified safety assessor decides" in said
    assert "is no temperature" in words(
        desk.get(address(), {"share": "2", "warmth": "x"})
    )


def test_a_lot_leads_there_only_if_it_is_a_fragrance(desk):
    scent()
    make.lot("OIL-1")
    assert address() in desk.get(reverse("lot", args=["FRA-1"])).content.decode()
    assert (
        "/fragrance/" not in desk.get(reverse("lot", args=["OIL-1"])).content.decode()
    )
    said = desk.get(address("OIL-1"))
    assert "It is no fragrance" in words(said)
    assert "Write the document" not in words(said)


def test_a_blend_is_told_by_its_parts(desk):
    first, second = scent("FRA-1"), scent("FRA-2")
    note(first, most=Decimal("0.005"))
    make.batch(
        "preparation",
        uses=[(first, "60"), (second, "40")],
        makes="house blend",
        amount="100",
        code="BLEND",
    )
    said = words(desk.get(address("BLEND"), {"share": "2"}))
    assert "FRA-1 60 %" in said
    assert "FRA-2 40 % none written" in said
    assert "FRA-1 is 1.2 % of the finished soap" in said
    assert "is written for FRA-2" in said


def test_the_page_asks_the_same_for_2_documents_and_for_5(desk):
    lot = scent()

    def asked():
        with CaptureQueriesContext(connection) as questions:
            assert desk.get(address()).status_code == 200
        return len(questions)

    for number in range(2):
        note(lot, f"{number}", constituents={"Citral": Decimal("0.1")})
    few = asked()
    for number in range(2, 5):
        note(lot, f"{number}", constituents={"Citral": Decimal("0.1")})
    assert asked() == few
