"""The path of what happened since a backup that was restored."""

from django.urls import path

from production.restoring import views

urlpatterns = [
    path("restored/", views.restored, name="restored"),
]
