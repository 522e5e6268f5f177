"""The addresses of the workshop pages."""

from django.urls import path

from portal.workshop.views import answering, arrival, bench, counter, dispatch, found, job, matching

app_name = "workshop"
urlpatterns = [
    path("", counter.counter, name="counter"),
    path("box/", counter.box, name="box"),
    path("jobs/", counter.jobs, name="jobs"),
    path("queue/", bench.queue, name="queue"),
    path("bookings/", answering.bookings, name="bookings"),
    path("photos/<uuid:reference>/<str:size>/", job.photo, name="photo"),
    path("jobs/<str:number>/", job.job, name="job"),
    path("jobs/<str:number>/card/", job.card, name="card"),
    path("jobs/<str:number>/answer/", answering.answer, name="answer"),
    path("jobs/<str:number>/question/", answering.question, name="question"),
    path("jobs/<str:number>/decline/", answering.decline, name="decline"),
    path("jobs/<str:number>/answered/", answering.spoken, name="spoken"),
    path("jobs/<str:number>/cancel/", answering.cancel, name="cancel"),
    path("jobs/<str:number>/receive/", arrival.receive, name="receive"),
    path("jobs/<str:number>/photos/", arrival.photos, name="photos"),
    path("jobs/<str:number>/match/", matching.match, name="match"),
    path("jobs/<str:number>/match/<str:booking>/", matching.match_with, name="match_with"),
    path("jobs/<str:number>/inspect/", arrival.inspect, name="inspect"),
    path("jobs/<str:number>/start/", bench.start, name="start"),
    path("jobs/<str:number>/pause/", bench.pause, name="pause"),
    path("jobs/<str:number>/finish/", bench.finish, name="finish"),
    path("jobs/<str:number>/test-failed/", bench.fail_test, name="fail_test"),
    path("jobs/<str:number>/finding/", found.finding, name="finding"),
    path("jobs/<str:number>/extra-work/", found.ask_extra_work, name="extra_work"),
    path("jobs/<str:number>/extra-work/<int:extra>/", found.decide, name="decide"),
    path("jobs/<str:number>/part/", bench.part, name="part"),
    path("jobs/<str:number>/settings/", bench.settings, name="settings"),
    path("jobs/<str:number>/readings/", bench.readings, name="readings"),
    path("jobs/<str:number>/hold/", bench.hold, name="hold"),
    path("jobs/<str:number>/release/", bench.release, name="release"),
    path("jobs/<str:number>/sign-off/", bench.sign_off, name="sign_off"),
    path("jobs/<str:number>/bench-fluid/", dispatch.bench_fluid, name="bench_fluid"),
    path("jobs/<str:number>/pack/", dispatch.pack, name="pack"),
    path("jobs/<str:number>/send-back/", dispatch.send_back, name="send_back"),
    path("jobs/<str:number>/unrepaired/", dispatch.unrepaired, name="unrepaired"),
    path("jobs/<str:number>/close/", dispatch.close, name="close"),
    path("jobs/<str:number>/note/", job.note, name="note"),
    path("jobs/<str:number>/links/", job.links, name="links"),
    path("jobs/<str:number>/turn/", job.turn, name="turn"),
    path("jobs/<str:number>/take-back/", job.take_back, name="take_back"),
]
