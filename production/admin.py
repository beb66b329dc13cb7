"""Ink shown as it stands in the tables; nothing is written here."""

from django.apps import apps
from django.contrib import admin


class ReadOnly(admin.ModelAdmin):
    list_per_page = 50
    show_full_result_count = False

    def has_add_permission(self, request, obj=None):
        return False

    def has_change_permission(self, request, obj=None):
        return False

    def has_delete_permission(self, request, obj=None):
        return False


for model in apps.get_app_config("production").get_models():
    admin.site.register(model, ReadOnly)
