"""The address printed as a code on the slip; capitals or not, it leads to the job's page."""

from django.urls import path

from portal.workshop.views import counter

app_name = "slip"
urlpatterns = [
    path("W/<str:number>", counter.slip, name="scan"),
    path("w/<str:number>", counter.slip, name="scan_small"),
]
