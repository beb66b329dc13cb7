"""What to expect of fats: published rules, and the workshop's own in their place."""

from decimal import Decimal
from html import unescape

import pytest
from django.urls import reverse

from production.models import ReferenceRuleOfThumb, RuleOfThumb
from production.recipes.actions.rules_of_thumb import write_rule
from production.recipes.reads import rules_in_force as reads
from tests import make
from tests.production.writing import fill, typed

D = Decimal
OWN = {"topic": "prone to rancidity", "figure": "iodine_value", "low": "90"}


@pytest.fixture
def published(db):
    """One invented rule beside whatever ships."""
    return ReferenceRuleOfThumb.objects.create(
        key="an-invented-rule",
        topic="clear when diluted",
        figure="palmitic_stearic",
        low=D("0.25"),
        high=None,
        says="An invented haze.",
        source="A book, 1948",
        standing="secondary",
    )


def page(desk, name="hints", *args):
    shown = unescape(desk.get(reverse(name, args=args)).content.decode())
    return shown.replace("\N{NO-BREAK SPACE}", " ")


def test_the_list_says_when_each_rule_speaks_and_whence(desk, published):
    shown = page(desk)
    assert "An invented haze." in shown
    assert "Palmitic and stearic acid 25 % or more" in shown
    assert "A book, 1948" in shown


def test_a_rule_of_her_own_is_written_and_changed(desk):
    fill(desk, reverse("hint-write"), **OWN, high="120", says="Use it up in a year.")
    rule = RuleOfThumb.objects.get()
    assert (rule.low, rule.high, rule.instead_of) == (90, 120, None)
    assert rule.source == "common practice, no source"
    assert "Iodine value from 90 to below 120" in page(desk)
    url = reverse("hint-change", args=[rule.pk])
    assert typed(desk.get(url))["low"] == "90"
    fill(desk, url, figure="oleic", low="50 %", high="", source="our own batches")
    rule.refresh_from_db()
    assert (rule.low, rule.high, rule.source) == (D("0.5"), None, "our own batches")


def test_her_own_stands_in_place_of_a_published_one(desk, published):
    url = reverse("rule-replace", args=[published.pk])
    first = typed(desk.get(url))
    assert (first["low"], first["says"]) == ("25 %", "An invented haze.")
    fill(desk, url, low="15 %", says="Haze below 18 degrees.")
    own = RuleOfThumb.objects.get()
    assert (own.instead_of, own.low) == (published, D("0.15"))
    shown = page(desk)
    assert "Haze below 18 degrees." in shown
    assert "Instead of: palmitic and stearic acid 25 % or more: An invented haze." in (
        shown
    )
    published.refresh_from_db()
    assert published.low == D("0.25")
    answer = desk.post(url, first)
    assert "stands instead of" in unescape(answer.content.decode())


def test_a_published_rule_is_silenced_and_speaks_again(desk, published):
    fill(desk, reverse("rule-silence", args=[published.pk]), source="ours stay clear")
    own = RuleOfThumb.objects.get()
    assert (own.silent, own.source, own.low) == (True, "ours stay clear", D("0.25"))
    assert "silenced" in page(desk)
    fill(desk, reverse("hint-change", args=[own.pk]), silent="")
    own.refresh_from_db()
    assert not own.silent


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"low": "140", "high": "90"}, "lower limit is above"),
        ({"low": "many"}, "is not a number"),
        ({"figure": "oleic", "low": "140"}, "more than the whole"),
        ({"figure": "oleic", "low": "0.05"}, "Write it with the sign"),
        ({"says": ""}, "required"),
    ],
)
def test_a_rule_that_cannot_be_is_refused_and_kept(desk, facts, says):
    sent = typed(desk.get(reverse("hint-write"))) | OWN | {"says": "Soon."} | facts
    answer = desk.post(reverse("hint-write"), sent)
    assert says in unescape(answer.content.decode())
    assert typed(answer) == sent
    assert not RuleOfThumb.objects.exists()


def test_the_page_tells_who_changed_a_rule_and_what_it_was(desk, published):
    fill(desk, reverse("rule-silence", args=[published.pk]), source="ours stay clear")
    text = unescape(page(desk))
    assert "says nothing: yes" in text[text.index('id="history"') :]
    assert "ines" in text


def test_a_maker_is_asked_to_call_an_owner(client, owner, published):
    client.force_login(make.maker())
    url = reverse("rule-silence", args=[published.pk])
    text = unescape(client.post(url, {"source": "ours"}).content.decode())
    assert "Only an owner may silence or replace a rule" in text
    assert not RuleOfThumb.objects.exists()


def in_force():
    return {rule.key: rule for rule in reads.rules_in_force()}


def own(instead_of=None, **facts):
    return write_rule(
        **{
            "instead_of": instead_of,
            "topic": "clear when diluted",
            "figure": "palmitic_stearic",
            "low": D("0.15"),
            "high": None,
            "says": "Ours.",
            "source": "our own batches",
            **facts,
            **make.act(),
        }
    )


def test_the_rules_in_force(published, django_assert_num_queries):
    assert in_force()["an-invented-rule"].basis == "A book, 1948"
    mine = own(published)
    beside = own(says="Beside.")
    with django_assert_num_queries(2):
        found = in_force()
    assert "an-invented-rule" not in found
    rule = found[f"own-{mine.pk}"]
    assert (rule.low, rule.says, rule.basis) == (D("0.15"), "Ours.", "our own batches")
    assert found[f"own-{beside.pk}"].says == "Beside."


def test_a_silent_rule_says_nothing_and_neither_does_the_one_behind_it(published):
    own(published, silent=True)
    assert all("own" not in key and "invented" not in key for key in in_force())


@pytest.mark.parametrize("rows", [0, 12])
def test_the_list_asks_the_same_however_long(desk, rows, django_assert_num_queries):
    page(desk)
    for number in range(rows):
        own(says=f"Ours, {number}.")
    with django_assert_num_queries(7 if rows else 6):
        page(desk)
