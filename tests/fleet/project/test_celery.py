from celery.schedules import schedule

from fleet import celery_app
from fleet.project import celery as project


def test_project_exposes_the_application():
    assert celery_app is project.app
    assert celery_app.main == "ropeseat"


def test_sweep_and_nightly_tick_are_due_often():
    due_s = {
        entry["task"]: entry["schedule"]
        for entry in celery_app.conf.beat_schedule.values()
    }

    # Upper apps put their own ticks beside these.
    assert due_s["fleet.tasks.sweep"] == 20.0
    assert due_s["fleet.tasks.nightly_tick"] == 60.0


def test_every_scheduled_task_exists_and_expires_with_its_successor():
    celery_app.loader.import_default_modules()

    for entry in celery_app.conf.beat_schedule.values():
        assert entry["task"] in celery_app.tasks
        assert entry["options"]["expires"] == schedule(entry["schedule"]).seconds


def test_application_takes_its_settings_from_the_broker_module(settings):
    assert celery_app.conf.task_acks_late is True
    assert (
        celery_app.conf.beat_scheduler
        == "fleet.platform.queue.steady_beat:SteadyScheduler"
    )
    assert celery_app.conf.timezone == "UTC"


def test_closing_connections_at_exit_never_fails(monkeypatch):
    def fail(_):
        raise ConnectionError("the broker is gone")

    monkeypatch.setattr(type(celery_app.pool), "force_close_all", fail)

    project.close_connections()
