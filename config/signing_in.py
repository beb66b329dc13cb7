"""Who is not signed in signs in first; what they had typed is not lost by it."""

import time
from urllib.parse import urlsplit

from django.contrib.auth import SESSION_KEY
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.contrib.auth.signals import user_logged_in
from django.contrib.auth.views import redirect_to_login
from django.http import HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.csrf import csrf_failure

from production.pages.views.after_sign_in import SENT, keep_typed, show_again

SEEN = "seen"
EVERY = 60


def at_its_own_address(get_response):
    """A form is sent to its page's address with a word more: that is taken off here."""

    def middleware(request):
        parts = request.META.get("QUERY_STRING", "").split("&")
        if SENT in parts:
            rest = "&".join(part for part in parts if part != SENT)
            request.META["QUERY_STRING"] = rest
        return get_response(request)

    return middleware


def stays_signed_in(get_response):
    """Each page that is asked for puts the end of the session off again.

    It is written at most once a minute, so that reading stays reading.
    """

    def middleware(request):
        answer = get_response(request)
        session = request.session
        if session.accessed and SESSION_KEY in session:
            now = int(time.time())
            if now - session.get(SEEN, 0) >= EVERY:
                session[SEEN] = now
        return answer

    return middleware


def begins(sender, request, user, **kwargs):
    """A sign-in is the first page that was asked for."""
    request.session[SEEN] = int(time.time())


user_logged_in.connect(begins, dispatch_uid="begins")


class SignInFirst(LoginRequiredMiddleware):
    """The door, and behind it the form as it was typed before it was shut."""

    def process_view(self, request, view_func, view_args, view_kwargs):
        answer = super().process_view(request, view_func, view_args, view_kwargs)
        if (
            answer is None
            and request.method == "GET"
            and getattr(view_func, "login_required", True)
        ):
            show_again(request)
        return answer

    def handle_no_permission(self, request, view_func):
        if "HX-Request" in request.headers:
            # A part of a page: nothing is put in its place.
            return HttpResponse(status=204)
        if request.method == "POST":
            keep_typed(request)
        return super().handle_no_permission(request, view_func)


def stale_form(request, reason=""):
    """A form from before the last sign-in is shown again, if a page here sent it."""
    part = "HX-Request" in request.headers
    if request.path == reverse("login") and request.user.is_authenticated:
        # Signed in at another window meanwhile.
        return HttpResponseRedirect(_onward(request))
    if part or not _from_here(request) or not keep_typed(request):
        return csrf_failure(request, reason)
    path = request.get_full_path()
    if request.user.is_authenticated:
        return HttpResponseRedirect(path)
    return redirect_to_login(path)


def _onward(request):
    to = request.GET.get("next", "")
    mine = url_has_allowed_host_and_scheme(to, {request.get_host()})
    return to if mine else reverse("start")


def _from_here(request):
    """Whether a page of this house sent it, as the browser says."""
    sender = request.headers.get("Origin") or request.headers.get("Referer") or ""
    return urlsplit(sender).netloc == request.get_host()
