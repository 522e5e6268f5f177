"""A mail address is as long as mail takes it, on every form; a longer one is refused with what to do."""

import pytest
from django import forms

from jobs.models import Customer, OutboxMessage
from portal.accounts.models import User
from portal.customer.forms.contact import ContactForm, EmailForm
from portal.owner.forms import NewPersonForm
from portal.shared.mail_address import MAIL_ADDRESS_MOST
from portal.workshop.forms.staff import RenewLinksForm

FORMS = (ContactForm, EmailForm, NewPersonForm, RenewLinksForm)


def address_of(length):
    """Return an address of that many characters."""
    domain = f"{'b' * 60}.{'c' * 60}.{'d' * 54}.example"
    return f"{'a' * (length - len(domain) - 1)}@{domain}"


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.__name__)
def test_the_longest_address_that_mail_takes_is_taken(form):
    address = address_of(MAIL_ADDRESS_MOST)
    assert len(address) == MAIL_ADDRESS_MOST
    assert form.base_fields["email"].clean(address) == address


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.__name__)
def test_a_longer_address_is_refused_with_what_to_do(form):
    with pytest.raises(forms.ValidationError) as refused:
        form.base_fields["email"].clean(address_of(MAIL_ADDRESS_MOST + 1))
    assert refused.value.messages == [
        "Enter a shorter email address: no mail reaches one of more than 254 characters"
    ]


@pytest.mark.parametrize(
    ("model", "column"), [(Customer, "email"), (User, "email"), (OutboxMessage, "recipient")]
)
def test_every_column_holds_the_longest_address(model, column):
    assert model._meta.get_field(column).max_length == MAIL_ADDRESS_MOST
