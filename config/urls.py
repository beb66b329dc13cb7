"""The paths of the house: each app groups its own by noun."""

from django.conf import settings
from django.contrib import admin
from django.contrib.auth import views as auth
from django.urls import include, path

from config.health import healthz
from config.pages import compare_cost
from config.putting_right import done, put_right
from config.views import ChangePassword

if settings.DEMO:
    # These pages are not ours: their head is the band.
    admin.site.site_header = "Demo: all invented. Keep nothing real here."
    admin.site.site_title = "Demo"

handler500 = "config.views.broken"
urlpatterns = [
    path("healthz", healthz, name="healthz"),
    path("login/", auth.LoginView.as_view(), name="login"),
    path("logout/", auth.LogoutView.as_view(), name="logout"),
    path("password/", ChangePassword.as_view(), name="password"),
    path("admin/", admin.site.urls),
    path("recipes/compare/cost/", compare_cost, name="compare-cost"),
    path("put-right/done/<int:pk>/", done, name="put-right-done"),
    path("put-right/<slug:of>/<int:pk>/", put_right, name="put-right"),
    path("", include("production.urls")),
    path("", include("costing.urls")),
    path("", include("labels.urls")),
]
