"""The path of sums at the bench, of which nothing is kept."""

from django.urls import path

from production.bench import views

urlpatterns = [
    path("bench/", views.bench_sums, name="bench-sums"),
]
