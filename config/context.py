from django.conf import settings

from production.models import Workshop


def house(request):
    """The workshop, its currency and the version, and what was typed before."""
    if not getattr(request, "user", None) or not request.user.is_authenticated:
        return {"edition": settings.VERSION}
    workshop = Workshop.objects.first()
    return {
        "edition": settings.VERSION,
        "workshop": workshop,
        "laid_by": getattr(request, "laid_by", None),
        "currency": workshop.currency if workshop else "",
    }
