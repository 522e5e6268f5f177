"""How a sum may be typed."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from portal.shared.forms import SheetForm
from portal.shared.money import PoundsField


class SumForm(SheetForm):
    """A form with one sum."""

    total = PoundsField(label="Total", max_value=20_000)
    named = {"total": "the sum, 5 % more"}


@pytest.mark.parametrize(
    ("typed", "sum_pounds"),
    [
        ("80", "80"),
        ("£80", "80"),
        (" £ 1,250.50 ", "1250.50"),
        ("1,250,000", "1250000"),
        ("0", "0"),
        ("24.5", "24.5"),
    ],
)
def test_a_sum_is_read_with_its_sign_and_its_commas(typed, sum_pounds):
    assert PoundsField().clean(typed) == Decimal(sum_pounds)


@pytest.mark.parametrize("typed", ["80,50", "£", "eighty", "-1", "1.234", "12,34,567.1", "NaN"])
def test_what_may_mean_two_sums_is_asked_again(typed):
    with pytest.raises(ValidationError):
        PoundsField().clean(typed)


def test_an_empty_field_is_no_sum():
    assert PoundsField(required=False).clean("") is None


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("eighty", "Enter the sum, 5 % more in pounds, like 25 or 1,250.50"),
        ("20000.01", "The sum, 5 % more has to be £20,000 or less"),
        ("-1", "The sum, 5 % more has to be £0 or more"),
        ("1.234", "Enter the sum, 5 % more in pounds and pence, like 25 or 1,250.50"),
    ],
)
def test_a_refused_sum_is_told_in_pounds(typed, sentence):
    form = SumForm({"total": typed})
    assert form.errors["total"] == [sentence]
