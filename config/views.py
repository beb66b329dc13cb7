"""Pages of the roof."""

from django.contrib import messages
from django.contrib.auth.views import PasswordChangeView
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
