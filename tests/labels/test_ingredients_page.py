"""The ingredient list of a real lot on a page."""

from django.urls import reverse

from tests import make


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
