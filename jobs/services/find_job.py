"""How does a customer who lost the mail get back in? By a link to every contact that has this address."""

from datetime import datetime

from django.db import transaction

from jobs.models import Customer
from jobs.services._steps import queue_message

LINKS_MOST = 10


@transaction.atomic(durable=True)
def mail_sign_in_links(email: str, *, now: datetime) -> int:
    """Return how many mails were queued: one for each contact with this address, one a minute at the most.

    The caller answers the same whatever the count is, so that asking tells nobody who is a customer.
    """
    found = Customer.objects.filter(email__iexact=email.strip(), jobs__isnull=False).distinct()
    customers = list(found.order_by("-pk")[:LINKS_MOST])
    for customer in customers:
        queue_message(
            "sign_in",
            key=f"find.{customer.pk}.{now:%Y%m%d%H%M}",
            recipient=customer.email,
            payload={"customer": customer.pk},
            job=None,
            now=now,
        )
    return len(customers)
