"""The disk is full: said on the page, and what was typed still stands there."""

from django.http import HttpResponse
from django.template.loader import render_to_string
from django.template.response import TemplateResponse
from django.utils.datastructures import MultiValueDict

from production.pages.views.after_sign_in import without_secrets
from production.papers.domain.disk_full import no_room

# Insufficient Storage (RFC 4918, section 11.5).
FULL = 507


class SaysFullDisk:
    """Every view that writes; commands say it in production/pages/commands.py."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_exception(self, request, exception):
        says = no_room(exception)
        if not says:
            return None
        part = "HX-Request" in request.headers
        if request.method == "POST" and request.user.is_authenticated and not part:
            return laid_again(request, says) or page()
        return page()


def laid_again(request, says):
    """The page with what was typed, asked for by GET: nothing is written by it."""
    sent, files = without_secrets(request.POST), bool(request.FILES)
    sent._mutable = False
    request.method, request.POST = "GET", sent
    request._files = MultiValueDict()
    request.laid_by = {"says": says, "files": files}
    found = request.resolver_match
    try:
        answer = found.func(request, *found.args, **found.kwargs)
        if isinstance(answer, TemplateResponse):
            answer.render()
    except Exception as fault:
        if no_room(fault):
            return None
        raise
    if says not in answer.content.decode(errors="replace"):
        # A page of another kind, with nowhere to say it.
        return None
    answer.status_code = FULL
    return answer


def page():
    return HttpResponse(render_to_string("507.html"), status=FULL)
