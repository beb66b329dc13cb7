"""Pages of the roof: signing in and out, and what is said when something fails."""

from django.contrib import messages
from django.contrib.auth.views import PasswordChangeView
from django.shortcuts import render
from django.urls import reverse_lazy


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


def locked_out(request, response=None, credentials=None):
    """Too many wrong passwords: the door stays shut for a while."""
    return render(request, "429.html", status=429)
