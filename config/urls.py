"""The paths of the house: each app groups its own by noun."""

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
    path("put-right/done/<int:pk>/", done, name="put-right-done"),
    path("put-right/<slug:of>/<int:pk>/", put_right, name="put-right"),
    path("", include("production.urls")),
    path("", include("costing.urls")),
    path("", include("labels.urls")),
]
