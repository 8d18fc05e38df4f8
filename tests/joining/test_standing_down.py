"""A machine that asks the engine here to let go is always answered."""

from devices import wait_until


def test_who_asks_in_a_term_that_is_not_higher_is_told_the_term_and_nothing_lets_go(house):
    house.client.ask("start", caller="Ines", desk="caller")
    back = house.join("back", "engine")
    answers = []
    asked = {"kind": "stand_down", "run": house.folder.name, "term": 0, "door": "127.0.0.1:9"}
    back.do(lambda: back.what.far.ask(asked, answers.append))
    assert wait_until(lambda: bool(answers))
    assert not answers[0]["ok"]
    assert answers[0]["term"] == 0
    assert house.client.ask("note", text="goes on")["ok"]
    assert house.door.what.terms.counts
