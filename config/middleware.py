"""What every answer carries, and what every request keeps to."""

import codecs

from django.conf import settings

from config import bad_requests
from production.pages.views.after_sign_in import hand_of

POLICY = "; ".join(
    [
        "default-src 'self'",
        "img-src 'self' data:",
        "object-src 'none'",
        "frame-ancestors 'none'",
        "form-action 'self'",
        "base-uri 'none'",
    ]
)
# Whose forms a page that is brought back may show: site/keep.js reads it.
SEAT = f"{settings.APART}seat"


def only_utf_8(get_response):
    """A form in another alphabet than UTF-8, or in none that there is, is not read."""

    def middleware(request):
        named = request.content_params.get("charset", "utf-8")
        try:
            known = codecs.lookup(named).name == "utf-8"
        except (LookupError, ValueError):
            known = False
        return get_response(request) if known else bad_requests.page(request)

    return middleware


def content_policy(get_response):
    """Let a page load only what this house serves."""

    def middleware(request):
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        return response

    return middleware


def not_kept(get_response):
    """No page of somebody who is signed in stays behind in a browser.

    A page with a form to write is held by that browser alone, so that Back finds what
    was typed: signing out sweeps it away, and keep.js shows it to nobody else.
    """

    def middleware(request):
        response = get_response(request)
        if getattr(request, "carries_typing", False):
            response.headers["Cache-Control"] = "private, max-age=0"
            take_seat(request, response)
        elif settings.SESSION_COOKIE_NAME in {*request.COOKIES, *response.cookies}:
            response.headers["Cache-Control"] = "no-store, private"
        return response

    return middleware


def take_seat(request, response):
    """Say to the browser's own script who sits there now; it is no key to anything."""
    seat = hand_of(request.user)
    if request.COOKIES.get(SEAT) != seat:
        response.set_cookie(
            SEAT, seat, secure=settings.SESSION_COOKIE_SECURE, samesite="Lax"
        )


def leave_seat(response):
    """Nobody sits there: what the browser still holds of the pages goes."""
    response.delete_cookie(SEAT, samesite="Lax")
    response.headers["Clear-Site-Data"] = '"cache"'
