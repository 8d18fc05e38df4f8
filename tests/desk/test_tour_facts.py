"""What number a run has on the desk."""

from showcaller.desk.tour_facts import TourFacts, number_of


def test_a_run_that_is_in_the_tour_already_keeps_its_number_and_a_new_one_has_the_next():
    """Desk and engine killed: the desk that is opened anew takes the unfinished run into the tour first."""
    facts = TourFacts(numbers={"a": 4, "b": 5})
    assert number_of(facts, "b") == 5
    assert number_of(facts, "c") == 6
    assert number_of(TourFacts(), "a") == 1
