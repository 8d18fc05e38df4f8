"""All records in little memory, also while two threads make room."""

import threading

from showcaller.engine.journal.memory import Kept


def test_two_threads_that_make_room_at_once_take_nothing_twice_and_lose_nothing():
    kept, texts = Kept(), [b"record %d" % n for n in range(3000)]
    both = threading.Barrier(2, timeout=10)

    def meet():  # each is about to take the same block
        if not both.broken:
            try:
                both.wait(0.05)
            except threading.BrokenBarrierError:
                return

    helpers = [threading.Thread(target=kept.compact, args=[meet]) for _ in range(2)]
    for text in texts:
        kept.append(text)
    for helper in helpers:
        helper.start()
    for helper in helpers:
        helper.join()
    assert list(kept) == texts
    assert kept.slice(0, 5000) == texts
