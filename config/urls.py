"""The paths of the house: a noun, one of them, and what is done to it."""

from django.urls import include, path

from config.health import healthz
from config.pages import compare_cost
from config.putting_right import done, put_right
from config.views import ChangePassword, SignIn, SignOut

handler400 = "config.bad_requests.page"
handler500 = "config.views.broken"
urlpatterns = [
    path("healthz", healthz, name="healthz"),
    path("login/", SignIn.as_view(), name="login"),
    path("logout/", SignOut.as_view(), name="logout"),
    path("password/", ChangePassword.as_view(), name="password"),
    path("recipes/compare/cost/", compare_cost, name="compare-cost"),
    path("history/<int:pk>/put-right/", done, name="put-right-done"),
    path("figures/<slug:of>/<int:pk>/put-right/", put_right, name="put-right"),
    path("", include("production.urls")),
    path("", include("costing.urls")),
    path("", include("labels.urls")),
]
