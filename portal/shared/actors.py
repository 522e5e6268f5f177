"""Who is acting in this request? The log's actor, from the signed-in person or the customer's grant."""

from django.http import HttpRequest

from jobs.domain.actors import Actor
from jobs.domain.stages import Role
from jobs.models import Customer


def staff_actor(request: HttpRequest) -> Actor:
    """Return the signed-in person of the shop."""
    user = request.user
    return Actor(role=Role(getattr(user, "role", "")), name=str(user), user_id=user.pk)


def customer_actor(customer: Customer) -> Actor:
    """Return the customer whose grant this browser holds."""
    return Actor(role=Role.CUSTOMER, name=customer.name, customer_id=customer.pk)
