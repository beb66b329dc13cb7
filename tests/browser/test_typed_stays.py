"""Reload, Back, a mended figure, a sign-in that ended: what was typed stays."""

from django.urls import reverse

from production.models import Deed
from tests import make


def found(walk):
    return walk.page.locator('main [name="found"]').input_value()


def focused(walk):
    return walk.page.evaluate("document.activeElement.id")


def test_what_was_typed_stays(walk):
    lot = make.lot("K-1", grams="900")
    count = reverse("lot-count", args=[lot.code])
    walk.open(count)
    walk.fill(found="880")
    if walk.scripts:
        walk.page.reload()
        assert found(walk) == "880"
    key = walk.page.locator('main [name="key"]').input_value()
    walk.press()

    walk.page.go_back()
    assert found(walk) == "880"
    assert walk.page.locator('main [name="key"]').input_value() == key
    walk.fill(found="870")
    walk.send()
    walk.sees("written already", "Mend the first")
    assert focused(walk) == "refused"
    assert Deed.objects.filter(verb="count a lot").count() == 1
    walk.send("Write it as a second entry")
    walk.sees("870")

    walk.open(count)
    assert not found(walk)
    walk.fill(found="860")
    walk.page.context.clear_cookies(name="sessionid")
    walk.send()
    walk.sees("nothing is written yet")
    walk.fill(username="ines", password="kettle and spoon 7")
    walk.send()
    walk.sees("nothing is written yet")
    assert found(walk) == "860"
    walk.fill(found="plenty")
    walk.send()
    assert focused(walk) == "refused"
    walk.page.locator("#refused a").first.click()
    assert "id_found" in walk.page.url
    walk.fill(found="860")
    walk.press()
    assert Deed.objects.filter(verb="count a lot").count() == 3
