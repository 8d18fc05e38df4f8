"""Who is at this desk: typed once, remembered, and never lost to a folder that cannot be written."""

import getpass

from showcaller.desk import person


def test_a_name_that_was_typed_takes_the_place_of_the_machine_s_account(tmp_path):
    person.remembered(tmp_path)
    assert person.person_here() == getpass.getuser()
    said = []

    def ask(_question, done, _hint="", _suggest=None, typed=""):
        assert typed == getpass.getuser()
        assert "type your name" in done("  ")
        assert done(" Ines ") is None

    person.ask_name(ask, lambda _key, words: said.append(words), tmp_path)
    assert person.person_here() == "Ines"
    assert said[0].startswith("Ines is at this desk")
    person.remembered(None)
    assert person.person_here() == getpass.getuser()
    person.remembered(tmp_path)  # the desk is opened again
    assert person.person_here() == "Ines"
    file = tmp_path / "file"
    file.write_text("no folder")
    person.call_me("Bo", file)
    assert person.person_here() == "Bo"
    person.remembered(None)
