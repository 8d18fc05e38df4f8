"""Shows made at random, for what must hold of every show."""

from decimal import Decimal
from typing import Any

from hypothesis import strategies as st

from showcaller.model import Show

WORDS = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=12).filter(
    lambda s: bool(s.strip())
)
SECONDS = st.one_of(
    st.integers(0, 7200),
    st.floats(0, 7200).map(lambda s: round(s, 3)),
    st.fractions(0, 7200, max_denominator=1001).map(lambda f: f"{f.numerator}/{f.denominator}"),
    st.tuples(st.integers(0, 119), st.integers(0, 59)).map(lambda t: f"{t[0]}:{t[1]:02}"),
)
LENGTHS = SECONDS.filter(lambda s: s not in (0, 0.0, "0/1", "0:00"))
NUMBERS = st.decimals(Decimal(0), Decimal(999), places=2).map(abs)

OSC_ARGS = st.one_of(
    st.booleans(),
    st.integers(-(2**31), 2**31 - 1),
    st.floats(-1e6, 1e6),
    WORDS,
    st.fixed_dictionaries({"tag": st.just("f"), "value": st.integers(0, 9)}),
)
MESSAGES = st.one_of(
    st.fixed_dictionaries(
        {"kind": st.just("osc"), "outlet": st.just("net"), "address": st.sampled_from(["/a", "/b/c-d"]),
         "args": st.lists(OSC_ARGS, max_size=3)}
    ),
    st.fixed_dictionaries(
        {"kind": st.just("note"), "outlet": st.just("midi"), "note": st.integers(0, 127), "on": st.booleans()}
    ),
    st.fixed_dictionaries(
        {"kind": st.just("msc"), "outlet": st.just("midi"), "command": st.just("go"),
         "format": st.just("lighting"), "cue": st.sampled_from(["1", "12.5", "235.6"])}
    ),
)  # fmt: skip


@st.composite
def shows(draw: st.DrawFn) -> Show:
    """A valid show of one to four items with up to five cues each."""
    numbers = iter(draw(st.lists(NUMBERS, min_size=20, max_size=20, unique=True)))
    items: list[dict[str, Any]] = []
    for n in range(draw(st.integers(1, 4))):
        kind = draw(st.sampled_from(["song", "talk", "walk-on", "changeover", "interval"]))
        item: dict[str, Any] = {
            "kind": kind,
            "id": f"item-{n}",
            "name": draw(WORDS),
            "length_s": draw(LENGTHS),
        }
        if draw(st.booleans()):
            item |= {
                "cuttable": True,
                "notes": draw(st.text("ab \n“é", max_size=6)),
                "longest_s": draw(LENGTHS),
            }
        bars = kind == "song" and draw(st.booleans())
        if bars:
            bpm = st.integers(20, 300) | st.fractions(20, 300, max_denominator=7).map(str)
            item["tempo"] = [{"bar": 1, "bpm": draw(bpm), "ramp": draw(st.booleans())}, {"bar": 9, "bpm": 90}]
            item["meters"] = [{"bar": 1, "meter": draw(st.sampled_from(["4/4", "7/8", "3/4"]))}]
        item["cues"] = _cues(draw, f"item-{n}", bars, numbers)
        items.append(item)
    return Show.model_validate(
        {
            "format": "showcaller/show", "version": 1, "id": "random",
            "name": draw(WORDS), "act": draw(WORDS), "venue": draw(WORDS),
            "starts_at": "20:45", "curfew": draw(st.none() | st.just("23:00")),
            "departments": [
                {"id": "lights", "name": draw(WORDS), "letters": "LX", "shape": "circle", "hue": "yellow"}
            ],
            "outlets": [
                {"kind": "osc_udp", "id": "net", "name": "Net", "port": 9000},
                {"kind": "midi", "id": "midi", "name": "Midi", "port": "any"},
            ],
            "items": items,
        }
    )  # fmt: skip


def _cues(draw: st.DrawFn, item: str, bars: bool, numbers: Any) -> list[dict[str, Any]]:
    cues: list[dict[str, Any]] = []
    for n in range(draw(st.integers(0, 5))):
        anchors = [
            st.fixed_dictionaries({"at": st.just("time"), "seconds": SECONDS}),
            st.fixed_dictionaries({"at": st.just("visual"), "sees": WORDS, "expect_s": st.none() | SECONDS}),
            st.just({"at": "timecode", "timecode": "01:02:03:04"}),
        ]
        if bars:
            beat = st.sampled_from([1, 2.5, "4/3"])
            anchors.append(
                st.fixed_dictionaries({"at": st.just("bar"), "bar": st.integers(1, 99), "beat": beat})
            )
        if cues:
            cue = st.sampled_from([c["id"] for c in cues])
            anchors.append(st.fixed_dictionaries({"at": st.just("after"), "cue": cue, "delay_s": SECONDS}))
        cues.append(
            {
                "id": f"{item}-{n}", "department": "lights", "number": str(next(numbers)),
                "label": draw(WORDS),
                "anchor": draw(st.one_of(anchors)), "messages": draw(st.lists(MESSAGES, max_size=2)),
                "standby_s": draw(SECONDS), "warning_s": draw(st.none() | SECONDS),
            }
        )  # fmt: skip
    return cues
