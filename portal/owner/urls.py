"""The addresses of the owner pages."""

from django.urls import path

from portal.owner.views import (
    closed_days,
    dashboard,
    documents,
    editing,
    imports,
    people,
    quotes,
    records,
    styleguide,
    usual,
    weeks,
    what_if,
)

app_name = "owner"
urlpatterns = [
    path("", dashboard.dashboard, name="dashboard"),
    path("quotes/", quotes.quotes, name="quotes"),
    path("jobs/", records.jobs, name="jobs"),
    path("events/", records.events, name="events"),
    path("mails/", records.mails, name="mails"),
    path("mails/<int:pk>/again/", records.send_again, name="send_again"),
    path("weeks-ahead/", weeks.weeks_ahead, name="weeks_ahead"),
    path("what-if/", what_if.what_if, name="what_if"),
    path("what-if/<uuid:reference>/", what_if.what_if_run, name="what_if_run"),
    path("what-if/<uuid:reference>/cancel/", what_if.cancel_what_if, name="cancel_what_if"),
    path("data/", documents.data, name="data"),
    path("data/export.toml", documents.export_all, name="export_all"),
    path("data/import/", imports.choose, name="import"),
    path("data/import/preview/", imports.preview, name="import_preview"),
    path("data/closed-days/", closed_days.closed_days, name="closed_days"),
    path("data/usual/", usual.take_usual, name="take_usual"),
    path("data/<str:kind>/", documents.entries, name="entries"),
    path("data/<str:kind>/export.toml", documents.export_kind, name="export_kind"),
    path("data/<str:kind>/new/", editing.new, name="new"),
    path("data/<str:kind>/new/preview/", editing.preview_new, name="preview_new"),
    path("data/<str:kind>/<str:slug>/", documents.entry, name="entry"),
    path("data/<str:kind>/<str:slug>/export.toml", documents.export_entry, name="export_entry"),
    path("data/<str:kind>/<str:slug>/edit/", editing.edit, name="edit"),
    path("data/<str:kind>/<str:slug>/preview/", editing.preview, name="preview"),
    path("data/<str:kind>/<str:slug>/discard/", editing.discard, name="discard"),
    path("data/<str:kind>/<str:slug>/withdraw/", editing.withdraw, name="withdraw"),
    path("data/<str:kind>/<str:slug>/revisions/<int:number>/", documents.revision, name="revision"),
    path("people/", people.people, name="people"),
    path("people/new/", people.new, name="new_person"),
    path("people/<int:pk>/", people.person, name="person"),
    path("people/<int:pk>/end-sessions/", people.end_sessions, name="end_sessions"),
    path("styleguide/", styleguide.styleguide, name="styleguide"),
]
