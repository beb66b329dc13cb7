"""Every material has a stated role; what changes it is an owner's deed with history."""

from html import unescape

import pytest
from django.core.management import call_command
from django.urls import reverse

from production.buying.actions.suppliers import ensure_supplier
from production.contents.reads.contents import materials_without_role
from production.models import Deed, Item, Restated
from production.record.reads.restated import history_of
from production.workshop.actions.cards import add_item, change_item
from production.workshop.actions.items import enter_item, restate_item
from production.workshop.reads.roles import role_of
from tests import make
from tests.production.writing import fill, typed

pytestmark = pytest.mark.django_db
CARD = {"kind": "material", "unit": "g"}


def enter(name, by=None, **facts):
    return enter_item(name=name, **make.act(by=by), **CARD | facts)


def told(item):
    return [
        (row.field, row.before, row.value)
        for row in Restated.objects.filter(of="item", row=item.pk)
    ]


class TestPackaging:
    """What it serves as stands on its card, and is never read off its name."""

    def test_the_card_says_it_and_its_page_shows_it(self, desk):
        bottle = enter("bottle 250", kind="packaging", unit="piece")
        page = desk.get(reverse("item", args=[bottle.pk])).content.decode()
        assert "Say what it serves as" in page
        fill(desk, reverse("item-change", args=[bottle.pk]), serves_as="container")
        page = desk.get(reverse("item", args=[bottle.pk])).content.decode()
        assert "<dt>Serves as</dt><dd>container</dd>" in page

    def test_nothing_else_serves_as_a_part_of_it(self, desk):
        url = reverse("item-add")
        sent = typed(desk.get(url)) | {"name": "salt", "category": "salt"}
        page = unescape(desk.post(url, sent | {"serves_as": "box"}).content.decode())
        assert "Only packaging serves as a container" in page
        assert 'value="salt"' in page
        assert not Item.objects.filter(name="salt").exists()


class TestAdding:
    def test_a_material_without_a_role_is_refused(self):
        with make.refused("Say what green clay is: choose its category."):
            enter("green clay")

    def test_packaging_and_what_is_made_here_need_none(self):
        assert enter("bottle 250", kind="packaging", unit="piece").category == ""
        assert enter("brine", kind="made", category="salt").category == "salt"
        assert enter("hand wash", kind="made").category == ""

    @pytest.mark.parametrize(
        ("name", "which"),
        [
            ("caustic potash", "KOH"),
            ("Kaliumhydroxid", "KOH"),
            ("Soda caustica", "NaOH"),
        ],
    )
    def test_a_name_that_burns_enters_as_alkali(self, name, which):
        item = enter(name, by=make.maker())
        assert (item.category, item.alkali, role_of(item)) == (
            "alkali",
            which,
            "alkali",
        )
        assert ("category", "", "alkali") in told(item)

    def test_a_label_name_or_a_number_says_it_too(self):
        assert enter("flakes 25", own_inci="Potassium Hydroxide").alkali == "KOH"
        assert enter("drain flakes (1310-73-2)").alkali == "NaOH"

    def test_a_lye_that_does_not_say_which_is_asked(self):
        with make.refused("Say which alkali it is, KOH or NaOH."):
            enter("lye")
        assert enter("lye", alkali="NaOH").category == "alkali"

    def test_a_maker_does_not_call_it_something_else(self):
        with make.refused(
            "caustic potash is the name of a strong alkali (KOH), and would burn: give "
            "it the category alkali, KOH.",
            "an owner says so, with the reason",
        ):
            enter("caustic potash", by=make.maker(), category="additive")
        with make.refused("potash may be the name of"):
            enter("potash", by=make.maker(), category="salt")
        with make.refused("the name of a strong alkali (KOH)"):
            enter("caustic potash", category="alkali", alkali="NaOH", by=make.maker())

    def test_an_owner_says_otherwise_with_a_reason_that_is_kept(self):
        with make.refused("Write the reason for"):
            enter("potash", category="salt")
        item = enter(
            "potash", category="salt", reason="potassium carbonate for the garden"
        )
        assert (item.category, item.alkali, role_of(item)) == ("salt", "", "material")
        [row] = [row for row in history_of("item", item.pk) if row.field == "category"]
        assert row.deed.reason == "potassium carbonate for the garden"
        assert row.says == "category: salt"

    def test_no_door_behind_the_pages_enters_it_otherwise(self):
        with make.refused("the name of a strong alkali"):
            add_item(name="Natronlauge", category="additive")

    def test_a_form_sent_twice_adds_one_card(self):
        facts = {"name": "citrate", "category": "salt", **CARD, **make.act()}
        assert make.sent_twice(enter_item, **facts).name == "citrate"


class TestChanging:
    def test_anybody_states_what_is_missing(self):
        item = make.item("green clay")
        assert role_of(item) == ""
        restate_item(item=item, category="colourant", **make.act(by=make.maker()))
        assert role_of(Item.objects.get()) == "material"
        assert told(item) == [("category", "", "colourant")]

    def test_a_tub_known_by_its_name_alone_is_an_alkali_before_anybody_says_so(self):
        item = make.item("potash lye")
        assert role_of(item) == "alkali"
        with make.refused("Only an owner may change what potash lye counts as"):
            restate_item(item=item, category="additive", **make.act(by=make.maker()))
        restate_item(
            item=item, category="alkali", alkali="KOH", **make.act(by=make.maker())
        )

    @pytest.mark.parametrize(
        "facts",
        [
            {"category": "additive", "alkali": ""},
            {"alkali": "NaOH"},
            {"needs_check": True},
            {"kind": "made"},
            {
                "name": "white flakes",
                "name_on_label": None,
                "category": "salt",
                "alkali": "",
            },
        ],
    )
    def test_only_an_owner_changes_what_was_stated_and_says_why(self, facts):
        item = make.koh().item
        with make.refused(
            "Only an owner may change what potassium hydroxide counts as"
        ):
            restate_item(item=item, **facts, **make.act(by=make.maker()))
        with make.refused("Write the reason for changing what"):
            restate_item(item=item, **facts, **make.act())
        restate_item(item=item, **facts, **make.act(reason="a typing slip"))
        assert {row[0] for row in told(item)} == set(facts)

    def test_a_label_name_that_makes_an_alkali_of_it_is_an_owners_deed(self):
        item = make.item("white flakes", category="additive")
        named = {"own_inci": "Sodium Hydroxide"}
        with make.refused("Only an owner may change what white flakes counts as"):
            restate_item(item=item, **named, **make.act(by=make.maker()))
        with make.refused("an owner does it on the item's page"):
            change_item(item=item, **named)

    def test_plain_facts_stay_plain(self):
        item = make.koh().item
        before = Deed.objects.count()
        restate_item(item=item, low_at=500, **make.act(by=make.maker()))
        assert Deed.objects.count() == before
        assert not told(item)

    def test_a_form_sent_twice_changes_once(self):
        item = make.koh().item
        make.sent_twice(
            restate_item, item=item, needs_check=True, **make.act(reason="x")
        )


class TestPages:
    def test_the_fault_stands_at_the_category(self, desk):
        sent = typed(desk.get(reverse("item-add"))) | {"name": "green clay"}
        page = unescape(desk.post(reverse("item-add"), sent).content.decode())
        assert "Say what green clay is: choose its category." in page
        assert 'value="green clay"' in page
        assert not Item.objects.exists()

    def test_a_name_that_burns_needs_no_more_than_its_name(self, desk):
        fill(desk, reverse("item-add"), name="Kaliumhydroxid")
        item = Item.objects.get()
        assert (item.category, item.alkali) == ("alkali", "KOH")

    def test_a_double_click_adds_one_card_and_shows_it(self, desk):
        url = reverse("item-add")
        sent = typed(desk.get(url)) | {"name": "citrate", "category": "salt"}
        first, second = desk.post(url, sent), desk.post(url, sent)
        assert first.url == second.url == Item.objects.get().get_absolute_url()

    def test_an_item_without_a_role_asks_for_it_on_its_page(self, desk):
        item = make.item("green clay")
        page = desk.get(item.get_absolute_url()).content.decode()
        assert "not said: it is not used before somebody does" in page
        fill(desk, reverse("item-change", args=[item.pk]), category="colourant")
        page = unescape(desk.get(item.get_absolute_url()).content.decode())
        assert "not said: it is not used" not in page
        assert "ines, category: colourant" in page

    def test_the_history_says_who_when_and_why_the_newest_first(self, desk):
        item = make.koh().item
        for reason, check in (("it clumped", True), ("it did not", False)):
            restate_item(item=item, needs_check=check, **make.act(reason=reason))
        page = unescape(desk.get(item.get_absolute_url()).content.decode())
        first, second = page.index("it did not"), page.index("it clumped")
        assert first < second
        assert "wait for a check on arrival: yes (before: no)" in page

    def test_what_an_owner_must_do_is_said_and_nothing_typed_is_lost(self, client):
        item = make.koh().item
        client.force_login(make.maker())
        url = reverse("item-change", args=[item.pk])
        sent = typed(client.get(url)) | {
            "category": "salt",
            "alkali": "",
            "low_at": "700",
        }
        page = unescape(client.post(url, sent).content.decode())
        assert "Only an owner may change what potassium hydroxide counts as" in page
        assert 'value="700"' in page


class TestBuying:
    def test_a_material_without_a_role_is_neither_bought_nor_opened(self, desk):
        item = make.item("green clay")
        ensure_supplier("Northmere Oils")
        for name, prefix in (("purchase-record", "lines-0-"), ("stock-open", "")):
            cells = {f"{prefix}item": str(item.pk), f"{prefix}amount": "5 kg"}
            sent = typed(desk.get(reverse(name))) | cells
            page = unescape(desk.post(reverse(name), sent).content.decode())
            assert "Say what green clay is: choose its category." in page
        assert not item.lots.exists()

    def test_a_line_that_names_an_alkali_is_of_an_alkali(self, desk):
        item = make.item("cleaning powder", category="additive")
        for cell in ({"lines-0-item": str(item.pk), "lines-0-amount": "5 kg"}, {}):
            text = {"lines-0-text": "KOH, CAS 1310-58-3", "lines-0-price": "4"}
            sent = typed(desk.get(reverse("purchase-record"))) | cell | text
            page = unescape(
                desk.post(reverse("purchase-record"), sent).content.decode()
            )
            assert "KOH, CAS 1310-58-3 is the name of a strong alkali." in page
        assert not item.lots.exists()


PAST = """{"format": "kettlebook-history", "version": 1, "currency": "USD", "events": [
 {"type": "item", "name": "Natronlauge", "unit": "g", "kind": "material",
  "category": "additive"},
 {"type": "item", "name": "potash", "unit": "g", "kind": "material",
  "category": "salt", "not_alkali": true},
 {"type": "purchase", "date": "2026-01-05", "number": "PO-1", "supplier": "Northmere",
  "lines": [
   {"lot": "R1", "item": "green clay", "unit": "g", "amount": "5", "price": "2"},
   {"lot": "R2", "item": "Kaliumhydroxid", "unit": "g", "amount": "5", "price": "2"},
   {"lot": "R3", "item": "secret blend", "unit": "g", "amount": "5", "price": "2"}
  ]}]}"""


class TestImport:
    def test_a_past_may_lack_roles_and_import_lists_them(self, tmp_path, capsys):
        file = tmp_path / "past.json"
        file.write_text(PAST)
        call_command("import_history", str(file))
        assert capsys.readouterr().out.strip() == (
            "3 events were replayed. These materials have no role yet: green clay, "
            "secret blend; say what they are before they are used."
        )
        assert [item.name for item in materials_without_role()] == [
            "green clay",
            "secret blend",
        ]

    def test_what_burns_comes_in_as_alkali_unless_an_owner_said_otherwise(
        self, tmp_path, capsys
    ):
        file, back = tmp_path / "past.json", tmp_path / "back.json"
        file.write_text(PAST)
        call_command("import_history", str(file))
        roles = {item.name: (role_of(item), item.alkali) for item in Item.objects.all()}
        assert roles["Kaliumhydroxid"] == ("alkali", "KOH")
        assert roles["Natronlauge"] == ("alkali", "NaOH")
        assert roles["potash"] == ("material", "")
        call_command("export_history", str(back))
        assert '"category": "salt", "not_alkali": true' in back.read_text()
