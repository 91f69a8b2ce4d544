"""The kept form of a rule folder loses no order, and is the same for the same content."""

import json

from hypothesis import given
from hypothesis import strategies as st

from decision.folder_form import as_written, keeping_order
from decision.record import canonical_bytes
from tests.random_rules import STEADY

NAMES = st.text("abc", min_size=1, max_size=3)
DATA = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(-9, 9), st.text(max_size=4)),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(NAMES, inner, max_size=4)),
    max_leaves=12,
)
FOLDERS = st.dictionaries(NAMES, st.dictionaries(NAMES, DATA, max_size=3), max_size=3)


@STEADY
@given(FOLDERS)
def test_what_is_kept_sorted_by_key_is_read_back_in_its_order(written):
    kept = json.loads(canonical_bytes(keeping_order(written)))

    back = as_written(kept)

    assert {name: json.dumps(parts) for name, parts in _inner(back)} == {
        name: json.dumps(parts) for name, parts in _inner(written)
    }


@STEADY
@given(DATA, DATA)
def test_two_contents_are_kept_alike_only_when_they_are_in_the_same_order(one, other):
    kept = [canonical_bytes(keeping_order({"file": {"part": data}})) for data in (one, other)]

    assert (kept[0] == kept[1]) == (json.dumps(one) == json.dumps(other))


def _inner(folder):
    return (((file, part), data) for file, parts in folder.items() for part, data in parts.items())
