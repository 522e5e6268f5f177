"""Rendering one mail: the owner's words, the facts of the event, a fresh private link."""

from dataclasses import replace
from datetime import date, datetime
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from jobs.domain import job_number
from jobs.domain.booking import DRAFT_DAYS
from jobs.domain.facts import Promise, load_facts
from jobs.domain.mail_words import PARTS, WITHOUT_JOB, fill_words
from jobs.domain.shop import MessageText
from jobs.domain.stages import EventKind
from jobs.messages import samples
from jobs.messages.catalogue import ComposedMessage
from jobs.models import Booking, Customer, Job, JobEvent, OutboxMessage
from jobs.selectors import shop
from jobs.selectors.parcels import family_of, needs_draining
from jobs.services import links


def compose(message: OutboxMessage, *, now: datetime) -> ComposedMessage:
    """Return the subject, text and HTML of an outbox row; private links are made now and stored hashed."""
    return _render(shop.message_text(message.kind), context=_context(message, now=now))


def sample_mail(text: MessageText, *, today: date) -> ComposedMessage:
    """Return a whole mail in the given words with invented values; no link is made and nothing is stored."""
    sample = samples.SAMPLES[text.slug]
    context = _frame(job=None, payload={"asked": samples.QUESTION} if text.slug == "reminder" else {})
    context |= {
        "number": "" if text.slug in WITHOUT_JOB else job_number.show(samples.NUMBER),
        "greeting": "" if text.slug == "draft_link" else samples.GREETING,
        "facts": sample.facts(today),
        "link": f"{settings.SITE_URL}{samples.LINK_END}",
    }
    if sample.kind is not None:
        context["event_kind"] = sample.kind
    if text.slug == "draft_link":
        context |= _words_of_draft_link()
    elif text.slug not in WITHOUT_JOB:
        context["link_note"] = _note_of_job_link()
    if text.slug == "promise_changed":
        context["before"] = samples.promise_before(today)
    return _render(text, context=context)


def _render(text: MessageText, *, context: dict[str, Any]) -> ComposedMessage:
    """Return the mail that the owner's words and a context make."""
    words = {"number": context["number"], "shop": context["shop"].name}
    filled = replace(text, **{part: fill_words(getattr(text, part), words=words) for part in PARTS})
    subject = " ".join(filled.subject.split())
    context |= {"subject": subject, "opening": filled.opening, "closing": filled.closing}
    folder = f"emails/{text.slug}"
    return ComposedMessage(
        subject=subject,
        text=render_to_string(f"{folder}/body.txt", context),
        html=render_to_string(f"{folder}/body.html", context),
    )


def _frame(*, job: Job | None, payload: dict[str, Any]) -> dict[str, Any]:
    return {
        "shop": shop.identity(),
        "job": job,
        "number": job_number.show(job.number) if job else "",
        "greeting": job.customer.name if job and job.customer else "",
        "facts": None,
        "before": None,
        "needs_draining": True,
        "payload": payload,
        "link": "",
        "link_words": _("Open your page"),
        "link_note": _("The link is yours alone: whoever has it is let in as you."),
        "cautions_end": _("Your carrier's rules and your local law decide."),
    }


def _words_of_draft_link() -> dict[str, str]:
    note = _(
        "The link opens this booking on any device for %(days)d days. It is yours alone: whoever has it "
        "can read your answers."
    )
    return {"link_words": _("Go on with your booking"), "link_note": note % {"days": DRAFT_DAYS}}


def _note_of_job_link() -> str:
    return _("The link is yours alone: whoever has it can see your jobs here.")


def _context(message: OutboxMessage, *, now: datetime) -> dict[str, Any]:
    job = message.job
    context = _frame(job=job, payload=message.payload)
    if job is not None:
        context["link"] = _address(links.issue_job_link(job, now=now))
        context["link_note"] = _note_of_job_link()
        context["needs_draining"] = needs_draining(family_of(job))
        event = JobEvent.objects.filter(job=job, number=message.payload.get("event")).first()
        if event is not None:
            context["facts"] = load_facts(EventKind(event.kind), stored=event.facts)
            context["event_kind"] = event.kind
            if event.kind == EventKind.PROMISE_CHANGED:
                context["before"] = _promise_before(event)
    elif message.kind == "draft_link":
        booking = Booking.objects.get(pk=message.payload["booking"])
        context["link"] = _address(links.issue_draft_link(booking, now=now))
        context |= _words_of_draft_link()
    elif "link" in message.payload:
        context["link"] = message.payload["link"]
        context["link_words"] = _("Sign in")
    elif message.kind == "sign_in":
        customer = Customer.objects.get(pk=message.payload["customer"])
        context["link"] = _address(links.issue_sign_in_link(customer, now=now))
        context["greeting"] = customer.name
    return context


def _promise_before(event: JobEvent) -> Promise | None:
    """Return what was promised until this event."""
    kinds = [EventKind.PROMISE_MADE.value, EventKind.PROMISE_CHANGED.value]
    rows = JobEvent.objects.filter(job=event.job_id, kind__in=kinds, number__lt=event.number)
    row = rows.order_by("-number").first()
    return load_facts(EventKind(row.kind), stored=row.facts) if row else None


def _address(token: str) -> str:
    """Return the address of a private link; the host comes from the settings, never from a request."""
    return f"{settings.SITE_URL}/open/{token}/"
