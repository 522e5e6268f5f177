"""How does a photo reach a browser? Only after a selector agreed, as a re-encoded JPEG that cannot run."""

from django.http import FileResponse, Http404

from jobs.models import Photo


def photo_response(photo: Photo, *, size: str) -> FileResponse:
    """Return the page or thumb derivative of a ready photo.

    Raises: Http404 while it is being prepared or after it was refused.
    """
    stored = {"page": photo.page, "thumb": photo.thumb}.get(size)
    if photo.state != "ready" or not stored:
        raise Http404
    try:
        opened = stored.open("rb")
    except OSError as lost:
        raise Http404 from lost
    response = FileResponse(opened, content_type="image/jpeg", filename=f"{photo.reference.hex}-{size}.jpg")
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    response["Cache-Control"] = "private, max-age=3600"
    return response
