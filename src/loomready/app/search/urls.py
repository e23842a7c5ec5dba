"""The addresses of the search."""

from django.urls import URLPattern, path

from loomready.app.search import views

urlpatterns: list[URLPattern] = [
    path("search", views.page, name="search"),
    path("search/offers", views.offers, name="search-offers"),
]
