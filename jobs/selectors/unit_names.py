"""What is a job's unit called on a page? By its model, or by its family while the model is not known."""

from jobs.models import Job
from packing.selectors import Catalogue


def name_unit(job: Job, *, published: Catalogue) -> str:
    """Return the name of the job's unit; a model withdrawn since is named by the job's frozen list."""
    if job.unit_model in published.unit_models:
        return published.unit_models[job.unit_model].name
    return name_model(job.unit_model, family=job.family, told=_name_told(job), published=published)


def name_model(slug: str, *, family: str, told: str, published: Catalogue) -> str:
    """Return the model's name; `told` is its name on the job's frozen list, "" where there is none."""
    model = published.unit_models.get(slug)
    if model is not None:
        return model.name
    return told if slug and told else name_family(family, published=published)


def name_family(slug: str, *, published: Catalogue) -> str:
    """Return the family's name, or its slug as words when it is not published."""
    family = published.families.get(slug)
    return family.name if family else slug.replace("_", " ").capitalize()


def _name_told(job: Job) -> str:
    """Return the model's name on the strip list; a row read for a list carries it beside the job."""
    if "model_told" in vars(job):
        return str(vars(job)["model_told"] or "")
    return str(job.strip_list["model_name"]) if job.strip_list else ""
