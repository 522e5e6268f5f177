"""The addresses of the customer pages."""

from django.urls import URLPattern

app_name = "customer"
urlpatterns: list[URLPattern] = []
