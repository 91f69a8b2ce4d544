import json

import pytest

from api.problems import Problem
from api.strict_json import read_json


def refused(body: bytes) -> list[tuple[str, str]]:
    """The pointer and code of each fault."""
    with pytest.raises(Problem) as caught:
        read_json(body, nesting_limit=8)
    assert caught.value.kind.name == "unreadable-json"
    return [(one["pointer"], one["code"]) for one in caught.value.errors]


@pytest.mark.parametrize(
    "data", [{}, [], "text", 1, -1.5, True, None, {"a": [{"b": ["ü", "\U0001f43e", 1e-7]}]}, {"": {"": ""}}]
)
def test_json_is_read_as_it_is(data):
    assert read_json(json.dumps(data).encode(), nesting_limit=8) == data


@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        (b'{"a": 1, "a": 1}', "#/a", "repeated_key"),  # even with one value twice
        (b'{"a": [0, {"b/c": 1, "b/c": 2}]}', "#/a/1/b~1c", "repeated_key"),
        (b'{"a": 1, "\\u0061": 2}', "#/a", "repeated_key"),  # the same key, written in another way
        (b'{"a": {"x": 1, "x": 2}, "b": {"x": 1}}', "#/a/x", "repeated_key"),
        (b'{"a": NaN}', "#/a", "not_finite"),
        (b'{"a": [1, Infinity]}', "#/a/1", "not_finite"),
        (b'{"a": -Infinity}', "#/a", "not_finite"),
        (b'{"a": 1e400}', "#/a", "not_finite"),
        (b'{"a": 1234567890123456}', "#/a", "too_many_digits"),
        (b"-1" + b"0" * 5000, "#", "too_many_digits"),
        (b'{"a": "\\ud800"}', "#/a", "half_character"),
        (b'{"a": "\\udc00\\ud800"}', "#/a", "half_character"),  # a pair the wrong way round
        (b'{"a": {"\\ud800": 1}}', "#/a", "half_character"),
        (b'{"\\ud800": 1, "\\ud800": 1}', "#/?", "repeated_key"),  # the pointer itself can be sent
        (b'{"a": "\xff"}', "#", "not_utf8"),
        ('{"a": 1}'.encode("utf-16"), "#", "not_utf8"),
        (b"", "#", "malformed"),
        (b"\xef\xbb\xbf{}", "#", "malformed"),  # a byte order mark
        (b"{'a': 1}", "#", "malformed"),
        (b'{"a": 1,}', "#", "malformed"),
        (b'{"a": 1} {"a": 1}', "#", "malformed"),
        (b'{"a": 01}', "#", "malformed"),
        (b'{"a": "\n"}', "#", "malformed"),  # a control character in a text
        (b"[" * 9 + b"]" * 9, "#", "nested_too_deep"),
        (b'{"a":' * 9 + b"1" + b"}" * 9, "#", "nested_too_deep"),
        (b"[" * 100_000, "#", "nested_too_deep"),
        (b"[" * 700 + b"]" * 700, "#", "nested_too_deep"),
    ],
)
def test_what_can_be_read_in_two_ways_is_refused_at_its_place(body, pointer, code):
    assert refused(body) == [(pointer, code)]


def test_every_fault_of_a_body_is_told_at_once():
    body = b'{"a": NaN, "b": {"c": 1, "c": [12345678901234567890]}}'

    assert refused(body) == [
        ("#/a", "not_finite"),
        ("#/b/c", "repeated_key"),
        ("#/b/c/0", "too_many_digits"),
    ]


def test_nesting_up_to_the_limit_is_read():
    assert read_json(b"[" * 8 + b"]" * 8, nesting_limit=8) == [[[[[[[[]]]]]]]]


def test_many_shallow_objects_are_not_taken_for_deep_ones():
    assert len(read_json(b"[" + b",".join([b"{}"] * 100) + b"]", nesting_limit=2)) == 100


def test_a_fault_in_malformed_text_is_told_by_line_and_column():
    with pytest.raises(Problem, match="the body is not JSON from line 2, column 6 on"):
        read_json(b'{\n "a" 1}', nesting_limit=8)


def test_at_most_fifty_places_are_told():
    assert len(refused(b"[" + b",".join([b"NaN"] * 1000) + b"]")) == 50


def test_a_large_object_with_one_repeated_key_is_refused():
    """Were each key compared with each other one, this would take minutes."""
    names = [f'"{i}":1' for i in range(100_000)]
    body = ("{" + ",".join([*names, names[0]]) + "}").encode()

    assert refused(body) == [("#/0", "repeated_key")]
