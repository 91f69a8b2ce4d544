"""Every harness over its seeds, over what was once found, and over some changed by chance.

Fuzzing that is guided by coverage is run by hand (bash .ci/fuzz); this shows that the harnesses work and that what was
found stays mended.
"""

import random

import pytest

from tests.fuzz.harness import NAMES, findings, harness_named, mutated

MUTANTS = 150
SEED = 20261128


@pytest.fixture(params=NAMES)
def name(request):
    return request.param


def test_every_seed_holds(name):
    harness = harness_named(name)

    for data in harness.seeds():
        harness.hold(data)


def test_what_was_found_once_holds(name):
    harness = harness_named(name)

    for data in findings(name):
        harness.hold(data)


def test_seeds_changed_by_chance_hold(name):
    harness, chance = harness_named(name), random.Random(SEED)
    seeds = list(harness.seeds())

    for _ in range(MUTANTS):
        data = chance.choice(seeds)
        for _ in range(chance.randint(1, 4)):
            data = mutated(harness, data, chance)
        harness.hold(data)


@pytest.mark.parametrize("data", [b'0"<\t 0.5"', b'3["10", no]', b"5true"])
def test_a_harness_notices_a_reader_that_reads_otherwise(data):
    """The judge of unary tests is shown a test about another input than the one that was read."""
    from tests.fuzz import unary_tests

    about = unary_tests.INPUTS[data[0] - ord("0")]
    written = {0: ">= 20", 3: "dog", 5: False}[data[0] - ord("0")]
    test = unary_tests.read_test(written, about=about)

    with pytest.raises(AssertionError, match="differs at"):
        unary_tests.asks_alike(test, unary_tests.read_yaml(data[1:].decode(), file="x")[0].data, about)
