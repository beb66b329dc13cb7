"""Serving: refuses without a secret key and while migrations are unapplied."""

import os

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
os.environ.setdefault("DEBUG", "no")

from django.core.exceptions import ImproperlyConfigured
from django.core.wsgi import get_wsgi_application

from config.health import unapplied

application = get_wsgi_application()
if waiting := unapplied():
    raise ImproperlyConfigured(
        f"The database waits for: {', '.join(waiting)}. Run python manage.py migrate."
    )
