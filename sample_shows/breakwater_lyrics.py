"""The words of two songs, made up for this show."""

from __future__ import annotations

from cue_script import Json


def _lines(prefix: str, key: str, text: str) -> list[Json]:
    """``key`` is what stands before a line: its bar or its second; a line without lies between others."""
    found: list[Json] = []
    for n, row in enumerate(text.strip().splitlines(), 1):
        place, _, words = row.strip().partition(" | ")
        line: Json = {"id": f"{prefix}-{n}", "text": words or place}
        found.append(line | ({key: float(place) if key == "seconds" else int(place)} if words else {}))
    return found


SALT_LETTERS = _lines(
    "salt",
    "bar",
    """
    9 | I wrote you on the back of a tide table
    13 | with a pencil that had been to sea
    17 | The ink ran off before the ferry left
    21 | so you never heard from me
    25 | One for the pier and one for the weather
    29 | and one I never sent
    33 | Salt letters, salt letters
    37 | folded small and white as bone
    Read them when the wind turns over
    45 | read them when you are alone
    49 | The second one I gave to a stranger
    53 | who was walking the other way
    57 | She said she could not read my writing
    61 | but she liked what it did not say
    73 | Salt letters, salt letters
    77 | folded small and white as bone
    Read them when the wind turns over
    85 | read them when you are alone
    89 | Dear harbour, this is the third
    93 | I have run out of paper and rain
    97 | If the lamp is lit when I round the point
    101 | I will not write again
    105 | Salt letters, salt letters
    109 | folded small and white as bone
    Read them when the wind turns over
    117 | read them, I am nearly home
    """,
)

LANTERN = _lines(
    "lantern",
    "seconds",
    """
    20 | Lantern, lantern, low on the wall
    28 | count the boats and count them all
    40 | One for the cold and one for the flame
    56 | one for the dark that has no shame
    70 | Lantern, lantern
    78 | and the water knows my name
    96 | Who goes out when the bell goes under
    112 | Who comes in with the rain and thunder
    136 | Lantern, lantern, what do you see
    152 | Only the harbour looking at me
    170 | Sing it back
    200 | Lantern, lantern, low on the wall
    216 | Sing it back again
    240 | One for the morning, one for the rope
    256 | one for the hand that is holding the hope
    280 | Lantern, lantern
    320 | Lantern, lantern, little and late
    334 | burn no longer than you can wait
    """,
)
