"""Our canonical bytes against another implementation of RFC 8785, and against what that publication prints.

The other one is the package `jcs` (Anders Rundgren's own Python code, packaged), which shares nothing with ours.
Publication: A. Rundgren, B. Jordan, S. Erdtman, JSON Canonicalization Scheme, RFC 8785, 2020.
"""

from __future__ import annotations

import hashlib
import math
import struct

import jcs
import orjson
import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from decision.record import canonical_bytes, case_bytes, digest_of
from tests.random_rules import STEADY

NUMBERS = st.one_of(
    st.floats(allow_nan=False, allow_infinity=False),
    st.integers(-(2**53) + 1, 2**53 - 1),
    st.integers(-(10**6), 10**6).map(lambda number: number / 1000),
    st.integers(-323, 308).map(lambda power: float(f"1e{power}")),
)
# Every character that is one: controls, quotes, and those that UTF-16 writes as a pair of surrogates.
LETTERS = st.one_of(
    st.characters(exclude_categories=["Cs"]),
    st.characters(max_codepoint=0x1F),
    st.characters(min_codepoint=0x10000),
    st.sampled_from('"\\/\x7f\u2028\u2029\ufeff\uffff'),
)
TEXTS = st.text(LETTERS, max_size=8)
ASCII = st.text(st.characters(max_codepoint=127), max_size=8)


def data(keys):
    leaves = st.one_of(st.none(), st.booleans(), NUMBERS, TEXTS)
    inner = st.recursive(
        leaves,
        lambda part: st.one_of(st.lists(part, max_size=4), st.dictionaries(keys, part, max_size=4)),
        max_leaves=12,
    )
    return st.dictionaries(keys, inner, max_size=5)


@STEADY
@given(data(TEXTS))
def test_any_data_has_the_bytes_that_the_other_implementation_writes(written):
    assert canonical_bytes(written) == jcs.canonicalize(written)


@STEADY
@given(data(ASCII))
def test_the_short_road_has_the_bytes_that_the_other_implementation_writes(written):
    assert case_bytes(written) == jcs.canonicalize(written)


@STEADY
@given(data(TEXTS))
def test_a_digest_is_that_of_the_other_implementation_s_bytes(written):
    assert digest_of(written) == f"sha-256:{hashlib.sha256(jcs.canonicalize(written)).hexdigest()}"


def test_data_nested_deeply_has_the_same_bytes():
    written = {"b": [1.5, "\U0001f436"], "a": None}
    for level in range(200):
        written = {"n": [written], "m": level}

    assert canonical_bytes(written) == jcs.canonicalize(written)


# RFC 8785, appendix B: the bits of a double, and how it is written.
@pytest.mark.parametrize(
    ("bits", "text"),
    [
        ("0000000000000000", b"0"),
        ("8000000000000000", b"0"),
        ("0000000000000001", b"5e-324"),
        ("8000000000000001", b"-5e-324"),
        ("7fefffffffffffff", b"1.7976931348623157e+308"),
        ("ffefffffffffffff", b"-1.7976931348623157e+308"),
        ("4340000000000000", b"9007199254740992"),
        ("c340000000000000", b"-9007199254740992"),
        ("4430000000000000", b"295147905179352830000"),
        ("44b52d02c7e14af5", b"9.999999999999997e+22"),
        ("44b52d02c7e14af6", b"1e+23"),
        ("44b52d02c7e14af7", b"1.0000000000000001e+23"),
        ("444b1ae4d6e2ef4e", b"999999999999999700000"),
        ("444b1ae4d6e2ef4f", b"999999999999999900000"),
        ("444b1ae4d6e2ef50", b"1e+21"),
        ("3eb0c6f7a0b5ed8c", b"9.999999999999997e-7"),
        ("3eb0c6f7a0b5ed8d", b"0.000001"),
        ("41b3de4355555553", b"333333333.3333332"),
        ("41b3de4355555554", b"333333333.33333325"),
        ("41b3de4355555555", b"333333333.3333333"),
        ("41b3de4355555556", b"333333333.3333334"),
        ("41b3de4355555557", b"333333333.33333343"),
        ("becbf647612f3696", b"-0.0000033333333333333333"),
        ("43143ff3c1cb0959", b"1424953923781206.2"),
    ],
)
def test_a_number_is_written_as_the_publication_prints_it(bits, text):
    (number,) = struct.unpack(">d", bytes.fromhex(bits))

    assert canonical_bytes({"n": number}) == case_bytes({"n": number}) == b'{"n":' + text + b"}"


# RFC 8785, section 3.2.3: keys are sorted by their UTF-16 code units, so a face of two comes before a letter of one.
def test_keys_are_sorted_as_the_publication_sorts_them():
    names = ["\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\u0080", "\u00f6"]

    found = orjson.loads(canonical_bytes(dict.fromkeys(names, 0)))

    assert list(found) == ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]


# RFC 8785, section 3.2.2.2 and 3.2.2.3: half a pair of surrogates is no text, and what is no number is refused.
@pytest.mark.parametrize("refused", ["\ud83d", "\udc36 before \ud83d", math.nan, math.inf, -math.inf])
def test_what_has_no_canonical_form_is_refused(refused):
    with pytest.raises(rfc8785.CanonicalizationError):
        canonical_bytes({"part": refused})
    with pytest.raises((rfc8785.CanonicalizationError, TypeError)):
        case_bytes({"part": refused})
