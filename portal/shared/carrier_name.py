"""What is typed as a carrier's name: a parcel number scanned into the wrong field is noticed in words."""

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from jobs.domain.tracking import is_number_for_carrier


def refuse_number(typed: str) -> None:
    """Raise a sentence that says where the number belongs.

    Raises: ValidationError.
    """
    if is_number_for_carrier(typed):
        raise ValidationError(
            _(
                "“%s” looks like a parcel number: type it into the field for the number, "
                "and here the carrier's name"
            )
            % typed
        )
