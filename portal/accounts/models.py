"""Who may sign in, the links mailed to them, and the counters that slow guessing."""

from typing import Any, ClassVar

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models.functions import Lower
from django.utils.crypto import salted_hmac

from portal.accounts.roles import ROLE_LABELS, Role


class UserManager(BaseUserManager["User"]):
    """Makes and finds people by their mail address, whatever the capitals."""

    def create_user(
        self, email: str, password: str | None = None, *, name: str, role: str = Role.WORKSHOP, **fields: Any
    ) -> "User":
        """Return a new person; without a password they sign in by mailed link only."""
        person = self.model(email=email.strip().lower(), name=name.strip(), role=Role(role), **fields)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def create_superuser(self, email: str, password: str | None = None, **fields: Any) -> "User":
        """Return a new owner; the name that `manage.py createsuperuser` expects."""
        fields.setdefault("name", email)
        return self.create_user(email, password, role=Role.OWNER, **fields)

    def get_by_natural_key(self, username: str | None) -> "User":
        """Return the person with this mail address."""
        return self.get(email=(username or "").strip().lower())


class User(AbstractBaseUser):
    """A person of the shop; customers have no account."""

    email = models.EmailField("mail address", unique=True)
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=8, choices=[(role.value, ROLE_LABELS[role]) for role in Role])
    is_active = models.BooleanField(default=True)
    sessions_number = models.PositiveIntegerField(default=1)

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    objects = UserManager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(role__in=[role.value for role in Role]), name="user_role_known"
            ),
            models.CheckConstraint(condition=models.Q(email=Lower("email")), name="user_email_lower_case"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_owner(self) -> bool:
        """Whether the owner's pages open for this person."""
        return self.role == Role.OWNER

    def get_session_auth_hash(self) -> str:
        """Return the seal on this person's sessions: it changes with the password and the number."""
        return self._session_hash(secret=None)

    def get_session_auth_fallback_hash(self) -> Any:
        """Yield the same under each former signing key."""
        for key in settings.SECRET_KEY_FALLBACKS:
            yield self._session_hash(secret=key)

    def _session_hash(self, *, secret: str | None) -> str:
        seal = f"{self.password}:{self.sessions_number}"
        return salted_hmac("portal.accounts.session", seal, secret=secret, algorithm="sha256").hexdigest()


class SignInLink(models.Model):
    """A link mailed to a person: good once, for a few minutes, in the browser that asked for it."""

    user = models.ForeignKey(User, null=True, on_delete=models.CASCADE, related_name="sign_in_links")
    token_sha256 = models.CharField(max_length=64, unique=True)
    browser_sha256 = models.CharField(max_length=64)
    asked_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)
    kept = models.TextField(default="", blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(expires_at__gt=models.F("asked_at")), name="sign_in_link_ends_later"
            ),
        ]

    def __str__(self) -> str:
        return f"sign-in link {self.pk}"


class AttemptCount(models.Model):
    """How often somebody tried something within one window of time; whom it counts is kept hashed."""

    scope = models.CharField(max_length=40)
    subject_sha256 = models.CharField(max_length=64)
    window_number = models.BigIntegerField()
    attempts = models.PositiveIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["scope", "subject_sha256", "window_number"], name="attempt_count_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.scope}: {self.attempts}"
