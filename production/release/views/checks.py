"""Checks that are taken back, and those that were made before this book."""

from django.shortcuts import get_object_or_404

from production.pages.views.pages import write_page
from production.release.actions.taking_back import released_by, take_back_check
from production.release.actions.tested_before import note_tested_before
from production.release.forms.earlier_checks import TakeBackCheckForm, TestedBeforeForm
from production.stock.models.readings import Measurement


def take_back(request, pk):
    checks = Measurement.objects.select_related("lot__item", "batch", "deed__by")
    check = get_object_or_404(checks, pk=pk)
    found = check.lot or check.batch
    return write_page(
        request,
        TakeBackCheckForm(request.POST or None, check=check),
        take_back_check,
        template="production/release/take_back_check.html",
        extra={"measurement": check},
        title=f"Take back a check of {found}",
        says=_what_it_does(check),
        button="Take the check back",
        check=check,
        to=found,
        done=f"The check of {found} is taken back.",
    )


def tested_before(request):
    form = TestedBeforeForm(request.POST or None)
    return write_page(
        request,
        form,
        note_tested_before,
        template="production/release/tested_before.html",
        title="Tested before this book",
        says="Filled goods that came as opening stock or with an imported past, and "
        "have no check on file. Only an owner notes this; the audit lists it apart.",
        button="Note it for the ticked lots",
        waiting=form.is_bound or form.fields["lots"].queryset.exists(),
        to="filled",
        done="It is noted for the lots that you ticked.",
    )


def _what_it_does(check):
    """What follows, said before it is done."""
    found = check.lot or check.batch
    if not check.passed:
        return (
            f"{found} then waits for a new check: no earlier pass counts again. Only "
            "an owner may do this, with a reason. Was it the failure of another lot? "
            "Name it, and that lot carries it."
        )
    says = f"The pass of {check.on} no longer speaks for {found}."
    if lot := released_by(check):
        says += f" {lot} goes back into quarantine until it is tested again."
    return f"{says} It stays on the page, struck through, with who and why."
