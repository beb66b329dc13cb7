"""Price lists of a day, on a page and on paper."""

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils.text import slugify

from costing.files.price_lists import price_list_pdf as printed
from costing.forms.prices import ListForm
from costing.models.prices import Channel
from costing.reads.price_lists import price_list as listed
from production.record.reads.clock import today


def price_list(request):
    """Choose for whom and of which day; what is asked is shown before it is printed."""
    form = ListForm(request.GET if "of" in request.GET else None, initial=_first())
    page = {"form": form, "channels": Channel.objects.exists()}
    if form.is_bound and form.is_valid():
        page["list"] = listed(form.channels(), form.cleaned_data["on"])
        page["title"] = form.title()
        page["told"] = request.GET.urlencode()
    return render(request, "costing/price_list.html", page)


def _first():
    return {"on": today()}


def price_list_pdf(request):
    form = ListForm(request.GET)
    if not form.is_valid():
        raise Http404
    day, title = form.cleaned_data["on"], form.title()
    raw = printed(listed(form.channels(), day), title)
    name = f"prices-{slugify(title)}-{day}.pdf"
    return HttpResponse(
        raw,
        content_type="application/pdf",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )
