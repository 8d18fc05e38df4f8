"""What is said as the recogniser's words, and the grammars it listens with. Pure.

English alone: that is the model's language. Grammars are in JSGF (Java Speech Grammar Format).
"""

import re
from collections.abc import Iterable, Mapping, Sequence

from showcaller.timing.speech import number_words

_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_NOT_A_WORD = re.compile(r"[^a-z' ]+")

_NUMBERS = """
<digit> = one | two | three | four | five | six | seven | eight | nine;
<teen> = ten | eleven | twelve | thirteen | fourteen | fifteen | sixteen | seventeen | eighteen | nineteen;
<ten> = twenty | thirty | forty | fifty | sixty | seventy | eighty | ninety;
<below> = <digit> | <teen> | <ten> [<digit>];
<number> = (<below> | <digit> hundred [[and] <below>]) [point (<digit> | zero) [<digit> | zero]];
"""


def words_of(text: str) -> tuple[str, ...]:
    """A line as it is spoken, in the dictionary's spelling: figures read out, no punctuation."""
    try:
        read_out = _NUMBER.sub(lambda found: f" {number_words(found.group())} ", text)
    except ValueError:  # a number that nobody says in one breath
        read_out = _NUMBER.sub(" ", text)
    return tuple(_NOT_A_WORD.sub(" ", read_out.lower().replace("-", " ")).split())


_RARELY = 0.02
"""How much less likely than a line that was planned one is that was not."""


def lines_grammar(weights: Mapping[tuple[str, ...], float], rarely: Iterable[Sequence[str]] = ()) -> str:
    """One of these lines, each as likely as its weight says (0 to 1), or far less likely one of those that
    are said ``rarely``, and nothing else."""
    often = {" ".join(line): weight for line, weight in weights.items() if line}
    seldom = dict.fromkeys(" ".join(line) for line in rarely if line)
    weighed = [f"/{max(weight, 0.0001):.4f}/ {x}" for x, weight in often.items()]
    weighed += [f"/{_RARELY}/ {x}" for x in seldom if x not in often]
    return f"#JSGF V1.0; grammar lines; public <line> = {' | '.join(weighed)};"


_TEENS = ["thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
_TENS = ["thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_DIGITS = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
_ALIKE = {
    **{a: (b, *(x for x in _TEENS if x != a)) for a, b in zip(_TEENS, _TENS, strict=True)},
    **{b: (a, *(x for x in ("twenty", *_TENS) if x != b)) for a, b in zip(_TEENS, _TENS, strict=True)},
    "twenty": tuple(_TENS),
    **{d: tuple(x for x in _DIGITS if x != d) for d in _DIGITS},
}


def mistaken(line: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """The line with one of its figures as another that sounds like it, or might be said in its place: sixteen
    and sixty, one digit and another. What is heard so is not the line."""
    return tuple(
        (*line[:n], other, *line[n + 1 :]) for n, word in enumerate(line) for other in _ALIKE.get(word, ())
    )


def free_grammar(departments: Iterable[str]) -> str:
    """Any line a caller might say of these departments, planned or not: what is planned has to be nearer to
    what was heard than this."""
    names = " | ".join(dict.fromkeys(" ".join(words_of(d)) for d in departments))
    return (
        f"#JSGF V1.0; grammar free; {_NUMBERS} <department> = {names}; "
        "<cue> = <department> <number> [(and | to) <number>]; "
        "public <line> = [warning | standby] <cue> ([and] <cue>)* [go];"
    )
