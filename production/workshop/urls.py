"""Paths of the workshop's card, its vessels and its people."""

from django.urls import path

from production.workshop import views

urlpatterns = [
    path("workshop/", views.workshop, name="workshop"),
    path("workshop/change/", views.workshop_change, name="workshop-change"),
    path("workshop/vessels/add/", views.vessel_add, name="vessel-add"),
    path(
        "workshop/vessels/<int:pk>/change/", views.vessel_change, name="vessel-change"
    ),
    path("workshop/people/add/", views.person_add, name="person-add"),
    path("workshop/people/<int:pk>/", views.person, name="person"),
    path(
        "workshop/people/<int:pk>/password/",
        views.person_password,
        name="person-password",
    ),
    path("workshop/people/<int:pk>/unlock/", views.person_unlock, name="person-unlock"),
    path("splash/", views.splash, name="splash"),
]
