"""What tells a page of the demo from one of a workshop's own book."""

from django import template
from django.conf import settings

register = template.Library()


@register.simple_tag
def demo() -> bool:
    """Asked of the settings: it is known without a request and without a database."""
    return settings.DEMO
