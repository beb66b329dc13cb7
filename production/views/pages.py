"""The two shapes of a page: one that writes a deed, one that lists."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.html import format_html
from django_tables2 import RequestConfig

from production.domain.refusal import Refused
from production.forms import DeedForm, attempt, today
from production.models import Deed, Movement
from production.views.sheets import taken_as_sheet
from production.views.weighed import LOOK

PER_PAGE = 25


def write_page(request, form, act, *, title, to=None, done="", extra=None, **words):
    """Show the form; when it is sent, do the deed and move on to what it made.

    ``to`` is where to go, or a function of the result; without it the result itself.
    """
    template = words.pop("template", "deed.html")
    if request.method == "POST" and LOOK in request.POST:
        # Only looked at: what is left open is not asked for yet.
        form.is_valid()
        form.forget_what_is_missing()
    elif request.method == "POST":
        result = _answered(request, form, act, extra or {})
        if result is None and form.is_valid():
            result = attempt(form, act, by=request.user, **(extra or {}))
        if result is not None:
            words = done(result) if callable(done) else done or title
            messages.success(request, _with_a_way_back(form, words))
            return redirect(to(result) if callable(to) else to or result)
    return render(request, template, {"form": form, "title": title, **words})


def _with_a_way_back(form, words):
    """What was done, and the link that takes it back where goods moved."""
    if not isinstance(form, DeedForm):
        return words
    deed = Deed.objects.filter(key=form.data["key"]).exclude(verb="undo").first()
    if deed is None or not Movement.objects.filter(deed=deed).exists():
        return words
    back = reverse("deed-undo", args=[deed.pk])
    return format_html('{} <a href="{}">Take it back</a>', words, back)


def _answered(request, form, act, extra):
    """What a form that was sent before has made, or None.

    Asked before the form is judged: its own deed may have changed what is on hand.
    """
    key = request.POST.get("key", "")
    if "key" not in form.fields or not Deed.objects.filter(key=key).exists():
        return None
    told = {} if isinstance(form, DeedForm) else extra
    try:
        return act(**{"on": today(), **told}, by=request.user, key=key)
    except Refused:
        return None


def card_page(request, form, act, **words):
    """The same for a plain card, which no deed stands behind."""

    def write(by, **facts):
        return act(**facts)

    return write_page(request, form, write, **words)


def signed_page(request, form, act, *, extra=None, **words):
    """A card that a deed stands behind: it is dated today and carries its key."""
    return write_page(
        request, form, act, extra={"on": today(), **(extra or {})}, **words
    )


def list_page(request, table, queryset, narrowed, **words):
    """Sort, narrow, page; ``narrowed`` is the filter set of the list."""
    template = words.pop("template", "list.html")
    filters = narrowed(request.GET, queryset=queryset)
    rows = table(filters.qs, exclude=getattr(filters, "columns_left_out", ()))
    rows.in_all = rows.foot(filters.qs)
    rows.narrowed = bool(filters.form.changed_data)
    if request.GET.get("sheet") == "xlsx":
        RequestConfig(request, paginate=False).configure(rows)
        return taken_as_sheet(request, rows, words["title"], filters)
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(rows)
    return render(request, template, {"table": rows, "filters": filters, **words})
