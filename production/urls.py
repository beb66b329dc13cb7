"""The paths of every noun that has pages, in the order of the work."""

from django.urls import include, path

NOUNS = (
    "start",
    "buying",
    "recipes",
    "planning",
    "bench",
    "batches",
    "lots",
    "counting",
    "release",
    "fragrance",
    "attachments",
    "selling",
    "tracing",
    "correcting",
    "closing",
    "restoring",
    "workshop",
    "stock",
)
urlpatterns = [path("", include(f"production.{noun}.urls")) for noun in NOUNS]
