import re

from api.docs_page import docs_page


def test_the_page_tells_every_operation(ask):
    page = ask("GET", "/docs")

    assert page.headers["content-type"] == "text/html; charset=utf-8"
    for path in ask("GET", "/openapi.json").json()["paths"]:
        assert f" {path}</h2>" in page.text


def test_the_page_loads_nothing_and_runs_nothing(ask):
    page = ask("GET", "/docs").text

    assert not re.findall(r"<(?:script|link|style|img|iframe)|src=|https?://|@import", page)


def test_words_of_the_document_are_escaped():
    document = {"info": {"title": "T", "version": "1", "description": "<script>x</script>"}, "paths": {}}

    assert "<script>" not in docs_page(document)
