"""Writing into a page as a browser without scripts would."""

import re
from html import unescape

from django import forms

from production.models import Deed


def typed(answer):
    """What a browser would send back from a page as it stands: every named value."""
    sent = {}
    for form in answer.context["form"], *_rows(answer.context["form"]):
        for field in form:
            sent[field.html_name] = _value(field)
    for rows in getattr(answer.context["form"], "rows", {}).values():
        for field in rows.management_form:
            sent[field.html_name] = str(field.value())
    return sent


def _value(field):
    value = field.value()
    widget = field.field.widget
    if isinstance(widget, forms.RadioSelect):
        # A browser sends nothing of buttons and boxes that nobody touched.
        many = isinstance(widget, forms.CheckboxSelectMultiple)
        return value or ([] if many else "")
    if value in (None, "") and isinstance(field.field, forms.ChoiceField):
        # A browser sends the first choice of a list that nobody touched.
        value = next(iter(field.field.choices))[0]
    return "" if value is None or value is False else str(value)


def _rows(form):
    return [row for rows in getattr(form, "rows", {}).values() for row in rows]


# A drop test as a maker notes it, on a day when something went in as well.
DROP_TEST = {
    "what": "neutrality",
    "passed": "yes",
    "method": "drop test",
    "spots": ["top", "bottom"],
    "sampled": "after",
}


def check(desk, url, **written):
    """Note a drop test that passed, or what is written instead."""
    on = written.pop("on", None)
    page = f"{url}?on={on}" if on else url
    sent = typed(desk.get(page))
    known = {name: value for name, value in DROP_TEST.items() if name in sent}
    answer = desk.post(page, sent | known | written)
    assert answer.status_code == 302, answer.context["form"].errors
    return answer


def fill(desk, url, **written):
    """Open a page, write into it (``lines__0__item`` is a cell), send it."""
    sent = typed(desk.get(url))
    for name, value in written.items():
        name = name.replace("__", "-")
        assert name in sent, (name, sorted(sent))
        sent[name] = value
    answer = desk.post(url, sent)
    if answer.status_code == 200:
        faults = re.findall(r"errorlist[^>]*>(.*?)</ul>", answer.content.decode(), re.S)
        raise AssertionError(faults)
    return answer


def holds(desk, url, good, bad, says):
    """What every deed page promises, on one page.

    A refusal says why, writes nothing and keeps what was typed, the key too; then the
    deed is done, and the same form sent again answers the same and writes nothing.
    """
    sent = typed(desk.get(url))
    assert set(good) | set(bad) <= set(sent), sorted(sent)
    sent |= good
    deeds = Deed.objects.count()
    refused = desk.post(url, sent | bad)
    assert refused.status_code == 200
    assert says in unescape(refused.content.decode())
    kept = typed(refused)
    assert {name: kept[name] for name in sent} == sent | bad
    assert Deed.objects.count() == deeds
    first, second = desk.post(url, sent), desk.post(url, sent)
    assert first.status_code == 302, first.context["form"].errors
    assert (second.status_code, second.url) == (302, first.url)
    assert Deed.objects.count() == deeds + 1
    return first


def look_then_write(desk, url, **written):
    """Send a count, look at what it shows, and send it again as it came back."""
    sent = typed(desk.get(url)) | written
    shown = desk.post(url, sent)
    assert shown.status_code == 200, "it was written unseen"
    return desk.post(url, typed(shown) | written)
