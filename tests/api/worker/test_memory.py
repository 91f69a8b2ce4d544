"""What was made at start-up is not searched for garbage again, and rings made later are still found."""

import gc
import weakref

from api.worker.memory import settled_memory


class Ring:
    def __init__(self):
        self.itself = self


def test_what_was_there_is_left_out_of_the_search():
    there = Ring()

    with settled_memory():
        searched = gc.get_objects()

        assert not any(one is there for one in searched)


def test_a_ring_made_later_is_still_found():
    with settled_memory():
        gone = weakref.ref(Ring())
        gc.collect()

        assert gone() is None


def test_afterwards_everything_is_searched_as_before():
    before, there = gc.get_threshold(), Ring()

    with settled_memory():
        assert gc.get_threshold() != before

    assert (gc.get_threshold(), any(one is there for one in gc.get_objects())) == (before, True)
