"""What may Celery workers do? The same rounds as `manage.py worker`, for a shop that runs Redis.

A task carries nothing: it looks into the database for what is due. It may be lost, doubled or killed; the
rows stay, and the next one finds them.
"""

from celery import shared_task
from django.utils import timezone

from jobs.backups.nightly import back_up_nightly
from jobs.selectors.shop import shop_clock
from jobs.services import forecasts, messages, outlooks, photo_keeping, photos, quotes, upkeep, whatif_runs

MAILS_A_TASK = 50
PHOTOS_A_TASK = 10
COMPARISONS_A_TASK = 5


@shared_task(name="jobs.tasks.deliver_messages")
@shop_clock()
def deliver_messages() -> None:
    """Send the mails that are due."""
    messages.deliver_due(now=timezone.now(), limit=MAILS_A_TASK)


@shared_task(name="jobs.tasks.convert_photos")
@shop_clock()
def convert_photos() -> None:
    """Convert the photos that wait, one after the other."""
    for _ in range(PHOTOS_A_TASK):
        if not photos.convert_next(now=timezone.now()):
            return


@shared_task(name="jobs.tasks.refresh_forecasts")
@shop_clock()
def refresh_forecasts() -> None:
    """Bring the forecasts up to date when the queue has changed."""
    forecasts.refresh_if_stale(now=timezone.now())
    while outlooks.refresh_next(now=timezone.now()):
        pass


@shared_task(name="jobs.tasks.work_comparisons")
@shop_clock()
def work_comparisons() -> None:
    """Work out the comparisons that were asked for."""
    for _ in range(COMPARISONS_A_TASK):
        if not whatif_runs.work_next(now=timezone.now()):
            return


@shared_task(name="jobs.tasks.keep_house")
@shop_clock()
def keep_house() -> None:
    """Queue reminders that are due and close what is long back."""
    upkeep.do_upkeep(now=timezone.now())
    whatif_runs.expire_old(now=timezone.now())


@shared_task(name="jobs.tasks.clear_photo_files")
@shop_clock()
def clear_photo_files() -> None:
    """Clear away the files of photos that nothing needs any more."""
    photo_keeping.clear_photos(now=timezone.now())


@shared_task(name="jobs.tasks.make_up_quotes")
@shop_clock()
def make_up_quotes() -> None:
    """Work out a few quotes of the time before quotes were kept."""
    quotes.make_up_some(now=timezone.now())


@shared_task(name="jobs.tasks.back_up")
@shop_clock()
def back_up() -> None:
    """Make the back-up of the night when it is due."""
    back_up_nightly(now=timezone.now())
