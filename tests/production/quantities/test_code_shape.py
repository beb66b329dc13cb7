"""One shape for every code that people give, at every door; odd ones of an old book."""

from functools import partial
from urllib.parse import unquote, urlsplit

import pytest
from django.core.exceptions import ValidationError
from django.db.models import F
from django.urls import get_resolver, resolve, reverse

from production.batches.actions.batches import start_batch
from production.correcting.actions.putting_right.codes import give_proper_code
from production.correcting.actions.putting_right.deed import put_right
from production.correcting.actions.undoing import undo_deed
from production.exchange.actions.replaying import import_history
from production.models import Batch, CodeSeries, Lot
from production.pages.forms.fields import CodeField
from production.quantities.domain.code_shape import (
    LOOK_ALIKES,
    fault_of,
    in_address,
    keeps_shape,
    of_address,
    remark,
)
from production.quantities.domain.invisible import unseen
from production.quantities.domain.refusal import Refused
from production.record.domain.text import write
from production.stock.forms.fields import LotField
from production.stock.reads.lookup import find_lot
from tests import make
from tests.fuzz.bench import addresses
from tests.fuzz.nasties import CODES
from tests.make import act
from tests.once import remembered

GOOD = (
    *("L-1", "3K7Q-4", "B-3K7Q-4", "PASTE 7", "Öl.3", "a_b", "100%", "(x)", "x" * 40),
    *("МЫЛО-1", "石鹸-1", "ラベル7", "コード-1", "कोड-1", "\u05d0\u05d1-1"),
)
# Each with a word of the sentence that refuses it. The kinds by Unicode Standard Annex
# #31 and Technical Standard #39 (restriction levels, confusables), from memory.
ODD = {
    ".": "letter or digit",
    "..": "letter or digit",
    "--": "letter or digit",
    "a/b": "/",
    "a\\b": "\\",
    "a\nb": "cannot be seen",
    "a\x00b": "cannot be seen",
    "A\u200bB": "U+200B",
    "A\u00a0B": "U+00A0",
    "\u202eabc": "U+202E",
    "A\u2011B": "looks like",
    "A\u2013B": "plain keyboard",
    "\u0410BC-1": "Cyrillic and Latin",
    "\u0421\u041e\u041a-1": "COK-1",
    "\u0391\u0392": "AB",
    "\uff21\uff11": "Write A",
    "x\u00b2": "Write 2",
    "\u0663-a": "plain keyboard",
    # Default_Ignorable_Code_Point of Unicode Standard Annex #44, some from memory.
    "A\u1160": "cannot be seen (U+1160)",
    "A\u115f": "cannot be seen (U+115F)",
    "A\u3164": "cannot be seen (U+3164)",
    "A\uffa0": "cannot be seen (U+FFA0)",
    "A\u034f": "cannot be seen (U+034F)",
    "A\u17b4": "cannot be seen (U+17B4)",
    "A\ufe0f": "cannot be seen (U+FE0F)",
    "A\U000e0101": "cannot be seen (U+E0101)",
    "A\u2800": "cannot be seen (U+2800)",
    "\u0196-1": "looks like",
    "1\u30fc2": "looks like",
    "1\u4e282": "looks like",
    # Unicode Standard Annex #9, rules W7 and N1 (from memory).
    "1\u05d02": "drawn in another order",
    "1-\u0627": "drawn in another order",
    "e\u0301x": "looks like",
    "k\u0131": "Write i",
    "\u212a1": "Write K",
    "\U0001f9fc": "plain keyboard",
    "\ud800": "cannot be seen",
    " A": "no space",
    "A  B": "no space",
    "x" * 41: "40",
    "L1 (taken back)": "taken back",
}


@pytest.mark.parametrize("code", GOOD)
def test_a_code_of_good_shape(code):
    assert fault_of(code) == ""


@pytest.mark.parametrize("code", ODD)
def test_an_odd_code_is_refused_in_a_sentence(code):
    says = fault_of(code)
    assert ODD[code] in says
    assert says.endswith(".")
    assert not any(unseen(one) for one in says)


def test_look_alikes_are_one_letter_each_of_another_script():
    for one, like in LOOK_ALIKES.items():
        assert not one.isascii()
        assert like.isascii()
        assert like.isalpha()
        assert fault_of(one)


def test_what_was_taken_back_keeps_its_shape():
    assert keeps_shape("x" * 40 + " (taken back 2)")
    assert remark("L1 (taken back)") == ""


class TestEveryDoorAsks:
    pytestmark = pytest.mark.django_db

    @pytest.mark.parametrize("code", [code for code in ODD if code != " A"])
    def test_the_form(self, code):
        with pytest.raises(ValidationError):
            CodeField().clean(code)

    @pytest.mark.parametrize("code", ODD)
    def test_the_deed_of_a_lot(self, code):
        make.item()
        with pytest.raises(Refused):
            make.lot(code)

    @pytest.mark.parametrize("code", ODD)
    def test_the_deed_of_a_batch(self, code):
        with pytest.raises(Refused):
            start_batch(stage="preparation", code=code, **act(3))

    @pytest.mark.parametrize("code", [code for code in ODD if "\ud800" not in code])
    def test_a_history_file(self, code):
        event = {
            "type": "opening",
            "date": "2026-03-02",
            "item": {"name": "oil", "unit": "g"},
            "lot": code,
            "amount": "1",
        }
        with pytest.raises(Refused):
            import_history(text=write("USD", [event]))
        assert not Lot.objects.exists()


def with_a_code() -> list[str]:
    return [
        name
        for name, parts in addresses()
        if parts == {"code": "CodeConverter"} and not name.startswith("admin:")
    ]


# What no database keeps is no address either.
NEVER = ("a\x00b", "\ud800")
OLD = [
    *(code for code in (*CODES, *ODD) if not {"\x00", "\ud800"} & set(code)),
    "~41",
    "~",
    "lots/x/",
    "a/hold",
    "filled",
    "a?b#c",
    "%2F",
    "x\u0085y",
]


def test_no_path_takes_a_code_in_another_way():
    """A code in a path has the converter that carries every code."""
    for name, parts in addresses():
        if "code" in parts:
            assert parts["code"] == "CodeConverter", name
    assert len(with_a_code()) > 30
    assert get_resolver().resolve("/lots/L-1/").kwargs == {"code": "L-1"}


@pytest.mark.parametrize("code", OLD)
def test_no_address_is_broken_by_a_code(code):
    assert of_address(in_address(code)) == code
    for name in with_a_code():
        link = reverse(name, args=[code])
        # As a browser sends it and a server hands it on: no dots walked, one decoding.
        parts = urlsplit(link)
        assert parts.path == link
        assert not {".", "..", ""} & set(link.strip("/").split("/"))
        found = resolve(unquote(parts.path))
        assert (found.view_name, found.kwargs) == (name, {"code": code})


@pytest.mark.parametrize("code", NEVER)
def test_what_no_book_keeps_is_no_address(code):
    with pytest.raises(ValueError, match=r"empty character|decode"):
        of_address(in_address(code))


@pytest.mark.django_db
@pytest.mark.parametrize("typed", ["~eda080", "~00", "~f", "~zz", "~ff"])
def test_an_address_of_no_code_is_no_page(desk, typed):
    for path in (f"lots/{typed}/", f"batches/{typed}/", f"lots/{typed}/cost/"):
        assert desk.get(f"/{path}").status_code == 404
    page = desk.get(reverse("trace"), {"lot": typed})
    assert page.status_code == 200
    assert f"There is no lot {typed}" in page.content.decode()
    with pytest.raises(ValidationError, match="There is no lot"):
        LotField().clean(typed)


class TestTwinsByCase:
    """Codes are read aloud and typed in small letters: two that differ so are one."""

    pytestmark = pytest.mark.django_db
    SAYS = "BAB-1 stands already: use it"

    def test_a_lot(self):
        stands = make.lot("BAB-1")
        with make.refused(self.SAYS):
            make.lot("bab-1")
        assert find_lot("bab-1") == stands

    def test_a_batch(self):
        start_batch(stage="preparation", code="BAB-1", **act(3))
        with make.refused(self.SAYS):
            start_batch(stage="preparation", code="Bab-1", **act(3))

    def test_a_proper_code(self):
        lot = make.lot("X-1")
        Lot.objects.filter(pk=lot.pk).update(code="x/1")
        make.lot("BAB-1")
        with make.refused(self.SAYS):
            give_proper_code(
                thing=Lot.objects.get(pk=lot.pk),
                code="bab-1",
                **act(4, reason="unreadable"),
            )

    def test_what_was_taken_back_gives_its_code_up_in_any_case(self):
        first = make.lot("BAB-1")
        undo_deed(undone=first.deed, **act(4, reason="by mistake"))
        again = make.lot("bab-1")
        assert find_lot("BAB-1") == again
        assert Lot.objects.get(pk=first.pk).code == "BAB-1 (taken back)"

    def test_the_book_gives_no_twin(self):
        code = make.lot("").code
        Lot.objects.update(code=code.lower())
        CodeSeries.objects.update(last=F("last") - 1)
        assert make.lot("").code != code


@remembered
def batch_of_today():
    return make.batch("dilution", uses=[(make.lot(), "900")], code="B-1")


class TestACodeOfAnOldBook:
    pytestmark = pytest.mark.django_db
    KEPT = [code for code in ODD if code not in ("a\x00b", "\ud800", "L1 (taken back)")]

    @pytest.fixture
    def old(self):
        lot = batch_of_today()

        def called(code):
            Lot.objects.filter(pk=lot.pk).update(code=code)
            Batch.objects.filter(pk=lot.batch_id).update(code=code)
            return Lot.objects.get(pk=lot.pk)

        return called

    @pytest.mark.parametrize("code", KEPT)
    def test_its_pages_open_and_offer_the_repair(self, desk, old, code):
        lot = old(code)
        for thing, name in ((lot, "lot-code"), (lot.batch, "batch-code")):
            page = desk.get(thing.get_absolute_url())
            assert page.status_code == 200
            assert reverse(name, args=[thing.pk]) in page.content.decode()
        assert find_lot(in_address(code)) == lot

    def test_an_owner_gives_it_a_proper_one(self, desk, old):
        lot = old("A/\u200bB")
        path = reverse("lot-code", args=[lot.pk])
        form = desk.get(path).context["form"]
        sent = {"key": form["key"].value(), "on": "2026-03-05", "reason": "unreadable"}
        assert (
            "A code has no /"
            in desk.post(path, {**sent, "code": "x/y"}).content.decode()
        )
        answer = desk.post(path, {**sent, "code": "AB-1"})
        assert answer.url == reverse("lot", args=["AB-1"])
        assert Lot.objects.get(pk=lot.pk).code == "AB-1"
        # The old one finds it still.
        assert find_lot("A/\u200bB") == Lot.objects.get(pk=lot.pk)

    def test_taken_back_it_is_called_as_before(self, old):
        lot = old("a/b")
        deed = give_proper_code(
            thing=lot.batch, code="AB-1", **act(4, reason="unreadable")
        )
        assert Batch.objects.get(pk=lot.batch_id).code == "AB-1"
        undo_deed(undone=deed, **act(5, reason="by mistake"))
        assert Batch.objects.get(pk=lot.batch_id).code == "a/b"

    def test_only_an_owner_with_a_reason_and_only_where_it_is_odd(self, old):
        lot = old("a/b")
        give = partial(give_proper_code, thing=lot, code="AB-1")
        with make.refused("owner"):
            give(**act(4, by=make.maker(), reason="unreadable"))
        with make.refused("reason"):
            give(**act(4))
        make.lot("TAKEN")
        with make.refused("TAKEN is taken"):
            give_proper_code(thing=lot, code="TAKEN", **act(4, reason="x"))
        fine = old("FINE")
        with make.refused("stays as it is"):
            give_proper_code(thing=fine, code="AB-1", **act(4, reason="x"))
        with make.refused("no figure"):
            put_right(of="lot", row=lot.pk, figures={"code": "x"}, **act(4, reason="x"))
