"""Adds a person of the shop: the first owner of a new site, or a colleague."""

from argparse import ArgumentParser
from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError


class Command(BaseCommand):
    """`manage.py add_person`: writes one row; the person signs in by mailed link, or by password."""

    help = "Adds a person of the shop."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take who it is and what they may open."""
        parser.add_argument("email")
        parser.add_argument("--name", required=True)
        parser.add_argument("--role", choices=["workshop", "owner"], required=True)
        parser.add_argument("--password", help="left out: the person signs in by mailed link only")
        parser.add_argument("--dry-run", action="store_true", help="check, and write nothing")

    def handle(self, *args: Any, **options: Any) -> None:
        """Check, write, and say what was done."""
        people = get_user_model()
        email = options["email"].strip().lower()
        if people._default_manager.filter(email=email).exists():
            raise CommandError(f"{email} is in the list already.")
        person = people(email=email, name=options["name"].strip(), role=options["role"])
        try:
            person.full_clean(exclude=["password"])
            if options["password"] is not None:
                validate_password(options["password"], person)
        except ValidationError as refused:
            raise CommandError(_in_words(refused)) from refused
        if options["dry_run"]:
            self.stdout.write(f"Would add {options['name']} ({options['role']}). Nothing was written.")
            return
        create = people._default_manager.create_user
        create(email, options["password"], name=options["name"], role=options["role"])
        self.stdout.write(f"Added {options['name']} ({options['role']}).")


def _in_words(refused: ValidationError) -> str:
    """Return what is wrong, and with what of the command where that is known."""
    if not hasattr(refused, "error_dict"):
        return " ".join(refused.messages)
    return " ".join(f"{name}: {' '.join(told)}" for name, told in refused.message_dict.items())
