"""The application that waitress serves."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "loomready.app.settings")
application = get_wsgi_application()
