"""What was said last stands for a while, or for good if it is to be kept."""

from showcaller.desk.qt import QObject
from showcaller.desk.said import FootWords


def test_it_goes_by_itself_and_what_is_kept_stays(qtbot, qapp):
    owner = QObject()
    said = FootWords(30, owner)
    with qtbot.waitSignals([said.changed, said.changed], timeout=2000):
        said.say("moved Lights 1")
        assert (said.words, said.tone) == ("moved Lights 1", "quiet")
    assert said.words == ""
    said.say("reading …", keep=True)
    with qtbot.assertNotEmitted(said.changed, wait=80):
        pass
    assert said.words == "reading …"
    said.say("it cannot be read", "caution")
    qtbot.waitUntil(lambda: said.words == "")


def test_so_many_rows_were_copied(qapp):
    owner = QObject()
    said = FootWords(1000, owner)
    said.copied(1)
    assert said.words == "1 row copied as text"
    said.copied(3)
    assert said.words == "3 rows copied as text"
