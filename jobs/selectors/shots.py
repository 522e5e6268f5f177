"""Which photos does the shop ask for by name?"""

from packing import selectors as catalogue
from packing.catalogue.schema import Shot


def shots_of(family: str, *, unit_model: str) -> tuple[Shot, ...]:
    """Return the shots of the family, then the model's own; of two by one name the model's."""
    published = catalogue.catalogue()
    model, kind = published.unit_models.get(unit_model), published.families.get(family)
    own = model.shots if model else ()
    named = {shot.slug for shot in own}
    return (*(shot for shot in (kind.shots if kind else ()) if shot.slug not in named), *own)
