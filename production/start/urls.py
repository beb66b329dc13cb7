"""The path of the page that a day starts on."""

from django.urls import path

from production.start.views import start

urlpatterns = [
    path("", start.start, name="start"),
]
