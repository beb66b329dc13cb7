"""The words of a label for a web shop: the same, and nothing beside them."""

import csv
import io

import pytest
from django.urls import reverse

from labels.domain.shop import as_plain_text, shop_facts
from tests.labels.test_label_facts import worded
from tests.labels.test_label_page import bottles, card  # noqa: F401 (fixtures)


@pytest.mark.parametrize("rules", ["us", "eu", "uk", "ca"])
def test_every_fact_is_one_of_the_label(rules):
    content = worded(rules)
    facts = shop_facts("Tideline 8 fl oz", content)
    text = as_plain_text(facts)
    assert f"Ingredients: {content.ingredients}" in text
    assert " ".join(content.net_contents) in text
    assert all(words for *_, words in facts)
    assert ("Responsible person" in text) == bool(content.responsible)


@pytest.mark.django_db
def test_the_page_and_the_file_say_the_same(desk, bottles, card):  # noqa: F811
    at = reverse("lot-shop", args=[bottles.code])
    shown = desk.get(at).content.decode()
    assert "Canola Oil" in shown
    got = desk.get(at, {"as": "csv"})
    assert got.headers["Content-Type"].startswith("text/csv")
    heads, words = csv.reader(io.StringIO(got.content.decode()))
    told = dict(zip(heads, words, strict=True))
    assert told["Net contents"] == "250 mL"
    assert told["Batch told of"] == "FILL-1"


@pytest.mark.django_db
def test_a_draft_is_not_downloaded(desk, bottles):  # noqa: F811
    got = desk.get(reverse("lot-shop", args=[bottles.code]), {"as": "csv"})
    assert got.headers["Content-Type"].startswith("text/html")
    assert "The label is a draft under these rules" in got.content.decode()
