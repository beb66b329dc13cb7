"""The paths of the house: each app groups its own by noun."""

from django.urls import path

from config.health import healthz

urlpatterns = [
    path("healthz", healthz, name="healthz"),
]
