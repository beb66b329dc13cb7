"""Pages of the roof."""

import sys

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.views import LoginView, LogoutView, PasswordChangeView
from django.db import InterfaceError, OperationalError
from django.http import HttpResponse, HttpResponseRedirect
from django.template.loader import render_to_string
from django.urls import reverse, reverse_lazy
from django.views.defaults import server_error

from config import full_disk
from config.middleware import leave_seat, take_seat
from config.password_tries import remember
from production.papers.domain.disk_full import no_room
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today
from production.workshop.actions.people import change_own_password
from production.workshop.views import splash


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


class SignIn(LoginView):
    def form_valid(self, form):
        response = super().form_valid(form)
        remember(self.request, response, form.get_user())
        take_seat(self.request, response)
        return response


class SignOut(LogoutView):
    def post(self, request, *args, **kwargs):
        response = super().post(request, *args, **kwargs)
        leave_seat(response)
        return response


class ChangePassword(PasswordChangeView):
    template_name = "deed.html"
    success_url = reverse_lazy("workshop")
    extra_context = {
        "title": "Change your password",
        "says": "A long one that you use nowhere else. Wherever else you are signed "
        "in, you are signed out by it.",
        "button": "Change the password",
    }

    def form_valid(self, form):
        user = self.request.user
        try:
            change_own_password(
                password=form.cleaned_data["new_password1"], on=today(), by=user
            )
        except Refused as fault:
            form.add_error(None, str(fault))
            return self.form_invalid(form)
        # Every other browser is signed out by it; this one is not.
        user.refresh_from_db()
        update_session_auth_hash(self.request, user)
        messages.success(self.request, "Your password is changed.")
        return HttpResponseRedirect(self.get_success_url())
