"""Addresses of the event's pages."""

from django.urls import URLPattern, path

from loomready.app.event import agree, print_views, record_views, stand_views, views

urlpatterns: list[URLPattern] = [
    path("event", views.page, name="event"),
    path("event/state", views.state, name="event-state"),
    path("event/cancel", views.cancel, name="event-cancel"),
    path("event/again", views.again, name="event-again"),
    path("event/agree", agree.agree, name="event-agree"),
    path("event/order-list", print_views.order_list, name="event-order-list"),
    path("event/sheets/<str:name>", print_views.sheet, name="event-sheet"),
    path("event/sheets", print_views.person_sheets, name="event-person-sheets"),
    path("event/about", record_views.about, name="event-about"),
    path("event/about/remove", record_views.remove_event, name="event-about-remove"),
    path("event/hours-read", record_views.read_hours, name="event-hours-read"),
    path("event/pace", record_views.pace, name="event-pace"),
    path("event/people", record_views.people, name="event-people"),
    path("event/people-new", record_views.person, name="event-person-new"),
    path("event/people/<str:key>", record_views.person, name="event-person"),
    path("event/people/<str:key>/hours", record_views.own_hours, name="event-own-hours"),
    path("event/people/<str:key>/calendar.ics", print_views.calendar, name="event-calendar"),
    path("calendars/<str:key>/<str:token>.ics", print_views.subscribed, name="event-subscribed"),
    path("event/people/<str:key>/remove", record_views.remove_person, name="event-person-remove"),
    path("event/stands", stand_views.stands, name="event-stands"),
    path("event/stands-new", stand_views.stand, name="event-stand-new"),
    path("event/stands/<str:key>", stand_views.stand, name="event-stand"),
    path("event/stands/<str:key>/remove", stand_views.remove_stand, name="event-stand-remove"),
    path("event/classes-new", stand_views.lesson, name="event-class-new"),
    path("event/classes/<str:key>", stand_views.lesson, name="event-class"),
    path("event/classes/<str:key>/remove", stand_views.remove_lesson, name="event-class-remove"),
    path("event/shop", record_views.shop, name="event-shop"),
    path("event/shop-new", record_views.shop_cone, name="event-shop-new"),
    path("event/shop/<str:key>", record_views.shop_cone, name="event-shop-cone"),
    path("event/shop/<str:key>/remove", record_views.remove_shop_cone, name="event-shop-remove"),
]
