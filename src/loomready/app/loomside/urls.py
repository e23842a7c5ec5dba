"""The job pages' addresses."""

from django.urls import path

from loomready.app.loomside import (
    boards_views,
    jobs_views,
    photo_views,
    project_record_views,
    slips_views,
    steps_views,
)

urlpatterns = [
    path("beside", jobs_views.all_jobs, name="loomside-jobs"),
    path("beside/<str:key>", jobs_views.first_job, name="loomside-warp"),
    path("beside/<str:key>/facts", jobs_views.exchange, name="loomside-facts"),
    path("beside/<str:key>/hand-in", jobs_views.hand_in, name="loomside-hand-in"),
    path("beside/<str:key>/tick", jobs_views.tick, name="loomside-tick"),
    path("beside/<str:key>/beam", jobs_views.beam, name="loomside-beam"),
    path("beside/<str:key>/count", jobs_views.count, name="loomside-count"),
    path("beside/<str:key>/test-weave/photo", photo_views.photo, name="loomside-slips-photo"),
    path(
        "beside/<str:key>/test-weave/photo/<str:token>", photo_views.found, name="loomside-slips-photo-found"
    ),
    path(
        "beside/<str:key>/test-weave/photo/<str:token>/picture",
        photo_views.picture,
        name="loomside-slips-photo-picture",
    ),
    path("beside/<str:key>/test-weave/plan", slips_views.plan_it_so, name="loomside-slips-plan"),
    path("beside/<str:key>/<str:name>.html", jobs_views.saved, name="loomside-saved"),
    path("beside/<str:key>/<str:name>", jobs_views.job, name="loomside-job"),
    path("steps", steps_views.steps, name="loomside-steps"),
    path("steps/remove", steps_views.remove, name="loomside-steps-remove"),
    path("steps/back", steps_views.back, name="loomside-steps-back"),
    path("boards", boards_views.boards_page, name="loomside-boards"),
    path("boards-new", boards_views.new, name="loomside-board-new"),
    path("boards/<str:key>", boards_views.board, name="loomside-board"),
    path("boards/<str:key>/path", boards_views.path, name="loomside-board-path"),
    path("boards/<str:key>/remove", boards_views.board_remove, name="loomside-board-remove"),
    path("boards-for/<str:key>", boards_views.path_of_warp, name="loomside-board-of"),
    path("boards-for/<str:key>/use", boards_views.use, name="loomside-board-use"),
    path("records", project_record_views.all_records, name="loomside-records"),
    path("records/<str:key>", project_record_views.record, name="loomside-record"),
    path("records/<str:key>/remove", project_record_views.record_remove, name="loomside-record-remove"),
    path("records/<str:key>/learned", project_record_views.learned, name="loomside-learned"),
]
