"""The formula of a paste on its page: worked out as it is typed, with and without
scripts, and nothing lost to a refusal."""

import re
from decimal import Decimal as D
from html import unescape

import pytest
from django.urls import reverse

from production.models import ReferenceOil, Version
from production.recipes.actions.formulas import NewVersionLine
from production.recipes.domain.limits import NewCheck
from tests import make
from tests.once import remembered
from tests.production.writing import typed

PREVIEW = reverse("recipe-preview", args=["cook"])
URL = f"{reverse('recipe-write')}?stage=cook"


def oil(name, key):
    return make.item(name, category="oil", oil=ReferenceOil.objects.get(key=key))


@pytest.fixture
@remembered
def shelf(db):
    return {
        "olive": oil("olive oil", "olive-oil"),
        "coconut": oil("coconut oil", "coconut-oil"),
        "castor": oil("castor oil", "castor-oil"),
        "paste": make.item("paste", kind="made"),
        "koh": make.koh("0.9", code="K1"),
    }


def sheet(shelf, **changes):
    """600 g olive, 300 g coconut, 100 g castor, typed in percent."""
    form = {
        "name": "Winter",
        "makes": str(shelf["paste"].pk),
        "superfat": "3",
        "water_per_alkali": "2.2",
        "lines-0-item": str(shelf["olive"].pk),
        "lines-0-share": "60",
        "lines-1-item": str(shelf["coconut"].pk),
        "lines-1-share": "30",
        "lines-2-item": str(shelf["castor"].pk),
        "lines-2-share": "10",
        "on": "2026-03-02",
    }
    return form | {name.replace("__", "-"): value for name, value in changes.items()}


def answer(desk, shelf, **changes):
    sent = typed(desk.get(URL)) | sheet(shelf, **changes)
    return desk.post(PREVIEW, sent)


def text(reply):
    """What a reader sees, without the marks."""
    words = re.sub(r"<[^>]+>", "", unescape(reply.content.decode()))
    return " ".join(words.split())


def test_what_is_typed_is_worked_out(desk, shelf):
    """The three oils of SV 190, 256.5 or what the table uses: KOH = D x 0.97 / 0.9."""
    reply = answer(desk, shelf)
    cooked = reply.context["cooked"]
    share = {"olive": D("0.6"), "coconut": D("0.3"), "castor": D("0.1")}
    demand = sum(share[name] * shelf[name].oil.sv for name in share)
    by_hand = demand * D("0.97") / D("0.9")
    # Down to the milligram: no balance is named.
    assert 0 <= by_hand - cooked.result.koh_weighed < D("0.001")
    assert str(round(by_hand, 1)) in text(reply)
    assert not Version.objects.exists()


def test_without_scripts_a_button_shows_the_same_and_writes_nothing(desk, shelf):
    sent = typed(desk.get(URL)) | sheet(shelf, name="") | {"work-out": "yes"}
    reply = desk.post(URL, sent)
    assert reply.status_code == 200
    assert "What the soap will be like" in text(reply)
    assert "This field is required" not in text(reply)
    assert {n: typed(reply)[n] for n in sent if n in typed(reply)} == {
        n: v for n, v in sent.items() if n in typed(reply)
    }
    assert not Version.objects.exists()


def test_the_weights_say_the_shares(desk, shelf):
    weights = {
        f"lines__{at}__{name}": value
        for at, grams in enumerate(["600 g", "0.3 kg", "100"])
        for name, value in (("share", ""), ("weight", grams))
    }
    cooked = answer(desk, shelf, **weights).context["cooked"]
    assert [line.share for line in cooked.lines] == [D("0.6"), D("0.3"), D("0.1")]
    assert [line.grams for line in cooked.lines] == [600, 300, 100]


def test_one_oil_left_open_takes_the_rest(desk, shelf):
    cooked = answer(desk, shelf, lines__0__share="").context["cooked"]
    assert cooked.lines[0].share == D("0.6")


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"lines__0__share": "50"}, "10 % less than the whole"),
        ({"lines__0__share": "120"}, "more than the whole"),
        ({"lines__0__share": "-5"}, "below zero"),
        ({"lines__0__weight": "600"}, "one of both"),
        ({"loss": "-5"}, "below zero"),
        ({"loss": "100"}, "Write a loss below 100 %"),
        ({"rest_days": "9999999999"}, "less than or equal to 3650"),
        ({"superfat": ""}, "Write the superfat: none is assumed"),
        ({"superfat": "-3"}, "declare the lye excess"),
        ({"koh_purity": "0.9"}, "Is 0.9 % meant, or 90 %?"),
        ({"lye_strength": "30"}, "Set the lye water once"),
        ({"koh_share": "80"}, "purity of the NaOH"),
        ({"alkali_lot": "NO-SUCH"}, "NO-SUCH"),
    ],
)
def test_bad_input_gets_a_sentence(desk, shelf, changes, says):
    sent = typed(desk.get(URL)) | sheet(shelf, **changes) | {"work-out": "yes"}
    assert says in text(desk.post(URL, sent))


def test_a_floor_is_told_apart_from_a_value(desk, shelf):
    floor = {"koh_purity": "85", "koh_basis": "minimum"}
    reply = answer(desk, shelf, **floor)
    assert "It may be lye-heavy" in text(reply)
    assert "at least 85 % pure" in text(reply)
    assert "the test decides" in text(answer(desk, shelf, koh_purity="85"))


def test_an_oil_without_values_is_named(desk, shelf):
    made_up = make.item("mystery oil", category="oil")
    reply = answer(desk, shelf, lines__0__item=str(made_up.pk))
    assert "mystery oil has no saponification value" in text(reply)


def test_the_preview_costs_at_most_thirteen_queries_more(
    desk, shelf, django_assert_max_num_queries
):
    sent = typed(desk.get(URL)) | sheet(shelf)
    with django_assert_max_num_queries(2 + 13):
        assert desk.post(PREVIEW, sent).context["cooked"]


def test_thirty_oils_cost_as_many_queries_as_three(
    desk, shelf, django_assert_max_num_queries
):
    rows = {"lines-TOTAL_FORMS": "30"}
    for at in range(30):
        some = oil(f"olive oil, press {at}", "olive-oil")
        rows |= {f"lines-{at}-item": str(some.pk), f"lines-{at}-weight": "10"}
    sent = typed(desk.get(URL)) | sheet(shelf) | {f"lines-{n}-share": "" for n in "012"}
    with django_assert_max_num_queries(2 + 13):
        assert desk.post(PREVIEW, sent | rows).context["cooked"]


def test_what_goes_in_the_lye_and_the_checks_are_written(desk, shelf):
    glycerin = make.item("glycerin", category="additive")
    sent = typed(desk.get(URL)) | sheet(
        shelf,
        lines__3__item=str(glycerin.pk),
        lines__3__share="5",
        lines__3__goes_in="lye",
        checks__0__what="pH",
        checks__0__low="9",
        checks__0__high="10.5",
    )
    assert desk.post(URL, sent).status_code == 302
    version = Version.objects.get()
    assert [line.goes_in for line in version.lines.all()] == ["", "", "", "lye"]
    check = version.checks.get()
    assert (check.what, check.low, check.high) == ("pH", 9, D("10.5"))
    page = text(desk.get(version.get_absolute_url()))
    assert "in the lye" in page
    assert "10.5" in page


def test_a_declared_excess_is_written_and_said(desk, shelf):
    sent = typed(desk.get(URL)) | sheet(shelf, superfat="-3", lye_excess="on")
    assert desk.post(URL, sent).status_code == 302
    page = text(desk.get(Version.objects.get().get_absolute_url()))
    assert "Lye excess, on purpose" in page


def test_the_next_version_keeps_what_goes_where(desk, shelf):
    glycerin = make.item("glycerin", category="additive")
    line = NewVersionLine
    first = make.version(
        lines=[line(shelf["olive"], D(1)), line(glycerin, D("0.05"), None, "lye")],
        superfat=D("0.03"),
        water_per_alkali=D("2.2"),
        checks=[NewCheck("free alkali", None, D("0.0005"))],
    )
    url = reverse("version-next", args=[first.pk])
    assert desk.post(url, typed(desk.get(url))).status_code == 302
    second = first.formula.versions.get(number=2)
    assert second.lines.last().goes_in == "lye"
    assert second.checks.get().high == D("0.0005")


def test_an_oil_is_exchanged_and_the_alkali_stays(desk, shelf):
    """Coconut for castor at the same saponification value of the blend."""
    line = NewVersionLine
    first = make.version(
        lines=[line(shelf["olive"], D("0.6")), line(shelf["castor"], D("0.4"))],
        superfat=D("0.03"),
        water_per_alkali=D("2.2"),
    )
    asked = {"out": shelf["castor"].pk, "into": shelf["coconut"].pk, "hold": "share"}
    page = desk.get(reverse("version-swap", args=[first.pk]), asked)
    assert [row.after for row in page.context["rows"]] == [D("0.6"), None, D("0.4")]
    following = desk.get(page.context["next"])
    rows = following.context["form"].rows["lines"].initial
    assert [row["item"] for row in rows] == [shelf["olive"].pk, shelf["coconut"].pk]
    held = desk.get(
        reverse("version-swap", args=[first.pk]), asked | {"hold": "alkali"}
    )
    said = text(held)
    assert "saponification value" in said


def test_two_versions_side_by_side(desk, shelf, django_assert_max_num_queries):
    line = NewVersionLine
    terms = {"superfat": D("0.03"), "water_per_alkali": D("2.2")}
    a = make.version(lines=[line(shelf["olive"], D(1))], **terms)
    b = make.version(
        lines=[line(shelf["olive"], D("0.7")), line(shelf["coconut"], D("0.3"))],
        **terms,
    )
    with django_assert_max_num_queries(20):
        page = desk.get(reverse("compare"), {"a": a.pk, "b": b.pk})
    rows = {row.name: row for row in page.context["found"].figures}
    koh = rows["Potassium hydroxide"]
    more = D("0.3") * (shelf["coconut"].oil.sv - shelf["olive"].oil.sv)
    assert abs(koh.difference - more * D("0.97") / D("0.9")) < D("0.002")
    assert page.context["found"].lines[1].a is None


@pytest.mark.parametrize(
    "changes",
    [
        {"alkali_lot": "NO-SUCH"},
        {"koh_purity": "0.9"},
        {"koh_share": "120"},
        {"loss": "-5"},
        {"oils": "-1"},
        {"lye_strength": "30"},
        {"superfat": "-2"},
    ],
)
def test_what_is_not_understood_is_never_passed_over_in_the_figures(
    desk, shelf, changes
):
    reply = answer(desk, shelf, **changes)
    assert "cooked" not in reply.context
    assert reply.context["missing"]


def test_an_alkali_is_no_line_and_an_oil_stands_once(desk, shelf):
    alkali = answer(
        desk,
        shelf,
        lines__3__item=str(shelf["koh"].item.pk),
        lines__3__share="20",
    )
    assert "the alkali is worked out" in alkali.context["missing"]
    twice = answer(desk, shelf, lines__1__item=str(shelf["olive"].pk))
    assert "stands twice" in twice.context["missing"]
    late = answer(desk, shelf, lines__0__goes_in="late")
    assert "it goes in with the rest" in late.context["missing"]
