"""The ingredient list of a real lot on a page."""

from django.urls import reverse

from tests import make
from tests.labels.test_declare_lot import oil


def test_the_list_follows_the_chosen_rules(desk):
    oil = make.lot("OIL-1", item=make.item("olive oil", category="oil"))
    path = reverse("lot-ingredients", args=[oil.code])
    us = desk.get(path, {"rules": "us", "basis": "added"}).content.decode()
    assert "Olea Europaea (Olive) Fruit Oil" in us
    eu = desk.get(path, {"rules": "eu"}).content.decode()
    assert "Olea Europaea Fruit Oil" in eu


def test_what_is_not_known_is_asked_for(desk):
    oil = make.lot("OIL-1", item=make.item("grandmother's fat", category="oil"))
    path = reverse("lot-ingredients", args=[oil.code])
    page = desk.get(path, {"rules": "eu"}).content.decode()
    assert "label name" in page
    finished = desk.get(path, {"rules": "us"}).content.decode()
    assert "saponification value" in finished


def test_each_line_opens_with_why_here_why_so_named_and_from_which_lots(desk):
    scent = make.item("kelp", category="fragrance", own_inci="Parfum")
    base = make.item("glycerin", category="additive")
    uses = [(make.lot("GLY", item=base), "95"), (make.lot("SC", item=scent), "5")]
    make.batch("finishing", uses=uses, amount="100", code="SOAP")
    path = reverse("lot-ingredients", args=["SOAP"])
    shown = desk.get(path, {"rules": "eu"})
    assert [line.name for line in shown.context["made"].lines] == ["Glycerin", "Parfum"]
    page = " ".join(shown.content.decode().split())
    assert page.count("<details><summary>") == 2
    assert "1 % or more, in order of weight (Regulation" in page
    assert reverse("lot", args=["GLY"]) in page
    assert "A label with this list is a draft." in page
    assert "SC (kelp) has no document" in page
    us = desk.get(path, {"rules": "us"}).content.decode()
    assert "is a draft" not in us


def test_where_a_soap_has_no_name_the_ways_on_are_links(desk):
    rice = oil("rice bran oil", 1000, key="rice-bran-oil")
    water = make.lot("TAP", item=make.item("water", category="water"))
    uses = [(rice, "1000"), (make.koh(code="KOH"), "180"), (water, "400")]
    make.batch("cook", uses=uses, makes="paste", amount="1580", code="P")
    path = reverse("lot-ingredients", args=["P"])
    page = desk.get(path, {"rules": "us"}).content.decode()
    assert reverse("item-change", args=[rice.item_id]) in page
    assert "?rules=us&amp;basis=added" in page
    added = desk.get(path, {"rules": "us", "basis": "added"}).content.decode()
    assert "Oryza Sativa (Rice) Bran Oil" in added
