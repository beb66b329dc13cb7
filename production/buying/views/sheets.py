"""A sheet of purchases: read, looked at, recorded."""

from django.conf import settings
from django.contrib import messages
from django.core import signing
from django.http import HttpResponse
from django.shortcuts import redirect, render

from production.buying.actions.purchase_sheet import record_purchases, recorded_from
from production.buying.domain.purchase_sheet import lay_out
from production.buying.files import purchase_template
from production.buying.forms.purchase_sheet.invoices import PurchaseSheet
from production.buying.forms.purchase_sheet.rows import PurchaseSheetForm
from production.pages.views.after_sign_in import forget_typed
from production.pages.views.sheets import GONE, SALT, SHOWN, XLSX
from production.papers.files.sheets_in import digest, read_sheet
from production.papers.files.sheets_unseen import left_unseen
from production.papers.files.uploads import DAY, keep, kept
from production.quantities.domain.refusal import Refused


def purchase_sheet(request):
    """Read a sheet and show what was understood; nothing is written here."""
    if "kept" in request.POST:
        return _write(request)
    sent = request.method == "POST"
    form = PurchaseSheetForm(*((request.POST, request.FILES) if sent else ()))
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            return _shown(request, file.read(), file.name)
        except Refused as fault:
            form.add_error("file", str(fault))
    return _page(request, form)


def _page(request, form, **words):
    page = {"form": form, "title": "Read purchases from a sheet", **words}
    return render(request, "production/buying/purchase_sheet.html", page)


def _shown(request, raw, name):
    """What was understood; a clean sheet is laid by until somebody says so."""
    mark = digest(raw)
    if before := recorded_from(mark):
        return _page(request, PurchaseSheetForm(), name=name, before=before)
    read = PurchaseSheet(lay_out(read_sheet(raw)))
    words = {"name": name, "read": read, "shown": SHOWN, "unseen": left_unseen(raw)}
    if not read.faults:
        token = {"mark": keep(settings.HOME / "uploads", raw), "name": name}
        words["kept"] = signing.dumps(token, salt=SALT)
    return _page(request, PurchaseSheetForm(), **words)


def _write(request):
    """Post a sheet that was shown before; sent twice, it is written once."""
    try:
        token = signing.loads(request.POST["kept"], salt=SALT, max_age=DAY)
        raw = kept(settings.HOME / "uploads", token["mark"])
    except signing.BadSignature:
        raw = None
    form = PurchaseSheetForm()
    if raw is None:
        return _page(request, form, gone=GONE)
    if request.method != "POST":
        # The sign-in ended before it was written: it is shown once more.
        return _shown(request, raw, token["name"])
    made = recorded_from(token["mark"])
    if not made:
        try:
            read = PurchaseSheet(lay_out(read_sheet(raw)))
            if read.faults:
                return _page(request, form, name=token["name"], read=read, shown=SHOWN)
            made = record_purchases(
                mark=token["mark"],
                new_items=read.new_items,
                arrivals=read.arrivals,
                by=request.user,
            )
        except Refused as fault:
            return _page(request, form, gone=str(fault))
    count = f"{len(made)} purchases are" if len(made) > 1 else f"{made[0]} is"
    messages.success(request, f"{count} in the book.")
    forget_typed(request)
    return redirect("purchases")


def purchase_sheet_template(request):
    answer = HttpResponse(purchase_template(), content_type=XLSX)
    answer["Content-Disposition"] = 'attachment; filename="purchases.xlsx"'
    return answer
