"""How does a sign-in link reach a person of the shop? Through the outbox, like every other mail."""

from datetime import datetime

from django.db import transaction

from jobs.services._steps import queue_message


def queue_sign_in_mail(recipient: str, *, key: str, link: str, now: datetime) -> None:
    """Queue the mail that carries a sign-in link; the same `key` twice sends one mail."""
    with transaction.atomic():
        queue_message("sign_in", key=key, recipient=recipient, payload={"link": link}, job=None, now=now)
