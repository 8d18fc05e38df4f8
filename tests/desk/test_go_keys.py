"""The go's key where the go would be refused: what is missing is said at once, not asked for early first."""

from desk_keys import after_gap, fired, go, press


def test_a_hazard_that_waits_is_not_asked_early_and_fires_nothing(qtbot, live, monkeypatch):
    for cue in ("a", "b"):
        go(qtbot, live)
        qtbot.waitUntil(lambda cue=cue: cue in fired(live))
        after_gap(qtbot)
    live.frame()
    assert live.call.view.next_go.waits == ("Path clear",)
    monkeypatch.setattr("showcaller.desk.gokeys.asked_again", lambda *_: "0:12 early")
    for _ in range(2):
        press(live, "g")
        assert live.calls.asked().heading == "not given · waits for Path clear"
        after_gap(qtbot)
    press(live, "u")
    assert live.calls.asked().heading == "nothing is armed"
    assert "m" not in fired(live)
