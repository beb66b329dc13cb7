"""Reload, Back, a mended figure, a sign-in that ended: what was typed stays."""

import pytest
from django.urls import reverse

from production.models import Deed
from tests import make


def found(walk):
    return walk.page.locator('main [name="found"]').input_value()


def focused(walk):
    return walk.page.evaluate("document.activeElement.id")


def test_what_was_typed_stays(walk):
    lot = make.lot("K-1", grams="9000")
    count = reverse("lot-count", args=[lot.code])
    walk.open(count)
    walk.fill(found="8980")
    if walk.scripts:
        walk.page.reload()
        assert found(walk) == "8980"
    key = walk.page.locator('main [name="key"]').input_value()
    walk.press()

    walk.page.go_back()
    assert found(walk) == "8980"
    assert walk.page.locator('main [name="key"]').input_value() == key
    walk.fill(found="8970")
    walk.send()
    walk.sees("written already", "Mend the first")
    assert focused(walk) == "refused"
    assert Deed.objects.filter(verb="count a lot").count() == 1
    walk.send("Write it as a second entry")
    walk.sees("8\u202f970")

    walk.open(count)
    assert not found(walk)
    walk.fill(found="8960")
    walk.page.context.clear_cookies(name="sessionid")
    walk.send()
    walk.sees("nothing is written yet")
    walk.fill(username="ines", password="kettle and spoon 7")
    walk.send()
    walk.sees("nothing is written yet")
    assert found(walk) == "8960"
    walk.fill(found="plenty")
    walk.send()
    assert focused(walk) == "refused"
    walk.page.locator("#refused a").first.click()
    assert "id_found" in walk.page.url
    walk.fill(found="8960")
    walk.press()
    assert Deed.objects.filter(verb="count a lot").count() == 3


def stands(walk, **figures):
    for name, value in figures.items():
        box = walk.page.locator(f'main form[method="post"] [name="{name}"]').first
        assert box.input_value() == value, name


def test_back_to_a_form_that_was_refused_and_mended(walk):
    """All that was typed before the refusal stands there, and is written once."""
    if not walk.scripts:
        pytest.skip("without scripts the browser asks by itself")
    make.item("glycerin", category="additive")
    walk.open(reverse("stock-open"))
    walk.fill(item="glycerin", amount="plenty", value="14", supplier_lot="G-4")
    walk.send()
    walk.sees("plenty")
    walk.fill(amount="2000")
    walk.press()
    walk.page.go_back()
    stands(walk, amount="2000", value="14", supplier_lot="G-4")
    walk.press()
    assert Deed.objects.filter(verb="open stock").count() == 1
    walk.page.go_back()
    walk.fill(value="15")
    walk.send()
    walk.sees("written already")
    stands(walk, amount="2000", value="15", supplier_lot="G-4")
    walk.press("Write it as a second entry")
    walk.page.go_back()
    stands(walk, amount="2000", value="15", supplier_lot="G-4")


def test_after_signing_out_back_shows_nothing(walk):
    lot = make.lot("K-1", grams="9000")
    for path in (lot.get_absolute_url(), reverse("lot-count", args=[lot.code])):
        walk.open(path)
        walk.sees("K-1")
        walk.page.locator("footer button").click()
        walk.page.wait_for_url("**/login/**")
        walk.page.go_back()
        walk.page.wait_for_url("**/login/**")
        assert walk.page.locator("h1").inner_text() == "Sign in"
        walk.fill(username="ines", password="kettle and spoon 7")
        walk.send()
