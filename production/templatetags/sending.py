"""What a form that writes carries, and what its refusal says."""

from django import template
from django.utils.html import format_html

from production.pages.forms.typed import faults_of, row_anchor
from production.pages.views.after_sign_in import SENT, hand_of
from production.pages.views.sending import beside as beside_which

register = template.Library()

register.filter("faults", faults_of)
register.filter("row_anchor", row_anchor)


@register.simple_tag(takes_context=True)
def sends_to(context):
    """The page itself under another address.

    A browser forgets a page that it sends to; so Back brings the very form again,
    with its key and with what was typed.
    """
    request = context["request"]
    path = request.get_full_path()
    return f"{path}{'&' if '?' in path else '?'}{SENT}"


@register.simple_tag(takes_context=True)
def carries(context):
    """Who opened it, and what stood on the card then."""
    user = getattr(context.get("request"), "user", None)
    if user is None or not user.is_authenticated:
        return ""
    # What is being typed must be found again by Back: config/middleware.py asks.
    context["request"].carries_typing = True
    drawn = format_html('<input type="hidden" name="who" value="{}">', hand_of(user))
    opened = getattr(context.get("form"), "opened_with", "")
    if opened:
        more = '<input type="hidden" name="opened" value="{}">'
        drawn += format_html(more, opened)
    if beside := context.get("beside") or beside_which(context["request"]):
        more = '<input type="hidden" name="beside" value="{}">'
        drawn += format_html(more, beside.pk)
    return drawn
