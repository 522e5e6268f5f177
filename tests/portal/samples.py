"""What stands in the addresses of pages with arguments, and who reads each page.

A route without arguments needs no entry: its audience's usual reader opens it and gets 200. A route with
arguments and no entry fails `test_permissions.py`. Several samples of one route are states of its page.
"""

from dataclasses import dataclass, field
from enum import StrEnum
from urllib.parse import urlencode
from uuid import UUID

from django.urls import reverse

from jobs.models import OutboxMessage
from portal.owner import kinds
from portal.shared.gates import Audience
from tests.factories import MODEL
from tests.portal import site as seeded_site
from tests.portal.reading import forms_in, parse
from tests.portal.routes import Route, routes
from tests.portal.site import Site


class Reader(StrEnum):
    """Who opens a page."""

    STRANGER = "stranger"
    WRITER = "writer"
    CUSTOMER = "customer"
    WORKSHOP = "workshop"
    OWNER = "owner"


USUAL_READER = {
    Audience.PUBLIC: Reader.STRANGER,
    Audience.CUSTOMER: Reader.CUSTOMER,
    Audience.WORKSHOP: Reader.WORKSHOP,
    Audience.OWNER: Reader.OWNER,
}
NOWHERE = UUID("6f1c6a52-0a4e-4f0e-9f0b-0f3b9a3f9a11")


@dataclass(frozen=True, slots=True)
class Sample:
    """One state of a page: its arguments, who reads it, and the code of a plain GET.

    `job`, `draft`, `photo`, `token`, `person`, `comparison` name rows of the seeded site; `more` stays as is.
    `before` names what the reader did first: sent the entry's form as it stands, chose a file to import, or
    sent the page's form empty.
    """

    job: str = ""
    draft: str = ""
    photo: str = ""
    token: str = ""
    person: str = ""
    mail: bool = False
    comparison: str = ""
    more: dict[str, str] = field(default_factory=dict)
    query: dict[str, str] = field(default_factory=dict)
    get: int = 200
    as_second: bool = False
    before: str = ""


def of_job(*names: str, **more) -> tuple[Sample, ...]:
    return tuple(Sample(job=name, **more) for name in names)


def of_draft(*names: str, **more) -> tuple[Sample, ...]:
    return tuple(Sample(draft=name, **more) for name in names)


NO_PAGE = {
    "healthz", "readyz", "customer:book_photo", "customer:job_photo", "customer:slip_pdf", "workshop:photo",
    "owner:export_all", "owner:export_kind", "owner:export_entry",
}  # fmt: skip

EVERY_STAGE = (
    "booked", "cleared", "posted", "arrived", "inspected", "stripped", "cleaned", "machined", "assembled",
    "tested", "signed_off", "packed", "sent_back", "closed", "declined",
)  # fmt: skip

MANY_OF = (
    "person",
    "work_centre",
    "route",
    "message",
    "family",
    "unit_model",
    "material",
    "carton",
    "carrier",
)
FIRST = "*"
ENTRIES = (
    {"kind": "shop", "slug": "shop"},
    {"kind": "hours", "slug": "hours"},
    {"kind": "message", "slug": "cleared"},
    {"kind": "unit_model", "slug": MODEL},
    *({"kind": kind, "slug": FIRST} for kind in MANY_OF if kind not in {"message", "unit_model"}),
)
EDITED, IMPORTED, REFUSED = "edited", "imported", "refused"
AGAIN = {"again": "1"}
CARTON = {"kind": "carton", "slug": FIRST}
BOX_KEY = {"key": "00000000-0000-4000-8000-00000000b0c5"}

OWN_CARTON = {
    "length": "400 mm", "width": "400 mm", "height": "400 mm", "wall": "double", "state": "new",
    "materials": "grocery-bags",
}  # fmt: skip

SAMPLES: dict[str, tuple[Sample, ...]] = {
    "accounts:ask_link": (Sample(get=405),),
    "accounts:open_link": (Sample(token="unknown"),),
    "accounts:sign_out": (Sample(get=405),),
    "accounts:sign_out_everywhere": (Sample(get=405),),
    # a booking that is being written
    "customer:begin": (Sample(get=302), Sample(draft="whole")),
    "customer:unsuitable": tuple(Sample(more={"reason": each}) for each in ("aircraft", "mercury", "other")),
    "customer:book_family": (Sample(), Sample(draft="whole")),
    "customer:book_number": of_draft("whole", "model_open"),
    "customer:book_model": (
        *of_draft("whole", "model_open"),
        Sample(draft="model_open", query={"choose": "1"}),
    ),
    "customer:book_fitted_to": of_draft("whole"),
    "customer:book_symptoms": of_draft("whole"),
    "customer:book_photos": of_draft("whole", "model_open"),
    "customer:book_photo_remove": (Sample(draft="whole", photo="draft", get=405),),
    "customer:book_photo": (Sample(draft="whole", photo="draft", more={"size": "thumb"}),),
    "customer:book_contact": of_draft("whole", "model_open"),
    "customer:book_wishes": of_draft("whole"),
    "customer:book_wish_answer": of_draft("wish"),
    "customer:book_limit": of_draft("whole"),
    "customer:book_check": of_draft("whole", "wish"),
    "customer:book_sent": of_draft("sent"),
    "customer:book_later": of_draft("whole"),
    "customer:book_later_sent": of_draft("whole"),
    # coming back
    "customer:open_link": (Sample(token="job"), Sample(token="draft"), Sample(token="unknown", get=410)),
    "customer:leave": (Sample(get=405),),
    # a customer's own job
    "customer:job": of_job(*EVERY_STAGE, "asked", "may_post", "held", "extra", "decided", "unknown_model"),
    "customer:job_sent": of_job("just_sent"),
    "customer:answer": of_job("asked"),
    "customer:details": of_job("cleared"),
    "customer:cancel": of_job("booked", "cleared"),
    "customer:received": of_job("sent_back"),
    "customer:extra_work": (*of_job("extra", "decided", more={"extra": "1"}),),
    "customer:decide": tuple(
        Sample(job="extra", more={"extra": "1", "decision": each}) for each in ("approved", "declined")
    ),
    "customer:pack": of_job(
        "cleared", "draining", "may_post", "smelling", "unknown_model", "booked", "posted"
    ),
    "customer:carton": (
        *of_job("cleared"),
        *of_job("cleared", query=OWN_CARTON),
        *of_job("cleared", query={"length": "no idea"}),
        *of_job("cleared", before=REFUSED, query=AGAIN),
        *of_job("unknown_model", "posted", get=302),
    ),
    "customer:drained": (*of_job("cleared", get=302), *of_job("cleared", before=REFUSED, query=AGAIN)),
    "customer:smell": (*of_job("draining", get=302), *of_job("smell_due", before=REFUSED, query=AGAIN)),
    "customer:slip": of_job("may_post", "posted", "draining", "booked", "arrived"),
    "customer:slip_pdf": of_job("may_post"),
    "customer:posted": of_job("may_post", "draining", "posted"),
    "customer:job_photos": of_job("cleared", "arrived"),
    "customer:job_photo_remove": (Sample(job="cleared", photo="customer", get=405),),
    "customer:job_photo": (Sample(job="cleared", photo="customer", more={"size": "page"}),),
    # the shop's people
    "slip:scan": of_job("posted", get=302),
    "slip:scan_small": of_job("posted", get=302),
    "workshop:counter": (Sample(), Sample(query={"q": "Thornby"}), Sample(query={"q": "nothing like it"})),
    "workshop:box": (
        Sample(query=BOX_KEY),
        Sample(query={**BOX_KEY, "parcel_number": "QF12345678901"}),
        Sample(get=302),
    ),
    "workshop:jobs": (Sample(), Sample(query={"text": "nothing like it"})),
    "workshop:photo": (Sample(photo="arrival", more={"size": "page"}),),
    "workshop:job": of_job(
        *EVERY_STAGE, "asked", "working", "held", "extra", "decided", "box", "unknown_model", "first"
    ),
    "workshop:card": of_job("arrived", "assembled", "box"),
    "workshop:answer": of_job("booked", "just_sent"),
    "workshop:question": of_job("booked", "stripped"),
    "workshop:decline": of_job("booked"),
    "workshop:cancel": of_job("cleared"),
    "workshop:spoken": of_job("asked"),
    "workshop:receive": of_job("posted", "booked"),
    "workshop:photos": of_job("arrived", "posted"),
    "workshop:withdraw_photo": (
        Sample(job="arrived", photo="arrival"),
        Sample(job="cleared", photo="customer"),
    ),
    "workshop:match": of_job("box"),
    "workshop:match_with": of_job("box", more={"booking": "posted"}),
    "workshop:inspect": of_job("arrived", "box"),
    "workshop:start": of_job("inspected", "stripped"),
    "workshop:pause": of_job("working"),
    "workshop:finish": of_job("working", "stripped"),
    "workshop:fail_test": of_job("assembled", "tested"),
    "workshop:finding": of_job("stripped"),
    "workshop:extra_work": of_job("stripped"),
    "workshop:decide": of_job("extra", more={"extra": "1"}),
    "workshop:part": of_job("stripped"),
    "workshop:settings": of_job("assembled"),
    "workshop:readings": of_job("assembled"),
    "workshop:hold": of_job("stripped"),
    "workshop:release": of_job("held"),
    "workshop:sign_off": (Sample(job="tested"), Sample(job="tested", as_second=True)),
    "workshop:bench_fluid": of_job("signed_off"),
    "workshop:pack": of_job("signed_off"),
    "workshop:send_back": of_job("packed"),
    "workshop:unrepaired": of_job("arrived", "stripped"),
    "workshop:close": of_job("sent_back"),
    "workshop:links": of_job("stripped", "closed"),
    "workshop:turn": of_job("stripped", "first"),
    "workshop:note": of_job("stripped", "closed"),
    "workshop:take_back": of_job("stripped", "packed"),
    # the owner
    "owner:send_again": (Sample(mail=True, get=405),),
    "owner:prepare_again": (Sample(photo="arrival", get=405),),
    "owner:import_preview": (Sample(get=302), Sample(before=IMPORTED)),
    "owner:entries": (
        *(Sample(more={"kind": kind}) for kind in MANY_OF),
        *(Sample(more={"kind": kind}, get=302) for kind in ("shop", "hours", "closed_day")),
    ),
    "owner:export_kind": (Sample(more={"kind": "carton"}),),
    "owner:new": tuple(Sample(more={"kind": kind}) for kind in MANY_OF if kind != "message"),
    "owner:preview_new": (Sample(more={"kind": "carton"}, get=302),),
    "owner:entry": tuple(Sample(more=each) for each in ENTRIES),
    "owner:export_entry": (Sample(more=CARTON),),
    "owner:edit": tuple(Sample(more=each) for each in ENTRIES),
    "owner:preview": (
        Sample(more=CARTON, get=302),
        *(Sample(more=each, before=EDITED) for each in ENTRIES),
    ),
    "owner:discard": (Sample(more=CARTON, get=405),),
    "owner:withdraw": (Sample(more=CARTON),),
    "owner:revision": (Sample(more={**CARTON, "number": "1"}),),
    "owner:person": (Sample(person="workshop"),),
    "owner:take_usual": (Sample(get=302),),
    "owner:what_if_run": tuple(
        Sample(comparison=each) for each in ("done", "first", "waiting", "refused", "cancelled", "expired")
    ),
    "owner:cancel_what_if": (Sample(comparison="waiting", get=405),),
    "owner:end_sessions": (Sample(person="workshop", get=405),),
}


@dataclass(frozen=True, slots=True)
class Page:
    """One route with one of its samples."""

    route: Route
    sample: Sample

    @property
    def reader(self) -> Reader:
        """Who opens it."""
        if self.sample.draft:
            return Reader.WRITER
        return USUAL_READER[self.route.audience]

    @property
    def label(self) -> str:
        """Its name in a test report."""
        said = (
            self.sample.job,
            self.sample.draft,
            self.sample.token,
            self.sample.comparison,
            self.sample.before,
            *self.sample.more.values(),
        )
        second = "second" if self.sample.as_second else ""
        return "-".join(filter(None, (self.route.name, *said, *self.sample.query.values(), second))).replace(
            " ", "_"
        )

    @property
    def is_html(self) -> bool:
        """Whether it is a page, and not a file, a photo or an answer for machines."""
        return self.route.name not in NO_PAGE

    def arguments(self, site: Site) -> dict[str, str]:
        """Return what stands in the address, with the seeded rows in it."""
        sample, values = self.sample, dict(self.sample.more)
        if sample.job and "number" in self.route.arguments:
            values["number"] = site.jobs[sample.job].number
        if "booking" in values:
            values["booking"] = site.jobs[values["booking"]].number
        if values.get("slug") == FIRST:
            values["slug"] = min(kinds.published(kinds.BY_KEY[values["kind"]]))
        if sample.person:
            values["pk"] = str(site.people[sample.person].pk)
        if sample.mail:
            values["pk"] = str(OutboxMessage.objects.order_by("pk").values_list("pk", flat=True)[0])
        if sample.comparison:
            values["reference"] = str(site.comparisons[sample.comparison].reference)
        if sample.photo:
            values["reference"] = str(site.photos[sample.photo].reference)
        if sample.token:
            values["token"] = site.tokens.get(sample.token, "0" * 43)
        assert set(values) == self.route.arguments, f"{self.label}: arguments are {set(self.route.arguments)}"
        return values

    def address(self, site: Site) -> str:
        """Return the address with the seeded rows in it."""
        sample, values = self.sample, self.arguments(site)
        query = f"?{urlencode(sample.query)}" if sample.query else ""
        return reverse(self.route.name, kwargs=values) + query

    def open_as_reader(self, site: Site):
        """Return a browser (a test client) of the page's own reader."""
        browser = self._opened(site)
        if self.sample.before == EDITED:
            edit = self.address(site).replace("/preview/", "/edit/")
            (form,) = [each for each in forms_in(parse(browser.get(edit).content.decode())) if each.typed]
            named = {name: [f"{form.values[name][0]} Mark 2"] for name in form.typed if name == "name"}
            browser.post(edit, form.values | named)
        elif self.sample.before == IMPORTED:
            text = browser.get(reverse("owner:export_kind", args=["carton"])).content.decode()
            browser.post(reverse("owner:import"), {"text": text.replace('name = "', 'name = "Stout ', 1)})
        elif self.sample.before == REFUSED:
            browser.post(self.address(site).partition("?")[0])
        return browser

    def _opened(self, site: Site):
        match self.reader:
            case Reader.WRITER:
                return seeded_site.writer(site.drafts[self.sample.draft])
            case Reader.CUSTOMER:
                return seeded_site.let_in(site.jobs[self.sample.job or "cleared"])
            case Reader.WORKSHOP | Reader.OWNER as role:
                return seeded_site.signed_in(site.people["second" if self.sample.as_second else role.value])
            case _:
                return seeded_site.stranger()


def pages() -> tuple[Page, ...]:
    """Return every route with each of its samples; one without arguments needs none."""
    return tuple(
        Page(route, sample)
        for route in routes()
        for sample in SAMPLES.get(route.name, () if route.arguments else (Sample(),))
    )
