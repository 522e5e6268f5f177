"""How a chance is said to a person: in tenths, never as a bare decimal."""

from django.utils.translation import gettext as _

SURE_SHARE = 0.95
HARDLY_SHARE = 0.05


def chance_words(share: float) -> str:
    """Return a chance in words.

    >>> chance_words(0.72), chance_words(1.0), chance_words(0.0)
    ('about 7 in 10', 'almost surely', 'hardly')
    """
    if share >= SURE_SHARE:
        return _("almost surely")
    if share <= HARDLY_SHARE:
        return _("hardly")
    return _("about %(count)d in 10") % {"count": min(max(round(share * 10), 1), 9)}
