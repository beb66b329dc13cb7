from django.conf import settings

from production.models import Workshop


def house(request):
    """The workshop, its currency and the version, for the head and foot of a page."""
    if not getattr(request, "user", None) or not request.user.is_authenticated:
        return {"edition": settings.VERSION}
    workshop = Workshop.objects.first()
    return {
        "edition": settings.VERSION,
        "workshop": workshop,
        "currency": workshop.currency if workshop else "",
    }
