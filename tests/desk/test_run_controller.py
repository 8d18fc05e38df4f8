"""What the desk has open: worked out beside the window, handed over whole, and by items' ids."""

import json
import threading

import pytest
from small_shows import desk_show

from showcaller.archive.tour import Tour
from showcaller.calling.outlook import item_durations, show_forecast
from showcaller.calling.preview import preview_book
from showcaller.desk.preparing import Preparation
from showcaller.desk.run_controller import RunController
from showcaller.desk.tour_facts import TourFacts
from showcaller.model import parse_show, show_text
from showcaller.timing.durations import planned_duration


def without_first(show):
    return parse_show(
        json.dumps(json.loads(show_text(show)) | {"items": json.loads(show_text(show))["items"][1:]})
    )


@pytest.fixture
def controller(tmp_path):
    made = RunController(two_items(), Tour.create(tmp_path / "t.tour", "Small"), tmp_path / "runs")
    yield made
    made.close()


def two_items():
    data = json.loads(show_text(desk_show(9000)))
    more = {"kind": "talk", "id": "talk", "name": "The ferry", "length_s": 90, "cues": []}
    return parse_show(json.dumps(data | {"items": [more, *data["items"]]}))


def until(what, timeout_s=10.0):
    """Polls; a worker's result is what is awaited."""
    waiting = threading.Event()
    for _ in range(int(timeout_s / 0.005)):
        if what():
            return True
        waiting.wait(0.005)
    return False


def test_an_item_fewer_in_the_edited_show_breaks_no_forecast_of_the_one_that_runs():
    show = two_items()
    shorter = without_first(show)
    learned = {"talk": [120.0, 124.0, 118.0, 122.0]}
    lengths = item_durations(shorter, {})
    assert "talk" not in lengths
    # Of the run as it was opened: what the edited show no longer has is as planned.
    ran = show_forecast(preview_book(show), lengths, 0, 0)
    assert ran.end_s == pytest.approx(sum(planned_duration(i).mean_s for i in show.items))
    fewer = show_forecast(preview_book(shorter), item_durations(show, learned), 0, 0)
    assert fewer.end_s == pytest.approx(sum(planned_duration(i).mean_s for i in shorter.items))


def test_the_outlook_goes_on_after_an_edit_with_an_item_fewer(controller):
    now = controller.outlook.forecast(0, 0).end_s
    gone_s = planned_duration(controller.show.items[0]).mean_s
    controller.take_show(without_first(controller.show))
    assert controller.outlook.forecast(0, 0).end_s == now, "as it was until the new one is worked out"
    assert until(lambda: (controller.poll(), not controller.preparation.busy)[1])
    assert controller.outlook.forecast(0, 0).end_s == pytest.approx(now - gone_s)
    assert controller.editions.words().endswith("with changes")


def test_only_the_last_of_many_edits_is_handed_over():
    at = [0.0]
    preparation = Preparation(lambda: at[0])
    show = two_items()
    preparation.want(show)
    assert preparation.poll() is None
    at[0] = 1.0
    preparation.poll()  # begins
    preparation.want(without_first(show))
    got = []
    assert until(preparation._done.qsize)
    assert preparation.poll() is None, "edited since"
    at[0] = 2.0
    assert until(lambda: got.append(preparation.poll()) or got[-1] is not None)
    assert [i.item.id for i in got[-1].book.compiled.plan.items] == [i.id for i in show.items[1:]]
    assert not preparation.busy
    preparation.close()


def test_no_other_thread_writes_to_the_controller(tmp_path, monkeypatch):
    here, elsewhere = threading.get_ident(), []

    def watched(cls):
        def setattr_(self, name, value):
            if threading.get_ident() != here:
                elsewhere.append(f"{cls.__name__}.{name}")
            object.__setattr__(self, name, value)

        monkeypatch.setattr(cls, "__setattr__", setattr_, raising=False)

    for cls in (RunController, Preparation):
        watched(cls)
    show = two_items()
    controller = RunController(show, Tour.create(tmp_path / "t.tour", "Small"), tmp_path / "runs")
    watched(type(controller.outlook))
    watched(type(controller.editions))
    try:
        other = Tour.open(tmp_path / "t.tour")
        other.add_edition(without_first(show))
        other.close()
        controller.keeper.ask()
        controller.take_show(without_first(show))
        facts = controller.outlook.facts
        assert until(lambda: (controller.poll(), controller.outlook.facts is not facts)[1])
        assert until(lambda: (controller.poll(), not controller.preparation.busy)[1])
        assert isinstance(controller.outlook.facts, TourFacts)
    finally:
        controller.close()
    assert elsewhere == []
