"""The addresses of the owner pages."""

from django.urls import URLPattern

app_name = "owner"
urlpatterns: list[URLPattern] = []
