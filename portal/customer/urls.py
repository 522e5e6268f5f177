"""The addresses of the customer pages."""

from django.urls import URLPattern, path

from portal.customer.views import (
    booking,
    booking_model,
    booking_photos,
    carton,
    decisions,
    entry,
    job,
    pack,
    photos,
    posting,
    sending,
    slip,
    start,
)

app_name = "customer"
urlpatterns: list[URLPattern] = [
    path("", start.start, name="start"),
    # a booking that is being written
    path("book/", start.begin, name="begin"),
    path("book/not-here/<slug:reason>/", start.unsuitable, name="unsuitable"),
    path("book/family/", booking.family, name="book_family"),
    path("book/number/", booking.number, name="book_number"),
    path("book/model/", booking_model.model, name="book_model"),
    path("book/fitted-to/", booking.fitted_to, name="book_fitted_to"),
    path("book/symptoms/", booking.symptoms, name="book_symptoms"),
    path("book/photos/", booking_photos.photos, name="book_photos"),
    path("book/photos/<uuid:reference>/remove/", booking_photos.remove, name="book_photo_remove"),
    path("book/photos/<uuid:reference>/<str:size>/", booking_photos.show, name="book_photo"),
    path("book/contact/", booking.contact, name="book_contact"),
    path("book/wishes/", booking.wishes, name="book_wishes"),
    path("book/wishes/answer/", booking.wish_answer, name="book_wish_answer"),
    path("book/limit/", booking.limit, name="book_limit"),
    path("book/check/", sending.check, name="book_check"),
    path("book/sent/", sending.sent, name="book_sent"),
    path("book/later/", sending.later, name="book_later"),
    path("book/later/sent/", sending.later_sent, name="book_later_sent"),
    # coming back
    path("open/<str:token>/", entry.open_link, name="open_link"),
    path("find/", entry.find, name="find"),
    path("find/sent/", entry.find_sent, name="find_sent"),
    path("leave/", start.leave, name="leave"),
    # a customer's own jobs
    path("jobs/", entry.jobs, name="jobs"),
    path("job/<str:number>/", job.job, name="job"),
    path("job/<str:number>/sent/", sending.confirmation, name="job_sent"),
    path("job/<str:number>/answer/", job.answer, name="answer"),
    path("job/<str:number>/details/", job.details, name="details"),
    path("job/<str:number>/cancel/", job.cancel, name="cancel"),
    path("job/<str:number>/received/", job.received, name="received"),
    path("job/<str:number>/extra-work/<int:extra>/", decisions.extra_work, name="extra_work"),
    path("job/<str:number>/extra-work/<int:extra>/<slug:decision>/", decisions.decide, name="decide"),
    path("job/<str:number>/pack/", pack.pack, name="pack"),
    path("job/<str:number>/carton/", carton.carton, name="carton"),
    path("job/<str:number>/drained/", pack.drained, name="drained"),
    path("job/<str:number>/smell/", pack.smell, name="smell"),
    path("job/<str:number>/slip/", slip.slip, name="slip"),
    path("job/<str:number>/slip.pdf", slip.slip_pdf, name="slip_pdf"),
    path("job/<str:number>/posted/", posting.posted, name="posted"),
    path("job/<str:number>/photos/", photos.photos, name="job_photos"),
    path("job/<str:number>/photos/<uuid:reference>/remove/", photos.remove, name="job_photo_remove"),
    path("job/<str:number>/photos/<uuid:reference>/<str:size>/", photos.show, name="job_photo"),
]
