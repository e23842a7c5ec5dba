"""The workshop's addresses."""

from django.urls import URLPattern, path

from loomready.app.workshop import make_views

urlpatterns: list[URLPattern] = [
    path("make", make_views.families, name="workshop-make"),
    path("make/<str:name>", make_views.family, name="workshop-make-one"),
    path("workshop/picture-<str:name>.png", make_views.picture, name="workshop-picture"),
]
