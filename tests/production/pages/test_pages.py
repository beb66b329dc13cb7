"""Every page: behind the door, under the policy, in a fixed number of queries."""

import re
from copy import deepcopy

import pytest
from django.template.loader import render_to_string
from django.urls import reverse

from production.models import Stage
from production.workshop.actions.cards import set_up_workshop
from tests import make
from tests.once import built_once
from tests.production.pages.workshop_of_pages import (
    LISTS,
    SORTED,
    a_workshop,
    add_more,
    address,
    asked,
    long_papers,
    names,
)

OPEN_TO_ALL = {"login", "splash", "healthz"}
# They answer what was typed so far.
ANSWERS = {
    "recipe-preview",
    "run-superfat",
    "batch-superfat",
    "day-superfat",
    "scents-superfat",
}
INLINE = re.compile(
    r"<style|<script(?![^>]*\ssrc=)|\sstyle=|\son(click|load|change|submit|error)\s*=",
    re.IGNORECASE,
)


@pytest.mark.parametrize("stage", Stage.values)
def test_every_stage_has_its_page_and_its_recipe_form(desk, stage):
    run = desk.get(reverse("batch-run", args=[stage]))
    recipe = desk.get(reverse("recipe-write"), {"stage": stage})
    assert run.status_code == recipe.status_code == 200
    assert not INLINE.search(run.content.decode() + recipe.content.decode())


built = built_once(a_workshop)


@pytest.fixture
def there(built, db):
    return deepcopy(built)


class TestEveryPage:
    @pytest.mark.parametrize("name", names())
    def test_every_page_opens_and_carries_nothing_inline(self, desk, there, name):
        where = address(name, there)
        # A sheet of nothing planned leads back to where it is planned.
        answer = desk.post(where) if name in ANSWERS else desk.get(where, follow=True)
        assert answer.status_code == 200
        assert "default-src 'self'" in answer["Content-Security-Policy"]
        # One of them is a spreadsheet, not text.
        assert not INLINE.search(answer.content.decode(errors="replace"))

    @pytest.mark.parametrize("name", names())
    def test_no_page_opens_without_signing_in(self, client, owner, there, name):
        answer = client.get(address(name, there))
        if name in OPEN_TO_ALL:
            assert answer.status_code == 200
        else:
            assert answer.status_code == 302
            assert answer.url.startswith(reverse("login"))

    def test_a_page_asks_the_same_for_2_rows_and_for_9(self, desk, there):
        there |= {"spring": make.lot("SPRING")}
        urls = [address(name, there) for name in LISTS]
        urls += [reverse("lot", args=["SPRING"]), f"{reverse('trace')}?lot=SPRING"]
        for number in range(2):
            add_more(there, number)
        few = asked(desk, urls)
        for number in range(2, 9):
            add_more(there, number)
        many = asked(desk, urls)
        assert dict(zip(urls, few, strict=True)) == dict(zip(urls, many, strict=True))

    def test_a_paper_asks_the_same_for_2_lines_and_for_9(self, desk, there):
        assert asked(desk, long_papers(there, 2)) == asked(desk, long_papers(there, 25))

    @pytest.mark.parametrize("name", SORTED)
    def test_a_list_sorts_by_every_heading_and_narrows_by_every_box(
        self, desk, there, name
    ):
        page = desk.get(reverse(name))
        for column in page.context["table"].columns:
            if column.orderable:
                answer = desk.get(reverse(name), {"sort": f"-{column.name}"})
                assert answer.context["table"].order_by == (f"-{column.name}",)
                assert "listed" in answer.content.decode()
        for box in page.context["filters"].form:
            choices = getattr(box.field, "choices", [("2030-01-01", "")])
            for value, _ in choices:
                assert desk.get(reverse(name), {box.name: value}).status_code == 200
        found = desk.get(reverse(name), {"find": "no such words"})
        assert "Nothing matches what you asked for" in found.content.decode()

    @pytest.mark.parametrize("name", ["batch-use", "batch-run"])
    def test_cautions_stand_where_lye_is_weighed(self, desk, there, name):
        page = desk.get(address(name, there)).content.decode()
        for words in (
            "safety data sheet",
            "Goggles",
            "Never water onto alkali",
            "aluminium",
        ):
            assert words in page


def test_a_list_sorts_narrows_and_pages(desk):
    for number in range(30):
        make.lot(f"N{number:02}", grams=f"{number + 1}")
    first = desk.get(reverse("lots"), {"sort": "on_hand"}).content.decode()
    assert "N00" in first
    assert "N29" not in first
    second = desk.get(reverse("lots"), {"sort": "on_hand", "page": 2}).content.decode()
    assert "N29" in second
    found = desk.get(reverse("lots"), {"find": "N17"}).content.decode()
    assert "N17" in found
    assert "N18" not in found


def test_an_empty_list_leads_to_what_would_fill_it(desk):
    page = desk.get(reverse("purchases")).content.decode()
    assert "Nothing was bought yet." in page
    assert page.count(f'href="{reverse("purchase-record")}"') == 2


def test_the_splash_page_shows_the_emergency_numbers_to_anybody(client, db):
    set_up_workshop(name="Wrackline", emergency="Poison help 555-0100")
    page = client.get(reverse("splash")).content.decode()
    assert "Poison help 555-0100" in page
    assert reverse("splash") in client.get(reverse("login")).content.decode()


@pytest.mark.parametrize("stage", ["preparation", "rework"])
def test_cautions_stand_on_lye_stock_and_rework(desk, stage):
    page = desk.get(reverse("batch-run", args=[stage])).content.decode()
    assert "Never water onto alkali" in page


def test_no_caution_where_no_lye_is_weighed(desk):
    page = desk.get(reverse("batch-run", args=["filling"])).content.decode()
    assert "Never water onto alkali" not in page


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("NOPE", "There is no lot NOPE"),
        ("3K7Q-5", "is mistyped"),
    ],
)
def test_a_code_that_is_not_there_is_told_apart_from_a_mistyped_one(desk, typed, says):
    assert says in desk.get(reverse("trace"), {"lot": typed}).content.decode()


def test_a_code_from_outside_is_looked_up_as_it_stands(desk):
    make.lot("3K7Q-5")
    page = desk.get(reverse("trace"), {"lot": "3K7Q-5"}).content.decode()
    assert "mistyped" not in page
    assert "Nothing: it came from outside." in page


def test_a_page_that_is_not_there_says_so_in_house_words(desk):
    answer = desk.get("/nowhere/")
    assert answer.status_code == 404
    assert "Nothing stands under this address" in answer.content.decode()


def test_what_was_typed_is_read_back(desk):
    read = desk.get(
        reverse("echo-amount"),
        {"uses-0-amount": "2 lb 3 oz"},
        headers={"HX-Request": "true", "HX-Trigger-Name": "uses-0-amount"},
    )
    assert "992.233" in read.content.decode()
    make.koh(code="K1")
    named = desk.get(
        reverse("echo-lot"),
        {"uses-0-lot": "K1"},
        headers={"HX-Request": "true", "HX-Trigger-Name": "uses-0-lot"},
    )
    assert "potassium hydroxide" in named.content.decode()


def test_a_code_with_a_slash_has_its_pages(desk):
    made = make.lot("AB-12")
    # As a book of earlier days may hold it.
    type(made).objects.filter(pk=made.pk).update(code="AB/12 #3")
    for name in ("lot", "lot-count", "lot-release"):
        assert desk.get(reverse(name, args=["AB/12 #3"])).status_code == 200


@pytest.mark.parametrize("name", ["400", "403", "403_csrf", "404", "429", "500", "503"])
def test_a_page_for_a_bad_day_needs_nothing_to_be_drawn(name):
    page = render_to_string(f"{name}.html")
    assert "<h1>" in page
    assert reverse("splash") in page
    assert not INLINE.search(page)


def test_there_are_no_raw_tables(desk, owner):
    """Who is what is told by deeds alone, and no page writes past them."""
    owner.is_staff = owner.is_superuser = True
    owner.save()
    for path in ("/admin/", "/admin/production/lot/", "/admin/auth/user/"):
        assert desk.get(path).status_code == 404
    assert "/admin/" not in desk.get(reverse("workshop")).text


def test_a_password_is_changed(desk, owner):
    owner.set_password("kettle-book-1")
    owner.save()
    desk.force_login(owner)
    sent = {"old_password": "kettle-book-1"}
    sent |= dict.fromkeys(["new_password1", "new_password2"], "kettle-book-2")
    assert desk.post(reverse("password"), sent).url == reverse("workshop")
    owner.refresh_from_db()
    assert owner.check_password("kettle-book-2")
