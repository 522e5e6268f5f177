"""Which pages are asked for: every list of the three people, and what they open from it all day."""

from collections.abc import Iterator
from urllib.parse import urlencode

from django.urls import NoReverseMatch, URLPattern, get_resolver, reverse

from jobs.domain.stages import ENDED, ON_BENCH, Stage
from jobs.models import Customer, Job

AUDIENCES = ("workshop", "owner", "customer")
Address = tuple[str, str]


def list_addresses(audience: str) -> list[Address]:
    """Return (name, address) of each page of the audience whose address has no variable part."""
    _, resolver = get_resolver().namespace_dict[audience]
    found = []
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLPattern) and pattern.name:
            try:
                found.append((f"{audience}:{pattern.name}", reverse(f"{audience}:{pattern.name}")))
            except NoReverseMatch:
                continue
    return found


def opened_addresses(audience: str, *, owner: Customer) -> list[Address]:
    """Return (name, address) of what the audience opens from its lists, for jobs that there are."""
    match audience:
        case "workshop":
            return list(_for_workshop(owner))
        case "owner":
            return list(_for_owner())
        case _:
            return list(_for_customer(owner))


def _for_workshop(owner: Customer) -> Iterator[Address]:
    counter, every = reverse("workshop:counter"), reverse("workshop:jobs")
    surname = owner.name.split()[-1]
    yield "scan of a name", f"{counter}?{urlencode({'q': surname})}"
    yield "scan of a parcel", f"{counter}?{urlencode({'q': 'ZZ123456785GB'})}"
    yield "all jobs, a name", f"{every}?{urlencode({'text': surname})}"
    yield "all jobs, closed", f"{every}?{urlencode({'stage': Stage.CLOSED.value})}"
    yield from _job_page("job on the bench", "workshop:job", stages=ON_BENCH)
    yield from _job_page("job that ended", "workshop:job", stages=ENDED)
    yield from _job_page("booking to answer", "workshop:answer", stages={Stage.BOOKED})


def _for_owner() -> Iterator[Address]:
    every, log = reverse("owner:jobs"), reverse("owner:events")
    yield "jobs, closed", f"{every}?{urlencode({'stage': Stage.CLOSED.value})}"
    yield "jobs, a name", f"{every}?{urlencode({'q': 'son'})}"
    yield "events of one kind", f"{log}?{urlencode({'kind': 'arrived'})}"
    model = Job.objects.exclude(unit_model="").order_by("pk").values_list("unit_model", flat=True).first()
    if model:
        yield "unit model", reverse("owner:entry", args=["unit_model", model])
        yield "unit model, editor", reverse("owner:edit", args=["unit_model", model])


def _for_customer(owner: Customer) -> Iterator[Address]:
    own = {"customer": owner}
    yield from _job_page("job on the bench", "customer:job", stages=ON_BENCH, **own)
    yield from _job_page("job to send", "customer:job", stages={Stage.CLEARED}, **own)
    yield from _job_page("how to pack it", "customer:pack", stages={Stage.CLEARED}, **own)


def _job_page(
    name: str, page: str, *, stages: set[Stage] | frozenset[Stage], **own: Customer
) -> Iterator[Address]:
    names = [stage.value for stage in stages]
    job = Job.objects.filter(stage__in=names, **own).order_by("pk").only("number").first()
    if job is not None:
        yield name, reverse(page, args=[job.number])
