import pytest

from api.cds.markdown import escaped, section, shortened


@pytest.mark.parametrize(
    "text",
    [
        "[free](https://evil.example)",
        "![x](y)",
        "<script>alert(1)</script>",
        "# heading",
        "- item",
        "**bold** _under_ `code` ~~gone~~",
        "a | b",
        "https://evil.example",
        "www.evil.example",
        "&amp;",
        "> quoted",
    ],
)
def test_text_is_read_as_text(text):
    from markdown_it import MarkdownIt

    page = MarkdownIt("gfm-like", {"linkify": False}).render(escaped(text))

    assert page.startswith("<p>") and page.count("<") == 2


def test_text_stays_on_one_line():
    assert escaped("one\n\n# two\u2028three") == "one \\# two three"


@pytest.mark.parametrize("length", [138, 139, 140, 500])
def test_a_summary_has_fewer_than_140_characters(length):
    assert len(shortened("x" * length)) < 140
    assert len(shortened("word " * (length // 5))) < 140


def test_a_summary_that_fits_is_left_as_it_is():
    assert shortened("Trunk: take a sample first.") == "Trunk: take a sample first."


def test_a_section_without_lines_is_left_out():
    assert section("Why", ["", ""]) == ""
