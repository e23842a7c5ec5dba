"""The job pages' addresses."""

from django.urls import path

from loomready.app.loomside import jobs_views

urlpatterns = [
    path("beside", jobs_views.all_jobs, name="loomside-jobs"),
    path("beside/<str:key>", jobs_views.first_job, name="loomside-warp"),
    path("beside/<str:key>/facts", jobs_views.exchange, name="loomside-facts"),
    path("beside/<str:key>/hand-in", jobs_views.hand_in, name="loomside-hand-in"),
    path("beside/<str:key>/tick", jobs_views.tick, name="loomside-tick"),
    path("beside/<str:key>/beam", jobs_views.beam, name="loomside-beam"),
    path("beside/<str:key>/<str:name>.html", jobs_views.saved, name="loomside-saved"),
    path("beside/<str:key>/<str:name>", jobs_views.job, name="loomside-job"),
]
