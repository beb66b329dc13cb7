"""Serving: refuses without a good secret key and while migrations are unapplied."""

import os

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
os.environ.setdefault("DEBUG", "no")

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.core.wsgi import get_wsgi_application

from config.env import refuse_weak
from config.health import unapplied

application = get_wsgi_application()
if not settings.DEBUG:
    refuse_weak(settings.SECRET_KEY)
if waiting := unapplied():
    raise ImproperlyConfigured(
        f"The database waits for: {', '.join(waiting)}. Run python manage.py migrate."
    )
