"""Rendering one mail: the owner's words, the facts of the event, a fresh private link."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from jobs.domain import job_number
from jobs.domain.facts import load_facts
from jobs.domain.mail_words import PARTS, fill_words
from jobs.domain.shop import MessageText
from jobs.domain.stages import EventKind
from jobs.messages.catalogue import ComposedMessage
from jobs.models import Booking, Customer, JobEvent, OutboxMessage
from jobs.selectors import shop
from jobs.selectors.parcels import family_of, needs_draining
from jobs.services import links

SAMPLE_NUMBER = "4821095"


def compose(message: OutboxMessage, *, now: datetime) -> ComposedMessage:
    """Return the subject, text and HTML of an outbox row; private links are made now and stored hashed."""
    context = _context(message, now=now)
    text = shop.message_text(message.kind)
    words = {"number": context["number"], "shop": context["shop"].name}
    filled = fill_text(text, words=words)
    context["opening"], context["closing"] = filled.opening, filled.closing
    context["subject"] = " ".join(filled.subject.split())
    folder = f"emails/{message.kind}"
    return ComposedMessage(
        subject=context["subject"],
        text=render_to_string(f"{folder}/body.txt", context),
        html=render_to_string(f"{folder}/body.html", context),
    )


def fill_text(text: MessageText, *, words: Mapping[str, str]) -> MessageText:
    """Return the owner's words with number and shop filled in."""
    return replace(text, **{part: fill_words(getattr(text, part), words=words) for part in PARTS})


def sample_text(text: MessageText) -> MessageText:
    """Return the owner's words as they read for a job with a made-up number."""
    return fill_text(text, words={"number": job_number.show(SAMPLE_NUMBER), "shop": shop.identity().name})


def _context(message: OutboxMessage, *, now: datetime) -> dict[str, Any]:
    job = message.job
    context: dict[str, Any] = {
        "shop": shop.identity(),
        "job": job,
        "number": job_number.show(job.number) if job else "",
        "greeting": job.customer.name if job and job.customer else "",
        "facts": None,
        "payload": message.payload,
        "link": "",
        "link_words": _("Open your page"),
        "link_note": _("The link is yours alone: whoever has it is let in as you."),
        "cautions_end": _("Your carrier's rules and your local law decide."),
    }
    if job is not None:
        context["link"] = _address(links.issue_job_link(job, now=now))
        context["link_note"] = _("The link is yours alone: whoever has it can see this job.")
        context["needs_draining"] = needs_draining(family_of(job))
        event = JobEvent.objects.filter(job=job, number=message.payload.get("event")).first()
        if event is not None:
            context["facts"] = load_facts(EventKind(event.kind), stored=event.facts)
            context["event_kind"] = event.kind
    elif message.kind == "draft_link":
        booking = Booking.objects.get(pk=message.payload["booking"])
        context["link"] = _address(links.issue_draft_link(booking, now=now))
        context["link_words"] = _("Go on with your booking")
        context["link_note"] = _(
            "The link opens this booking on any device for %(days)d days. It is yours alone: whoever has it "
            "can read your answers."
        ) % {"days": links.DRAFT_LINK_DAYS}
    elif "link" in message.payload:
        context["link"] = message.payload["link"]
        context["link_words"] = _("Sign in")
    elif message.kind == "sign_in":
        customer = Customer.objects.get(pk=message.payload["customer"])
        context["link"] = _address(links.issue_sign_in_link(customer, now=now))
        context["greeting"] = customer.name
    return context


def _address(token: str) -> str:
    """Return the address of a private link; the host comes from the settings, never from a request."""
    return f"{settings.SITE_URL}/open/{token}/"
