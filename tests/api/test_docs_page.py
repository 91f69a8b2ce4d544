import re

from api.docs_page import POLICY, docs_page


def test_the_page_tells_every_operation(ask):
    page = ask("GET", "/docs")

    assert page.headers["content-type"] == "text/html; charset=utf-8"
    for path in ask("GET", "/openapi.json").json()["paths"]:
        assert f" {path}</code></h3>" in page.text


def test_the_page_loads_what_the_other_pages_look_by_and_runs_nothing(ask):
    page = ask("GET", "/docs")

    assert re.findall(r'<link [^>]*href="([^"]*)"', page.text) == ["pages/mark.svg", "pages/page.css"]
    assert not re.findall(r"<(?:script|style|img|iframe)|src=|https?://|@import", page.text)
    assert "script-src" not in POLICY
    assert page.headers["content-security-policy"] == POLICY
    for loaded in ("/pages/mark.svg", "/pages/page.css"):
        assert ask("GET", loaded).status_code == 200


def test_every_entry_of_the_index_leads_to_its_operation(ask):
    page = ask("GET", "/docs").text
    led = re.findall(r'href="#(\w+)"', page)

    operations = [one for methods in ask("GET", "/openapi.json").json()["paths"].values() for one in methods.values()]
    assert led == ["main", *(one["operationId"] for one in operations)]
    assert sorted(re.findall(r'<h3 id="(\w+)"', page)) == sorted(led[1:])


def test_words_of_the_document_are_escaped():
    document = {"info": {"title": "T", "version": "1", "description": "<script>x</script>"}, "paths": {}}

    assert "<script>" not in docs_page(document)
