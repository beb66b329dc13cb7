"""How often a password may be tried, counted so that nobody shuts an owner out.

A browser in which somebody was signed in before has a count of its own for that person:
what is tried elsewhere never reaches it. From anywhere else three counts hold, of the
last hour: of a name from one address, of an address over all names, and of a name over
all addresses, which only slows. Names are kept as a keyed digest, since a password is
now and then typed where the name belongs.
"""

import ipaddress
import logging
from datetime import timedelta
from secrets import token_urlsafe

from axes.handlers.base import AbstractAxesHandler, AxesBaseHandler
from axes.models import AccessAttempt
from django.conf import settings
from django.contrib.auth import get_user_model
from django.db import transaction
from django.db.models import F, Max, Sum
from django.shortcuts import render
from django.utils import timezone
from django.utils.crypto import salted_hmac

log = logging.getLogger("kettlebook.door")

AT_ONE_PLACE = 5
FROM_ONE_ADDRESS = 20
FOR_ONE_NAME = 20
FOR = timedelta(hours=1)
PAUSE = timedelta(seconds=30)
DEVICE = f"{settings.APART}device"
REMEMBERED = 365 * 24 * 3600
MOST_PEOPLE = 20


class Tries(AbstractAxesHandler, AxesBaseHandler):
    """Called at every sign-in, whether it is good or not."""

    def is_allowed(self, request, credentials=None):
        return not is_shut(request, _name(credentials))

    def get_failures(self, request, credentials=None):
        return _failed(_here(request, _name(credentials)))

    def user_login_failed(self, sender, credentials, request=None, **kwargs):
        if request is None:
            return
        name = _name(credentials)
        if not is_shut(request, name):
            _count(request, name)
            log.info("sign-in refused")
        if is_shut(request, name):
            request.axes_locked_out, request.axes_credentials = True, credentials
            log.info("sign-in shut out")

    def user_logged_in(self, sender, request, user, **kwargs):
        _here(request, user.get_username()).delete()
        log.info("sign-in by=%s", user.pk)

    def user_logged_out(self, sender, request, user, **kwargs):
        if user is not None:
            log.info("sign-out by=%s", user.pk)

    def post_save_access_attempt(self, instance, **kwargs):
        """Called at every row; nothing follows from it."""

    post_delete_access_attempt = post_save_access_attempt

    def reset_attempts(self, *, ip_address=None, username=None, ip_or_username=False):
        """Forget what was tried under a name, and at the addresses it came from."""
        tried = AccessAttempt.objects.filter(username=_mark(username or ""))
        places = list(tried.filter(user_agent="").values_list("ip_address", flat=True))
        at = AccessAttempt.objects.filter(ip_address__in=places, user_agent="")
        return tried.delete()[0] + at.delete()[0]


def is_shut(request, name):
    """Whether nothing is tried now under this name from this place."""
    if _failed(_here(request, name)) >= AT_ONE_PLACE:
        return True
    if _device(request, name):
        return False
    strange = _lately().filter(user_agent="")
    if _failed(strange.filter(ip_address=_address(request))) >= FROM_ONE_ADDRESS:
        return True
    tried = strange.filter(username=_mark(name))
    if _failed(tried) < FOR_ONE_NAME:
        return False
    last = tried.aggregate(last=Max("attempt_time"))["last"]
    return last > timezone.now() - PAUSE


def shut_out(request, response=None, credentials=None):
    """The page for it; half a minute is the shortest that it may last."""
    page = render(request, "429.html", status=429)
    page.headers["Retry-After"] = str(int(PAUSE.total_seconds()))
    return page


def remember(request, response, user):
    """Leave word in this browser that somebody was signed in here."""
    device, people = _known(request)
    people = [pk for pk in people if pk != str(user.pk)][-MOST_PEOPLE + 1 :]
    response.set_signed_cookie(
        DEVICE,
        "/".join([device or token_urlsafe(16), *people, str(user.pk)]),
        salt=DEVICE,
        max_age=REMEMBERED,
        httponly=True,
        secure=settings.SESSION_COOKIE_SECURE,
        samesite="Lax",
    )


def _known(request):
    """The mark of this browser, and the numbers of those who were signed in at it."""
    said = request.get_signed_cookie(DEVICE, "", salt=DEVICE, max_age=REMEMBERED)
    device, *people = said.split("/")
    return device, people


def _device(request, name):
    device, people = _known(request)
    if not device:
        return ""
    known = get_user_model().objects.filter(username=name, pk__in=people)
    return device if known.exists() else ""


def _lately():
    return AccessAttempt.objects.filter(attempt_time__gt=timezone.now() - FOR)


def _here(request, name):
    """What failed under a name at this browser, or else from this address."""
    tried = _lately().filter(username=_mark(name))
    if device := _device(request, name):
        return tried.filter(user_agent=device)
    return tried.filter(user_agent="", ip_address=_address(request))


def _failed(tried):
    return tried.aggregate(times=Sum("failures_since_start"))["times"] or 0


@transaction.atomic
def _count(request, name):
    AccessAttempt.objects.filter(attempt_time__lte=timezone.now() - FOR).delete()
    row, fresh = AccessAttempt.objects.get_or_create(
        username=_mark(name),
        ip_address=_address(request),
        user_agent=_device(request, name),
        defaults={"failures_since_start": 1},
    )
    if not fresh:
        AccessAttempt.objects.filter(pk=row.pk).update(
            failures_since_start=F("failures_since_start") + 1,
            attempt_time=timezone.now(),
        )


def _name(credentials):
    return (credentials or {}).get("username") or ""


def _mark(name):
    return salted_hmac("tries", name).hexdigest()


def _address(request):
    """Who asks; of the newer addresses the network, since a house has many of them."""
    try:
        found = ipaddress.ip_address(request.META.get("REMOTE_ADDR", ""))
    except ValueError:
        return "0.0.0.0"
    if found.version == 4:
        return str(found)
    if found.ipv4_mapped:
        return str(found.ipv4_mapped)
    return str(ipaddress.ip_network((int(found), 64), strict=False).network_address)
