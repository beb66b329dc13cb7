"""Pages of the roof."""

import sys

from django.contrib import messages
from django.contrib.auth.views import PasswordChangeView
from django.db import InterfaceError, OperationalError
from django.http import HttpResponse
from django.template.loader import render_to_string
from django.urls import reverse, reverse_lazy
from django.views.defaults import server_error

from config import full_disk
from production.domain.room import no_room
from production.views.workshop import splash


def broken(request):
    """The page for a fault; a database that does not answer is told apart.

    Django asks for it wherever the fault came up, in a middleware too.
    """
    fault = sys.exc_info()[1]
    if no_room(fault):
        return full_disk.page()
    if isinstance(fault, OperationalError | InterfaceError):
        if request.path == reverse("splash"):
            return splash(request)
        page = render_to_string("503.html")
        return HttpResponse(page, status=503, headers={"Retry-After": "60"})
    return server_error(request)


class ChangePassword(PasswordChangeView):
    template_name = "deed.html"
    success_url = reverse_lazy("workshop")
    extra_context = {
        "title": "Change your password",
        "says": "A long one that you use nowhere else.",
        "button": "Change the password",
    }

    def form_valid(self, form):
        messages.success(self.request, "Your password is changed.")
        return super().form_valid(form)
