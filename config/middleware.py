"""What every answer carries, and what every request keeps to."""

import codecs

from django.views.defaults import bad_request

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


def only_utf_8(get_response):
    """A form in another alphabet than UTF-8, or in none that there is, is not read."""

    def middleware(request):
        named = request.content_params.get("charset", "utf-8")
        try:
            known = codecs.lookup(named).name == "utf-8"
        except (LookupError, ValueError):
            known = False
        return get_response(request) if known else bad_request(request, None)

    return middleware


def content_policy(get_response):
    """Let a page load only what this house serves."""

    def middleware(request):
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        return response

    return middleware
