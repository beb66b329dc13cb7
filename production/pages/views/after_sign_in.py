"""What was typed stays where a form came in after its sign-in had ended.

It waits in the session of that browser for the person who typed it, and is shown again
once they have signed in. Nothing is written by it: it is sent again by hand.
"""

from datetime import timedelta

from django.core import signing
from django.http import QueryDict
from django.utils import timezone
from django.utils.datastructures import MultiValueDict

from production.record.actions.digest import SECRET

SENT = "sent"
KEPT = "typed"
MANY = 5
MOST = 100_000
KEEPS = timedelta(hours=12)
_HAND = signing.Signer(salt="who typed it")


def hand_of(user):
    """The mark of a person on a form: only a page shown to them carries it."""
    return _HAND.sign(str(user.pk))


def hand_in(data):
    """Whose form it is; "" where it does not say."""
    try:
        return _HAND.unsign(data.get("who", ""))
    except signing.BadSignature:
        return ""


def keep_typed(request):
    """Lay by what was typed; whether that could be done. A password is never kept."""
    sent = without_secrets(request.POST)
    who = hand_in(sent)
    text = sent.urlencode()
    if not who or len(text) > MOST:
        return False
    rest = request.session.get(KEPT, {})
    rest.pop(request.get_full_path(), None)
    newest = list(rest.items())[-MANY + 1 :]
    request.session[KEPT] = dict(newest) | {
        request.get_full_path(): {
            "who": who,
            "sent": text,
            "files": bool(request.FILES),
            "at": timezone.now().isoformat(),
        }
    }
    return True


def without_secrets(sent):
    """What may be shown again of a form: no password, nothing for one sending only."""
    sent = sent.copy()
    for name in list(sent):
        if SECRET in name or name == "csrfmiddlewaretoken":
            del sent[name]
    return sent


def show_again(request):
    """Lay what was typed on its page, as if it had just been sent; nothing is written.

    The page is asked for by GET still: what writes asks for POST.
    """
    if KEPT not in request.session:
        return
    kept = _of(request.user, request.session[KEPT])
    if kept != request.session[KEPT]:
        request.session[KEPT] = kept
    if one := kept.get(request.get_full_path()):
        request.POST = QueryDict(one["sent"])
        request._files = MultiValueDict()
        request.laid_by = one


def _of(user, kept):
    """What this person typed, and not too long ago."""
    oldest = (timezone.now() - KEEPS).isoformat()
    return {
        path: one
        for path, one in kept.items()
        if one["who"] == str(user.pk) and one["at"] > oldest
    }


def forget_typed(request):
    """Once it is written."""
    kept = request.session.get(KEPT)
    if kept and kept.pop(request.get_full_path(), None):
        request.session[KEPT] = kept
