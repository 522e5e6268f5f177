"""How do Celery workers reach the same outbox? Only needed when REDIS_URL is set.

Start with `celery -A portal.celery worker --beat`. Beat puts a short-lived tick on the broker every few
seconds; the tick carries nothing but "look into the outbox", so a lost one loses no message.
"""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "portal.settings.production")
app = Celery("portal")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
