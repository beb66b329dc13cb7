"""A sum at the bench as the page is asked for it, and what the page answers."""

import re
from decimal import Decimal
from html import unescape

from django.urls import reverse

from production.bench.forms import SUMS

D = Decimal
TIMES, OVER = "\N{MULTIPLICATION SIGN}", "\N{DIVISION SIGN}"


def sent(name, **typed):
    """What the form of one sum sends: the rest of it empty, as a browser does."""
    form = next(form for form in SUMS if form.name == name)
    fields = {field: kept.initial or "" for field, kept in form.base_fields.items()}
    assert typed.keys() <= fields.keys()
    return {"sum": name} | {f"{name}-{f}": v for f, v in (fields | typed).items()}


def asked(desk, name, **typed):
    """The page, with the fields and the answer of that sum."""
    return desk.get(reverse("bench-sums"), sent(name, **typed))


def said(answer):
    """What the page says, without its marks."""
    text = re.sub(r"<[^>]*>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", unescape(text))


def figures(answer):
    """The figures of the sum in use, by name."""
    found = next(s["answer"] for s in answer.context["sums"] if s["form"].in_use)
    assert found, fault(answer)
    return {f.name: f.text or f.value for f in (*found.figures, *found.weigh)}


def fault(answer):
    """The faults of the sum in use, by field."""
    used = next(s["form"] for s in answer.context["sums"] if s["form"].in_use)
    return {field: " ".join(words) for field, words in used.errors.items()}


def near(value, wanted):
    return abs(value - D(wanted)) < D("0.006")
