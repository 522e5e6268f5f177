"""The addresses for coming in and going out."""

from django.urls import path

from portal.accounts import views

app_name = "accounts"
urlpatterns = [
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-in/mail/", views.ask_link, name="ask_link"),
    path("sign-in/mail/sent/", views.link_sent, name="link_sent"),
    path("sign-in/<str:token>/", views.open_link, name="open_link"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("sign-out/everywhere/", views.sign_out_everywhere, name="sign_out_everywhere"),
    path("password/", views.password, name="password"),
]
