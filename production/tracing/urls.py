"""The path of the trace, up and down from a lot."""

from django.urls import path

from production.tracing.views import trace

urlpatterns = [
    path("trace/", trace.trace, name="trace"),
]
