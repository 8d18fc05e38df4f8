"""The order of names with numbers in them."""

from hypothesis import given
from hypothesis import strategies as st

from showcaller.desk.natural import natural


def test_numbers_count_as_numbers_and_case_does_not_matter():
    names = ["Lights 10", "lights 9", "Lights 9.5", "A10", "A2", "B1", ""]
    assert sorted(names, key=natural) == ["", "A2", "A10", "B1", "lights 9", "Lights 9.5", "Lights 10"]


@given(
    a=st.integers(0, 10**9),
    b=st.integers(0, 10**9),
    name=st.text(max_size=8).filter(lambda t: not t[-1:].isdecimal()),
)
def test_of_one_name_the_smaller_number_comes_first(a, b, name):
    assert (natural(f"{name}{a}") < natural(f"{name}{b}")) == (a < b)
