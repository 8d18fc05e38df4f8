"""The chime: once for each standby, never while held, and a sentence where sound cannot be had."""

import json

from books import view_at
from played import Played
from small_shows import two_songs

from showcaller.desk.chime import Chime, wave
from showcaller.values import replace


def test_it_is_due_once_for_each_standby_that_comes_near():
    run = Played(two_songs())
    view = view_at(run, 0)
    assert view.next_say is not None
    near = replace(view, next_say=replace(view.next_say, in_s=4.0))
    chime = Chime(None)
    assert not chime.due(near, 0.5)
    assert chime.due(near, 1.5)
    assert not chime.due(near, 2.0)
    assert not chime.due(replace(near, held_s=1.0, next_say=replace(near.next_say, id="other")), 1.5)


def test_it_is_off_unless_asked_for_and_says_why_it_cannot_be_had(tmp_path):
    assert Chime(tmp_path).trouble is None
    (tmp_path / "settings.json").write_text(json.dumps({"chime": "no such headset"}))
    assert Chime(tmp_path).trouble.startswith("no chime: ")


def test_it_is_short_soft_and_begins_and_ends_in_silence():
    sound = wave()
    assert len(sound) < 48_000 * 0.2
    assert max(map(abs, sound)) < 0.2
    assert abs(sound[0]) < 1e-6
    assert abs(sound[-1]) < 1e-2
