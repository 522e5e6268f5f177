"""How does the owner add people, change what they may open, and end their sessions?"""

from django.contrib.auth import password_validation
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, Q
from django.utils.translation import gettext as _

from portal.accounts.models import User
from portal.accounts.roles import Role


class PeopleError(Exception):
    """A change to the people that cannot be made; its text says what to do."""


class AddressTaken(PeopleError):
    """Somebody with this mail address exists already."""


class LastOwner(PeopleError):
    """The change would leave the shop without an owner."""


def add_person(email: str, *, name: str, role: Role, password: str | None = None) -> User:
    """Return the new person; without a password they sign in by mailed link.

    Raises: AddressTaken; django ValidationError when the password is too easy to guess.
    """
    if User.objects.filter(email=email.strip().lower()).exists():
        raise AddressTaken(
            _("%(email)s is in the list already: change that person instead.") % {"email": email}
        )
    if password is not None:
        password_validation.validate_password(password, User(email=email, name=name))
    return User.objects.create_user(email, password, name=name, role=role)


def change_person(person: User, *, name: str, role: Role, is_active: bool) -> User:
    """Return the person with the new name, role and state; ends their sessions when they lose something.

    Raises: LastOwner when no active owner would be left.
    """
    with transaction.atomic():
        # All at once and by key: two owners who change each other at the same moment wait in one order.
        owners_or_self = Q(pk=person.pk) | Q(role=Role.OWNER, is_active=True)
        locked = list(User.objects.select_for_update(no_key=True).filter(owners_or_self).order_by("pk"))
        current = next(each for each in locked if each.pk == person.pk)
        loses = (current.is_owner and role != Role.OWNER) or (current.is_active and not is_active)
        if current.is_owner and loses and len(locked) == 1:
            raise LastOwner(_("This is the only owner: make somebody else an owner first."))
        current.name, current.role, current.is_active = name, role, is_active
        current.save(update_fields=["name", "role", "is_active"])
        if loses:
            end_sessions(current)
    return current


def end_sessions(person: User) -> None:
    """Sign the person out everywhere: every session that was opened before stops counting."""
    User.objects.filter(pk=person.pk).update(sessions_number=F("sessions_number") + 1)
    person.refresh_from_db(fields=["sessions_number"])


def set_password(person: User, *, password: str) -> None:
    """Keep the new password; the person's sessions on other browsers end by it."""
    person.set_password(password)
    person.save(update_fields=["password"])


def password_problems(password: str, *, person: User) -> tuple[str, ...]:
    """Return the sentences that say why this password is too weak; none when it will do."""
    try:
        password_validation.validate_password(password, person)
    except ValidationError as refusal:
        return tuple(refusal.messages)
    return ()
