"""The page for a request that is not read: a bad one, or one with too much in it."""

from django.conf import settings
from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent
from django.http import HttpResponseBadRequest
from django.template.loader import render_to_string


def page(request, exception=None):
    """It looks at nothing that was sent: reading it again would fail again."""
    told = render_to_string("400.html", {"says": _says(exception)})
    return HttpResponseBadRequest(told)


def _says(fault):
    if isinstance(fault, TooManyFieldsSent):
        most = f"{settings.DATA_UPLOAD_MAX_NUMBER_FIELDS:,} boxes"
        return f"This page was sent with more than {most}: send fewer rows at a time."
    if isinstance(fault, RequestDataTooBig):
        most = f"{settings.DATA_UPLOAD_MAX_MEMORY_SIZE / 2**20:g} MB"
        return (
            f"This page was sent with more text than {most}: send fewer rows at a time."
        )
    return ""
