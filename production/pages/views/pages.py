"""The two shapes of a page: one that writes a deed, one that lists."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import EmptyPage
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.html import format_html
from django_tables2 import RequestConfig

from production.pages.forms.deed import DeedForm
from production.pages.forms.fields import DayField
from production.pages.views.after_sign_in import forget_typed, hand_in
from production.pages.views.sending import beside, question, sent
from production.pages.views.sheets import taken_as_sheet
from production.pages.views.weighed import LOOK
from production.quantities.domain.numbers import whole_number
from production.record.actions.deeds import Retold
from production.record.models.ink import Deed
from production.record.reads.clock import today

PER_PAGE, MOST_PER_PAGE = 25, 500


def write_page(request, form, act, *, title, to=None, done="", extra=None, **words):
    """Show the form; when it is sent, do the deed and move on to what it made.

    ``to`` is where to go, or a function of the result; without it the result itself.
    ``record`` is (of, row) where the card's facts are kept by deeds.
    """
    template = words.pop("template", "deed.html")
    record = words.pop("record", None)
    page = {"form": form, "title": title, "beside": beside(request), **words}
    if request.method == "POST" and LOOK in request.POST:
        # Only looked at: what is left open is not asked for yet.
        form.is_valid()
        form.forget_what_is_missing()
    elif request.method == "POST" and _of_another_hand(request):
        page["other_hand"] = True
    elif request.method == "POST" and getattr(form, "adding", False):
        # Only rows were asked for: nothing is judged yet.
        form.is_valid()
    elif request.method == "POST":
        try:
            result, changed = sent(request, form, act, extra or {}, record)
        except Retold as fault:
            page |= question(form, fault)
        else:
            if result is not None:
                return _moved_on(request, form, result, to, done or title)
            page["changed"] = changed
    elif hasattr(request, "laid_by") and isinstance(form, DeedForm):
        form.is_valid()
        form.forget_what_is_missing()
    return render(request, template, page)


def _of_another_hand(request):
    """Whether somebody else had opened the form at this screen."""
    whose = hand_in(request.POST)
    return bool(whose) and whose != str(request.user.pk)


def _moved_on(request, form, result, to, done):
    forget_typed(request)
    words = done(result) if callable(done) else done
    messages.success(request, _with_a_way_back(form, words))
    return redirect(to(result) if callable(to) else to or result)


def _with_a_way_back(form, words):
    """What was done, and the link that takes it back where goods moved."""
    if not isinstance(form, DeedForm):
        return words
    deed = Deed.objects.filter(key=form.data["key"]).exclude(verb=Deed.UNDO).first()
    if deed is None or not deed.movements.exists():
        return words
    back = reverse("deed-undo", args=[deed.pk])
    return format_html('{} <a href="{}">Take it back</a>', words, back)


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
    """Sort, narrow, page; ``narrowed`` is the filter set of the list.

    ``act`` is what stands at its head: True is what would fill an empty one.
    """
    template = words.pop("template", "list.html")
    if words.get("act") is True:
        words["act"] = (table.fill, table.fill_words)
    filters = narrowed(request.GET, queryset=queryset)
    rows = table(filters.qs, exclude=getattr(filters, "columns_left_out", ()))
    rows.in_all = rows.foot(filters.qs)
    rows.narrowed = bool(filters.form.changed_data)
    if request.GET.get("sheet") == "xlsx":
        RequestConfig(request, paginate=False).configure(rows)
        return taken_as_sheet(request, rows, words["title"], filters)
    paged(request, rows)
    return render(request, template, {"table": rows, "filters": filters, **words})


def paged(request, table, per_page=PER_PAGE):
    """Sort a table and show one page of it; an odd number asks for the first page."""
    RequestConfig(request, paginate=False).configure(table)
    asked = whole_number(request.GET.get(table.prefixed_per_page_field, ""))
    page = whole_number(request.GET.get(table.prefixed_page_field, "")) or 1
    many = min(asked or per_page, MOST_PER_PAGE)
    try:
        table.paginate(per_page=many, page=page)
    except EmptyPage:
        table.page = table.paginator.page(table.paginator.num_pages)


def day_asked(request):
    """The day that a link to a form carries, None without one."""
    try:
        return DayField(required=False).clean(request.GET.get("on"))
    except ValidationError:
        return None
