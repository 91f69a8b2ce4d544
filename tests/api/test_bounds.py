import jsonschema
import pytest

from api.bounds import ANYTHING, GREATEST, LONGEST_LIST, LONGEST_TEXT, anything, beyond_bounds

SCHEMA = {"$ref": f"#/$defs/{ANYTHING}", "$defs": {ANYTHING: anything(f"#/$defs/{ANYTHING}")}}


@pytest.mark.parametrize(
    "data",
    [
        None,
        True,
        {"number": GREATEST, "below": -float(GREATEST), "small": 1e-300},
        ["", "x" * LONGEST_TEXT],
        "two\r\nlines,\ta tab, an \u00e9 and a \U0001f43e",
        [None] * LONGEST_LIST,
    ],
    ids=["null", "boolean", "numbers", "texts", "line ends", "list"],
)
def test_what_stands_on_a_bound_is_within_it(data):
    assert list(beyond_bounds(data)) == []
    jsonschema.validate(data, SCHEMA)


@pytest.mark.parametrize(
    ("data", "pointer", "said"),
    [
        ({"a/b": [0, 1e15]}, "#/a~1b/1", "a number may have at most 15 digits before the point."),
        (-1e15, "#", "a number may have at most 15 digits before the point."),
        (["x" * (LONGEST_TEXT + 1)], "#/0", f"a text may have at most {LONGEST_TEXT} characters."),
        ({"a": "\x00"}, "#/a", "a text may have no control characters but tab and line ends."),
        ("\x1f", "#", "a text may have no control characters but tab and line ends."),
        ({"a": [None] * (LONGEST_LIST + 1)}, "#/a", f"a list may have at most {LONGEST_LIST} entries."),
    ],
    ids=["number", "negative number", "text", "zero byte", "control character", "list"],
)
def test_what_is_beyond_a_bound_is_told_at_its_place(data, pointer, said):
    (fault,) = beyond_bounds(data)

    assert (fault.pointer, fault.code, fault.message) == (pointer, "too_great", said)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, SCHEMA)
