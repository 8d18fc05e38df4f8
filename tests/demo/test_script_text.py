"""The call script as text: nobody stood by is left without a go."""

from small_shows import tight_show

from showcaller.demo.script import script_lines
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan


def test_a_go_that_cannot_be_said_in_time_has_its_line_and_is_marked():
    plan = compile_plan(tight_show())
    lines = list(script_lines(plan, compile_show_calls(plan)))
    words = [" ".join(line.split()) for line in lines]
    marked = words.index("0:20 Lights 1.5 — go (cannot be called in time: see below)")
    assert words[marked - 1].endswith("Video 1 — go")
    assert any("‘Lights 1.5, go’" in line for line in words[marked + 1 :])
