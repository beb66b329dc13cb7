"""One label for the US and Canada only where both ask for the same words."""

import pytest
from django.urls import reverse

from labels.domain.agreement import one_label_for_both
from tests.labels.test_label_facts import ENGLISH, FRENCH, US, worded
from tests.labels.test_label_page import bottles, card  # noqa: F401 (fixtures)

ORIGIN = {"origin": "Made in Maine, USA"}
BILINGUAL = {"texts": (ENGLISH, FRENCH), "languages": ("en", "fr"), **ORIGIN}


def test_lists_that_differ_are_two_labels():
    reasons = one_label_for_both(worded("us"), worded("ca"))
    assert any("ingredient list: Water" in reason for reason in reasons)


def test_where_the_lists_agree_the_one_that_says_more_serves_both():
    # Both contents stand on the US label; both languages on it too.
    us = worded("us", **BILINGUAL)
    assert one_label_for_both(us, worded("ca", ingredients=US, **ORIGIN)) == ()


def test_one_language_serves_no_country_of_two():
    reasons = one_label_for_both(
        worded("us", **ORIGIN), worded("ca", ingredients=US, **ORIGIN)
    )
    assert "In the languages: one label has to speak those of both." in reasons


@pytest.mark.django_db
def test_the_page_names_the_reason_and_offers_both(desk, bottles, card):  # noqa: F811
    shown = desk.get(reverse("lot-both", args=[bottles.code])).content.decode()
    assert "Print two labels" in shown
    assert "?rules=us" in shown
    assert "?rules=ca" in shown
