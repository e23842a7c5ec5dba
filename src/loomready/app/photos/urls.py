"""The addresses of photographs."""

from django.urls import URLPattern, path

from loomready.app.photos import views

urlpatterns: list[URLPattern] = [
    path("photos/of/<str:of>/<path:thing>", views.add, name="photos-add"),
    path("photos/<str:key>", views.photo, name="photos-photo"),
    path("photos/<str:key>/remove", views.remove, name="photos-remove"),
    path("photos/<str:key>/<str:size>.jpg", views.picture, name="photos-picture"),
]
