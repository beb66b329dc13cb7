"""Writing into a page as a browser without scripts would."""

import re

from django import forms


def typed(answer):
    """What a browser would send back from a page as it stands: every named value."""
    sent = {}
    for form in answer.context["form"], *_rows(answer.context["form"]):
        for field in form:
            sent[field.html_name] = _value(field)
    for rows in getattr(answer.context["form"], "rows", {}).values():
        for field in rows.management_form:
            sent[field.html_name] = field.value()
    return sent


def _value(field):
    value = field.value()
    if value in (None, "") and isinstance(field.field, forms.ChoiceField):
        # A browser sends the first choice of a list that nobody touched.
        value = next(iter(field.field.choices))[0]
    return "" if value in (None, False) else str(value)


def _rows(form):
    return [row for rows in getattr(form, "rows", {}).values() for row in rows]


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
